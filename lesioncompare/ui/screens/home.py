"""Home: every watched place with its last photo, the next date and the latest finding."""

import streamlit as st

from lesioncompare.claims import CLAIMS
from lesioncompare.store import Cat
from lesioncompare.teach.home_check import TODAY, from_entries
from lesioncompare.ui.dates import local_day
from lesioncompare.ui.demo import add_demo_cat
from lesioncompare.ui.parts import caution, plain
from lesioncompare.ui.state import go, link, show_undo, store
from lesioncompare.ui.texts import (
    CAT,
    COMMON,
    GUIDE,
    HOME,
    HOME_CHECK,
    PRACTICE,
    STICKERS,
    SUN,
    VET,
    WHICH,
)
from lesioncompare.ui.tiles import show_tile

TILE_PX = 280  # [px] narrowest tile; one beside the other where there is room


def page() -> None:
    """The home screen."""
    cats = store().cats.all()
    if cats:
        st.title(HOME["title"], anchor=False)
        show_undo("home")
        for cat in cats:
            show_cat(cat)
    else:
        welcome()
    foot(watching=bool(cats))


def welcome() -> None:
    """The first start."""
    st.title(HOME["first_title"], anchor=False)
    show_undo("home")
    st.write(HOME["first_intro"])
    st.write(HOME["first_private"])
    if st.button(HOME["add_cat"], type="primary", width="stretch"):
        go("cat")
    offer_demo()


def offer_demo() -> None:
    """The simulated cat, clearly called so."""
    if st.button(HOME["demo"], width="stretch"):
        add_demo_cat(store())
        st.rerun()


def show_cat(cat: Cat) -> None:
    """One cat with its places."""
    st.header(plain(cat.name), anchor=False)
    if cat.simulated:
        st.caption(COMMON["simulated"])
    show_urgent(cat)
    sites = store().sites.of_cat(cat.id)
    if not sites and st.button(
        HOME["first_site"].format(name=plain(cat.name)), type="primary", key=f"site-{cat.id}"
    ):
        go("site", cat=cat.id)
    with st.grid(min_column_width=TILE_PX):
        for site in sites:
            with st.container():
                show_tile(cat, site)
    with st.container(horizontal=True):
        if sites:
            link(HOME["add_site"], "site", cat=cat.id)
        link(HOME["edit"].format(name=plain(cat.name)), "cat", cat=cat.id)
        link(HOME_CHECK["begin"], "home_check", cat=cat.id)
        link(WHICH["title"].format(name=plain(cat.name)), "which_cats", cat=cat.id)


def show_urgent(cat: Cat) -> None:
    """What today's look from nose to tail found and must not wait, in one line."""
    today = local_day(store().now()).isoformat()
    look = next((c for c in store().home_checks.of_cat(cat.id) if c.day == today), None)
    asks = from_entries(look.entries).asks if look else {}
    for claim in TODAY:
        if claim in asks:
            where = ", ".join(dict.fromkeys(told.station.name for told in asks[claim]))
            st.markdown(f"**{CLAIMS[claim].says}** {HOME_CHECK['of_today'].format(where=where)}")
            return


def foot(*, watching: bool) -> None:
    """The other screens, and what the numbers are not."""
    st.divider()
    with st.container(horizontal=True):
        if watching:
            link(HOME["add_another"], "cat")
            link(VET["title"], "vet")
        link(STICKERS["title"], "stickers")
        link(SUN["title"], "sun")
        link(PRACTICE["title"], "practice")
        link(GUIDE["title"], "guide")
    for cat in store().cats.removed():
        label = CAT["bring_back"].format(name=plain(cat.name))
        if st.button(label, key=f"back-{cat.id}", type="tertiary"):
            store().cats.bring_back(cat.id)
            st.rerun()
    caution()


page()
