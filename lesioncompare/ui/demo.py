"""The simulated cat on the screens."""

import streamlit as st

from lesioncompare.cli.photos import demo_folder
from lesioncompare.series.demo import TRUTH, add_demo
from lesioncompare.store import Store
from lesioncompare.ui.texts import HOME


def add_demo_cat(store: Store) -> None:
    """Put the simulated cat into the store, with its progress shown."""
    folder = demo_folder()
    if not (folder / TRUTH).exists():
        st.warning(HOME["demo_missing"])
        st.stop()
    bar = st.progress(0.0, HOME["demo_wait"])
    for done, count in add_demo(store, folder, spot=HOME["demo_spot"]):
        bar.progress(done / max(count, 1), HOME["demo_wait"])
