"""A visit, step by step; the address and the store say where the keeper is."""

import streamlit as st

from lesioncompare.ui.components.top import to_the_top
from lesioncompare.ui.parts import head, plain
from lesioncompare.ui.state import asked_visit, store
from lesioncompare.ui.steps import context, outline, photos, questions, result, spot
from lesioncompare.ui.texts import VISIT

STEPS = {
    "photos": photos.show,
    "spot": spot.show,
    "outline": outline.show,
    "questions": questions.show,
    "result": result.show,
}


def page() -> None:
    """The step this visit is at."""
    here = context.Here(store(), asked_visit())
    step = here.visit.step if here.visit.step in STEPS else "photos"
    title = VISIT["title"].format(site=here.keeper.capitalize(), name=plain(here.cat.name))
    head(title, here.cat, where=here.where)
    shown = [name for name in STEPS if name == step or name != "spot" or here.shows_spot]
    number, what = shown.index(step) + 1, VISIT["steps"][step]
    st.caption(VISIT["step"].format(number=number, count=len(shown), what=what))
    to_the_top(f"{here.visit.id}-{step}")
    STEPS[step](here)


page()
