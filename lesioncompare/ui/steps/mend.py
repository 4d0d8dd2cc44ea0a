"""Correcting one outline; every stroke is kept with the visit until it is confirmed."""

from collections.abc import Callable

import streamlit as st

from lesioncompare.errors import OutlineError
from lesioncompare.records import Points
from lesioncompare.series import around, examine, mended_contour, start_px
from lesioncompare.store import CatSpot, KeptPhoto
from lesioncompare.ui.components.photo_canvas import Focus, drawn_edits, mend_canvas
from lesioncompare.ui.parts import way_on
from lesioncompare.ui.steps.context import Here
from lesioncompare.ui.texts import VISIT


def mend(here: Here, photo: KeptPhoto, spot: CatSpot, *, after: Callable[[], None]) -> None:
    """The outline to correct, and what to do with it; ``after`` runs once it is settled."""
    reading = here.reading(photo, spot)
    start = None if reading is None else start_px(reading)
    if reading is None or start is None:
        after()
        st.rerun()
    st.subheader(VISIT["mend_title"], anchor=False)
    st.write(VISIT["mend_do"])
    draft = here.visit.draft["mend"]
    key, epoch = f"mend-{photo.id}-{spot.id}", len(here.store.runs.all(photo.id, spot.id))
    drawn = drawn_edits(key, epoch)
    edits = list(draft["edits"]) if drawn is None else drawn
    try:
        contour = mended_contour(start, edits)
    except OutlineError:
        contour = None
        st.write(VISIT["mend_lost"])
    mend_canvas(
        here.picture(photo),
        key=key,
        label=VISIT["mend_label"],
        epoch=epoch,
        outline=[] if contour is None else contour.round(2).tolist(),
        edits=edits,
        focus=Focus(*around(start)),
        on_change=lambda made: here.save_draft(mend={**draft, "edits": made}),
    )
    if way_on(VISIT["mend_save"], disabled=contour is None):
        with st.spinner(VISIT["measuring"]):
            _keep(here, photo, spot, contour, edits)
        after()
        st.rerun()
    if st.button(VISIT["mend_cancel"], width="stretch"):
        after()
        st.rerun()


def _keep(
    here: Here,
    photo: KeptPhoto,
    spot: CatSpot,
    contour: Points | None,
    edits: list[dict[str, object]],
) -> None:
    if contour is None:
        return
    first = here.first_of(spot)
    here.store.corrections.add(
        photo.id, spot.id, "corrected", contour_px=contour.tolist(), strokes=edits
    )
    examine(here.store, photo.id, spot.id, first=first or photo)
