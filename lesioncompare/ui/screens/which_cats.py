"""Which cats: what this cat's own coat and skin mean in the sun, with sources and no score."""

import streamlit as st

from lesioncompare.teach.profile import always_claims, freckle_claims, sun_claims
from lesioncompare.ui.cited import Cited
from lesioncompare.ui.parts import head, plain
from lesioncompare.ui.state import asked_cat, link, store
from lesioncompare.ui.texts import WHICH


def page() -> None:
    """What fits the cat that the address names."""
    cat = asked_cat()
    head(WHICH["title"].format(name=plain(cat.name)), cat)
    if not cat.coat_colour and not cat.pigment:
        st.write(WHICH["no_coat"].format(name=plain(cat.name)))
        link(WHICH["enter"].format(name=plain(cat.name)), "cat", cat=cat.id)
    cited = Cited()
    st.header(WHICH["sun"], anchor=False)
    cited.list(
        sun_claims(
            coat_colour=cat.coat_colour,
            white_areas=cat.white_areas,
            pigment=cat.pigment,
            outdoor_hours=cat.outdoor_hours,
        )
    )
    link(WHICH["hours"], "sun", cat=cat.id)
    spots = freckle_claims(coat_colour=cat.coat_colour, coat_pattern=cat.coat_pattern)
    if spots:
        st.header(WHICH["freckles"], anchor=False)
        cited.list(spots)
    st.header(WHICH["signs"], anchor=False)
    age = None if cat.birth_year is None else store().now().year - cat.birth_year
    cited.list(always_claims(age))
    cited.foot()


page()
