"""A screen that changes under the same address begins at its top, as a new page would."""

import streamlit as st

_SCRIPT = """
let shown = null;

export default function ({ data }) {
  if (data && data.at !== shown) {
    shown = data.at;
    document.querySelector("[data-testid=stMain]")?.scrollTo(0, 0);
  }
}
"""
_mount = st.components.v2.component("lesioncompare_top", html="<i></i>", js=_SCRIPT)


def to_the_top(at: str) -> None:
    """Move the page to its top once for each new value of ``at``."""
    with st.container(key="to-the-top"):  # takes no room, see style.css
        _mount(key="top", data={"at": at})
