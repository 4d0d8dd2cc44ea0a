"""Step four: the hands-on questions; none preset, all of them may be skipped."""

from functools import partial

import streamlit as st

from lesioncompare.registry.questions import ANSWERS, QUESTIONS, Question
from lesioncompare.terms import Level
from lesioncompare.ui.parts import plain, way_on
from lesioncompare.ui.steps.context import Here
from lesioncompare.ui.texts import COMMON, LEVELS, VISIT


def show(here: Here) -> None:
    """All questions, the answers kept as they are given."""
    st.subheader(VISIT["questions_title"], anchor=False)
    st.write(VISIT["questions_do"])
    given = here.store.answers.of_visit(here.visit.id)
    for question in QUESTIONS.values():
        _ask(here, question, given.get(question.key))
    if way_on(COMMON["go_on"]):
        here.store.visits.finish(here.visit.id)
        st.rerun()


def _ask(here: Here, question: Question, before: str | None) -> None:
    """One question with three large buttons; pressing a pressed one takes the answer back."""
    with st.container(border=True, gap="xsmall", key=f"ask-{question.key}"):
        key = f"{question.key}-{here.visit.id}"
        st.markdown(f"**{plain(question.ask)}**")
        st.caption(question.hint)
        answer = st.segmented_control(
            question.ask,
            list(ANSWERS),
            format_func=ANSWERS.__getitem__,
            default=before,
            key=key,
            label_visibility="collapsed",
            width="stretch",
            on_change=partial(_keep, here, question, key),
        )
        if answer is not None and question.level_of(answer, here.site.site.part) is Level.NOW:
            st.markdown(f"**{LEVELS[Level.NOW]}.** {plain(question.told)}")


def _keep(here: Here, question: Question, key: str) -> None:
    """Keep an answer when it is given, and only then: another tab may have given others."""
    here.store.answers.give(here.visit.id, question.key, st.session_state[key] or "")
