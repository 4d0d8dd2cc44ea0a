"""Show the vet: one page to hand over."""

import streamlit as st

from lesioncompare.records import Series
from lesioncompare.report.page import draw_page
from lesioncompare.series import Followed, follow_spot, with_pictures
from lesioncompare.store import Cat, CatSite
from lesioncompare.ui.parts import caution, head, plain
from lesioncompare.ui.state import asked_id, store
from lesioncompare.ui.texts import VET


def page() -> None:
    """Choose a place, then take the page along."""
    head(VET["title"])
    st.write(VET["intro"])
    places = {
        site.id: (cat, site)
        for cat in store().cats.all()
        for site in store().sites.of_cat(cat.id)
        if store().visits.of_site(site.id)
    }
    if not places:
        st.write(f"{VET['none']} {VET['none_do']}")
        return
    asked = asked_id("site")
    chosen = st.selectbox(
        VET["choose"],
        list(places),
        index=list(places).index(asked) if asked in places else 0,
        format_func=lambda site_id: named(*places[site_id]),
    )
    for spot in store().spots.of_site(chosen):
        hand_over(*places[chosen], follow_spot(store(), spot.id), spot.name)
    caution()


def named(cat: Cat, site: CatSite) -> str:
    """Such as "Miez, left ear tip"."""
    return f"{cat.name}, {site.site.keeper}"


def hand_over(cat: Cat, site: CatSite, followed: Followed, spot: str) -> None:
    """The page of one spot, drawn when it is asked for."""
    st.subheader(plain(spot), anchor=False)
    if not st.button(VET["make"], key=f"make-{followed.spot_id}", type="primary"):
        return
    with st.spinner(VET["making"]):
        series: Series = with_pictures(store(), followed)
        picture = draw_page(series)
    st.download_button(
        VET["download"],
        data=picture,
        file_name="lesioncompare-series.png",
        mime="image/png",
        on_click="ignore",
    )
    alt = VET["page_alt"].format(site=site.site.keeper, name=cat.name)
    st.image(picture, alt=alt, width="stretch")


page()
