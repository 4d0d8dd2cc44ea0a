"""The vet's page: the series, what was found, what was decided, and what goes along."""

import streamlit as st

from lesioncompare.series.report import about
from lesioncompare.store import Cat, CatSite, CatSpot
from lesioncompare.ui.following import cannot_follow, follow_or_none
from lesioncompare.ui.parts import caution, head, plain
from lesioncompare.ui.redo import measure_again
from lesioncompare.ui.review.borders import show_borders
from lesioncompare.ui.review.case import Case, ask_who
from lesioncompare.ui.review.decide import show_decide
from lesioncompare.ui.review.evidence import (
    show_answers,
    show_curves,
    show_findings,
    show_main_curve,
    show_refused,
)
from lesioncompare.ui.review.pictures import show_pair, show_strip
from lesioncompare.ui.review.take import show_take
from lesioncompare.ui.state import asked_id, store
from lesioncompare.ui.texts import REVIEW, VET

WIDE = "<style>.stMainBlockContainer{max-width:84rem}</style>"  # a vet sits before a large screen


def page() -> None:
    """Choose a cat, place and spot, then review it."""
    st.html(WIDE)
    places = {
        site.id: (cat, site)
        for cat in store().cats.all()
        for site in store().sites.of_cat(cat.id)
        if store().visits.of_site(site.id)
    }
    if not places:
        head(VET["title"])
        st.write(f"{REVIEW['none']} {REVIEW['none_do']}")
        return
    asked = asked_id("site")
    cat, site = places[asked] if asked in places else next(iter(places.values()))
    head(REVIEW["title"].format(site=site.site.vet, name=plain(cat.name)), cat)
    cat, site, spot = _choice(places, site)
    followed = follow_or_none(spot.id)
    if followed is None:
        cannot_follow(site)
        return
    case = Case(cat, site, spot, followed, about(store(), followed))
    if case.about.particulars:
        st.write(plain(", ".join(case.about.particulars)))
    st.caption(REVIEW["caution"])
    if case.followed.stale:
        st.write(REVIEW["stale"])
        if st.button(REVIEW["remeasure"], type="primary"):
            measure_again(spot.id)
    review(case)
    caution()


def _choice(places: dict[str, tuple[Cat, CatSite]], site: CatSite) -> tuple[Cat, CatSite, CatSpot]:
    """The place and the spot on it; asked only where there are several."""
    if len(places) > 1:
        ids = list(places)
        chosen = st.selectbox(
            REVIEW["choose"],
            ids,
            index=ids.index(site.id),
            format_func=lambda site_id: _named(*places[site_id]),
            key="review-place",
        )
        if chosen != site.id:
            st.query_params["site"] = chosen
            st.rerun()
    cat, site = places[site.id]
    spots = store().spots.of_site(site.id)
    if len(spots) == 1:
        return cat, site, spots[0]
    names = {spot.id: spot.name for spot in spots}
    spot_id = st.segmented_control(
        REVIEW["spot"],
        list(names),
        default=spots[0].id,
        format_func=names.__getitem__,
        required=True,
        key="review-spot",
    )
    return cat, site, next(spot for spot in spots if spot.id == spot_id)


def _named(cat: Cat, site: CatSite) -> str:
    """Such as "Miez, left pinna"."""
    return f"{cat.name}, {site.site.vet}"


def review(case: Case) -> None:
    """Pictures beside findings, then strip and curves, then what is to be done."""
    question = store().concerns.of_site(case.site.id)
    if question:
        st.markdown(f"**{plain(REVIEW['keeper_asks'].format(question=question))}**")
    left, right = st.columns((3, 2), gap="medium")
    with left:
        show_pair(case)
    with right:
        show_main_curve(case)
        show_findings(case)
        show_answers(case)
    show_strip(case)
    show_curves(case)
    st.divider()
    ask_who()
    decide, borders, unused, take = st.tabs(REVIEW["tabs"])
    with decide:
        show_decide(case)
    with borders:
        show_borders(case)
    with unused:
        show_refused(case)
    with take:
        show_take(case)


page()
