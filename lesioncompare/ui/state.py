"""What every screen needs first: the store, and where in it the address points."""

import gc
from functools import partial
from pathlib import Path
from typing import NoReturn, TypeVar

import streamlit as st

from lesioncompare.errors import StoreError
from lesioncompare.store import Cat, CatSite, KeptVisit, Store
from lesioncompare.store.home import database_url, home_folder
from lesioncompare.ui.texts import COMMON

Record = TypeVar("Record")
SCREENS = Path(__file__).parent / "screens"


@st.cache_resource(max_entries=2)
def _open(home: str, url: str) -> Store:
    opened = Store(Path(home), url=url)
    gc.collect()
    gc.freeze()  # Streamlit collects after every run: spare it what was imported and stays anyway
    return opened


def store() -> Store:
    """The store of this installation, shared by all its sessions."""
    home = home_folder()
    return _open(str(home), database_url(home))


def go(page: str, **ids: str) -> NoReturn:
    """Leave for another screen, with its ids in the address."""
    st.switch_page(SCREENS / f"{page}.py", query_params=ids)


def link(label: str, page: str, **ids: str) -> None:
    """A link to another screen."""
    st.page_link(SCREENS / f"{page}.py", label=label, query_params=ids, width="content")


def asked_id(name: str) -> str:
    """The id in the address, "" if there is none."""
    return str(st.query_params.get(name, ""))


def asked_site() -> CatSite:
    """The site the address names; otherwise the screen says so and stops."""
    return _or_stop(partial(store().sites.get, asked_id("site")))


def asked_visit() -> KeptVisit:
    """The visit the address names; otherwise the screen says so and stops."""
    return _or_stop(partial(store().visits.get, asked_id("visit")))


def asked_cat() -> Cat:
    """The cat the address names; otherwise the screen says so and stops."""
    return _or_stop(partial(store().cats.get, asked_id("cat")))


def _or_stop(get: "partial[Record]") -> Record:
    try:
        return get()
    except StoreError:
        st.title(COMMON["not_found"])
        st.write(COMMON["not_found_do"])
        link(COMMON["back"], "home")
        st.stop()


def offer_undo(where: str, message: str, undo: "partial[None]") -> None:
    """Say what was just done, with a way back, as long as the keeper stays at ``where``."""
    st.session_state["undo"] = (where, message, undo)


def show_undo(where: str) -> None:
    """The message and button of the last thing that can be undone here."""
    offered, message, undo = st.session_state.get("undo", ("", "", None))
    if undo is None or offered != where:
        st.session_state.pop("undo", None)
        return
    with st.container(border=True, horizontal=True, vertical_alignment="center"):
        st.write(message)
        if st.button(COMMON["undo"], key="undo-button"):
            undo()
            del st.session_state["undo"]
            st.rerun()
