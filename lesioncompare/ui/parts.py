"""Pieces that several screens show in the same way."""

import re
from collections.abc import Sequence
from pathlib import Path

import streamlit as st

from lesioncompare.records import Finding, Notice
from lesioncompare.store import Cat
from lesioncompare.ui.state import link, show_undo
from lesioncompare.ui.texts import COMMON, LEVELS

DRAWINGS = Path(__file__).parent / "drawings"
UNIT = re.compile(r"(?<=\d) (?=%|mm|cm|°)")  # the space between a figure and its unit


def head(title: str, cat: Cat | None = None, *, where: str = "") -> None:
    """The way home, the title, a word on a simulated cat, and the last thing to undo ``where``."""
    link(f"‹ {COMMON['back']}", "home")
    st.title(title, anchor=False)
    if cat is not None and cat.simulated:
        st.caption(COMMON["simulated"])
    show_undo(where)


def way_on(label: str, *, disabled: bool = False) -> bool:
    """The one way on, kept under the thumb at the foot of the screen; True when it is pressed."""
    with st.container(key="ahead"):  # sticks to the foot, see style.css
        return st.button(label, type="primary", disabled=disabled, width="stretch", key="way-on")


def show_notices(notices: Sequence[Notice]) -> None:
    """Remarks on a photo: what was seen and what to do about it."""
    for note in notices:
        st.markdown(f"**{LEVELS[note.level]}.** {plain(note.says)} {plain(note.do)}")


def show_finding(finding: Finding) -> None:
    """A finding with its weight in words: how much it matters, what to do, what it could be."""
    with st.container(border=True):
        st.subheader(LEVELS[finding.level], anchor=False)
        st.markdown(f"**{plain(finding.says)}**")
        st.write(COMMON["what_now"].format(do=plain(finding.do)))
        if finding.could_be:
            st.caption(COMMON["could_be"].format(things=plain("; ".join(finding.could_be))))


def caution() -> None:
    """What the numbers are not; under everything that could be taken for a verdict."""
    st.caption(COMMON["caution"])


def drawing(name: str, alt: str) -> None:
    """One of the drawings that come with the program."""
    st.image((DRAWINGS / f"{name}.svg").read_text(), alt=alt, width="stretch")


def plain(words: str) -> str:
    """Words for a place that reads Markdown, every sign of it literal, no unit left alone."""
    words = UNIT.sub("\u00a0", words)
    return "".join(f"\\{c}" if c in "\\`*_{}[]()#+-!|<>~$:" else c for c in words)
