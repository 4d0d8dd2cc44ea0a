"""Measuring a spot's photos again, with its progress on the screen."""

from typing import NoReturn

import streamlit as st

from lesioncompare.series import remeasure
from lesioncompare.ui.state import store
from lesioncompare.ui.texts import HISTORY


def measure_again(spot_id: str) -> NoReturn:
    """Measure every photo of a spot again, then show the screen anew."""
    bar = st.progress(0.0)
    for done, count in remeasure(store(), spot_id):
        words = HISTORY["remeasuring"].format(done=done, count=count)
        bar.progress(done / max(count, 1), words)
    st.toast(HISTORY["remeasured"])
    st.rerun()
