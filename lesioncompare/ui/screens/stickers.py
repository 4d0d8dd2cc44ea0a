"""Stickers: the sheet to print, and what its check bar measures in truth."""

import streamlit as st

from lesioncompare.design import SIZES_MM
from lesioncompare.errors import StoreError
from lesioncompare.exchange.sheet import sticker_sheet
from lesioncompare.ui.dates import local_day, on_day
from lesioncompare.ui.parts import drawing, head
from lesioncompare.ui.state import store
from lesioncompare.ui.texts import STICKERS

USUAL_MM = 14  # nose and ears


def page() -> None:
    """Print, measure, and what to do without a printer."""
    head(STICKERS["title"])
    st.write(STICKERS["intro"])
    sheet()
    st.header(STICKERS["check_title"], anchor=False)
    check_bar()
    st.header(STICKERS["round_title"], anchor=False)
    st.write(STICKERS["round_do"])


def sheet() -> None:
    """The sheet in the chosen size, made when it is asked for."""
    size = st.segmented_control(
        STICKERS["size"],
        list(SIZES_MM),
        format_func=lambda mm: STICKERS["size_mm"].format(size=mm),
        default=USUAL_MM,
        required=True,
        help=STICKERS["size_help"],
    )
    paper = st.segmented_control(
        STICKERS["paper"],
        ["a4", "letter"],
        format_func=STICKERS.__getitem__,
        default="a4",
        required=True,
    )
    st.download_button(
        STICKERS["download"],
        data=lambda: sticker_sheet(size or USUAL_MM, paper or "a4"),
        file_name=f"lesioncompare-stickers-{size}mm-{paper}.pdf",
        mime="application/pdf",
        on_click="ignore",
        type="primary",
        width="stretch",
    )
    st.write(STICKERS["print_how"])


def check_bar() -> None:
    """The length of the check bar on paper, kept with its date."""
    drawing("bar", STICKERS["check_alt"])
    st.write(STICKERS["check_do"])
    checks = store().print_checks.all()
    if checks:
        day = on_day(local_day(checks[-1].at))
        present = STICKERS["check_present"].format(bar=f"{checks[-1].printed_bar_mm:g}", date=day)
        st.write(present)
    else:
        st.write(STICKERS["check_none"])
    bar = st.number_input(
        STICKERS["check_label"],
        value=checks[-1].printed_bar_mm if checks else None,
        placeholder="100.0",
        step=0.5,
        format="%.1f",
        key="bar",
    )
    if st.button(STICKERS["check_save"], disabled=bar is None) and bar is not None:
        try:
            store().print_checks.add(bar)
        except StoreError as problem:
            st.error(f"{problem.what} {problem.advice}")
        else:
            st.success(STICKERS["check_saved"].format(bar=f"{bar:g}"))


page()
