"""Which reference sticker lies in the photos of a visit."""

from functools import partial

import streamlit as st

from lesioncompare.series import examine
from lesioncompare.ui.steps.context import Here
from lesioncompare.ui.texts import VISIT

USUAL_DOT_MM = 8.0  # [mm] the commonest office dot; common practice, no source


def choose_sticker(here: Here) -> None:
    """Printed sticker or round dot; a change has every photo looked at again."""
    present = here.visit.sticker_diameter_mm
    kind_key, size_key = f"sticker-{here.visit.id}", f"dot-{here.visit.id}"
    changed = partial(_set_sticker, here, kind_key, size_key)
    with st.expander(VISIT["which_sticker"]):
        kind = st.segmented_control(
            VISIT["which_sticker"],
            ["printed", "round"],
            format_func=VISIT.__getitem__,
            default="printed" if present is None else "round",
            required=True,
            label_visibility="collapsed",
            key=kind_key,
            on_change=changed,
        )
        if kind == "round":
            st.number_input(
                VISIT["diameter"],
                min_value=2.0,
                max_value=40.0,
                value=present or USUAL_DOT_MM,
                step=0.1,
                help=VISIT["diameter_do"],
                key=size_key,
                on_change=changed,
            )


def _set_sticker(here: Here, kind_key: str, size_key: str) -> None:
    """Keep which sticker it is, and forget what was seen with another one in mind."""
    is_round = st.session_state[kind_key] == "round"
    diameter = st.session_state.get(size_key, USUAL_DOT_MM) if is_round else None
    here.store.visits.set_sticker(here.visit.id, diameter)
    here.save_draft(looks=None)
    for photo in here.photos:
        for spot in here.spots:
            if here.reading(photo, spot) is not None:
                examine(here.store, photo.id, spot.id, first=here.first_of(spot))
