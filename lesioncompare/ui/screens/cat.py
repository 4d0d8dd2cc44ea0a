"""A cat: its name, and what of its coat and life bears on its skin."""

from functools import partial
from typing import Any

import streamlit as st

from lesioncompare.errors import StoreError
from lesioncompare.store import Cat
from lesioncompare.ui.parts import head, plain
from lesioncompare.ui.state import asked_cat, asked_id, go, offer_undo, store
from lesioncompare.ui.texts import CAT, COATS, COMMON, PATTERNS, PIGMENTS, WHITE_AREAS

OLDEST = 30  # [years] common practice, no source
MOST_HOURS = 24.0


def page() -> None:
    """A new cat, or the one the address names."""
    cat = asked_cat() if asked_id("cat") else None
    head(CAT["title"].format(name=plain(cat.name)) if cat else CAT["title_new"], cat)
    if cat is None:
        st.write(CAT["intro"])
    values = form(cat)
    if st.button(CAT["save_new"] if cat is None else COMMON["save"], type="primary"):
        save(cat, values)
    if cat is not None:
        remove(cat)


def form(cat: Cat | None) -> dict[str, Any]:
    """Every particular, none of them preset for a new cat."""
    year = store().now().year
    neutered = {True: CAT["yes"], False: CAT["no"]}
    return {
        "name": st.text_input(CAT["name"], value=cat.name if cat else "", max_chars=120),
        "coat_colour": _choose("coat_colour", COATS, cat.coat_colour if cat else ""),
        "coat_pattern": _choose("coat_pattern", PATTERNS, cat.coat_pattern if cat else ""),
        "white_areas": tuple(
            st.pills(
                CAT["white_areas"],
                list(WHITE_AREAS),
                selection_mode="multi",
                format_func=WHITE_AREAS.__getitem__,
                default=list(cat.white_areas) if cat else None,
            )
        ),
        "pigment": _choose("pigment", PIGMENTS, cat.pigment if cat else ""),
        "birth_year": st.number_input(
            CAT["birth_year"],
            min_value=year - OLDEST,
            max_value=year,
            value=cat.birth_year if cat else None,
            step=1,
        ),
        "neutered": st.pills(
            CAT["neutered"],
            [True, False],
            format_func=neutered.__getitem__,
            default=cat.neutered if cat else None,
        ),
        "outdoor_hours": st.number_input(
            CAT["outdoor_hours"],
            min_value=0.0,
            max_value=MOST_HOURS,
            value=cat.outdoor_hours if cat else None,
            step=0.5,
            format="%g",
        ),
    }


def _choose(what: str, words: dict[str, str], present: str) -> str:
    known = present if present in words else None
    return st.pills(CAT[what], list(words), format_func=words.__getitem__, default=known) or ""


def save(cat: Cat | None, values: dict[str, Any]) -> None:
    """Keep what was typed, or say what is missing."""
    try:
        if cat is None:
            go("site", cat=store().cats.add(values.pop("name"), **values).id)
        store().cats.edit(cat.id, **values)
        st.success(CAT["saved"])
    except StoreError as problem:
        st.error(f"{problem.what} {problem.advice}")


def remove(cat: Cat) -> None:
    """Hide the cat, with a way back."""
    st.divider()
    st.caption(CAT["remove_note"])
    if st.button(CAT["remove"].format(name=plain(cat.name))):
        store().cats.remove(cat.id)
        undo = partial(store().cats.bring_back, cat.id)
        offer_undo("home", CAT["removed"].format(name=plain(cat.name)), undo)
        go("home")


page()
