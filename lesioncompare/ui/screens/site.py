"""A new place to photograph on a cat."""

import streamlit as st

from lesioncompare.errors import StoreError
from lesioncompare.store import Cat
from lesioncompare.terms import KEEPER_PART, Part, Site
from lesioncompare.ui.parts import head
from lesioncompare.ui.state import asked_cat, go, store
from lesioncompare.ui.texts import SITE

MIDDLE = "middle"
LEVELS = ("upper", "lower")
SIDES = {  # the nose is in the middle anyway
    Part.EAR: ("left", "right"),
    Part.EYELID: ("left", "right"),
    Part.LIP: ("left", MIDDLE, "right"),
    Part.GUM: ("left", MIDDLE, "right"),
}
HAS_LEVEL = {Part.EYELID, Part.LIP, Part.GUM}


def page() -> None:
    """Which place, which side, and what the spot is called."""
    cat = asked_cat()
    head(SITE["title"], cat)
    part = st.pills(SITE["part"], list(Part), format_func=KEEPER_PART.__getitem__)
    level = _one_of("level", LEVELS) if part in HAS_LEVEL else None
    side = _one_of("side", SIDES[part]) if part in SIDES else None
    name = st.text_input(SITE["spot"], help=SITE["spot_help"], max_chars=120)
    chosen = part is not None and (part not in SIDES or side is not None)
    complete = chosen and (part not in HAS_LEVEL or level is not None)
    if not complete:
        st.caption(SITE["choose"])
    pressed = st.button(SITE["save"], type="primary", disabled=not complete)
    if pressed and part is not None:
        save(cat, Site(part, None if side == MIDDLE else side, level), name)


def _one_of(what: str, words: tuple[str, ...]) -> str | None:
    return st.pills(SITE[what], list(words), format_func=SITE.__getitem__)


def save(cat: Cat, place: Site, name: str) -> None:
    """Keep the place and go to its first photo."""
    try:
        site = store().sites.add(cat.id, place)
    except StoreError as problem:
        st.error(f"{problem.what} {problem.advice}")
        return
    store().spots.add(site.id, name or SITE["spot_default"])
    go("visit", visit=store().visits.begin(site.id).id)


page()
