"""Step three: every outline confirmed, or corrected with brush and line."""

from functools import partial

import streamlit as st

from lesioncompare.records import Reading
from lesioncompare.series import around, examine, outline_px, retakes, sticker_px
from lesioncompare.store import CatSpot, KeptPhoto
from lesioncompare.ui.components.photo_canvas import Focus, look_canvas
from lesioncompare.ui.parts import plain, show_notices, way_on
from lesioncompare.ui.steps.context import Here
from lesioncompare.ui.steps.mend import mend
from lesioncompare.ui.texts import VISIT

Pair = tuple[KeptPhoto, CatSpot]


def show(here: Here) -> None:
    """The next outline to confirm; with none left, the questions."""
    mending = here.visit.draft.get("mend")
    if mending:
        photo, spot = here.store.photos.get(mending["photo"]), here.store.spots.get(mending["spot"])
        mend(here, photo, spot, after=partial(here.save_draft, mend=None))
        return
    pairs = [(photo, spot) for spot in here.spots for photo in here.hopeful]
    waiting = [pair for pair in pairs if not _settled(here, *pair)]
    if not waiting:
        here.to_step("questions")
    photo, spot = waiting[0]
    reading = here.reading(photo, spot)
    st.subheader(VISIT["outline_title"].format(spot=plain(spot.name)), anchor=False)
    if len(pairs) > 1:
        number = pairs.index((photo, spot)) + 1
        st.caption(VISIT["outline_next"].format(number=number, count=len(pairs)))
    if reading is None or reading.outline is None:
        _without(here, photo, spot, reading, pairs.index((photo, spot)) + 1)
    else:
        _confirm(here, photo, spot, reading)


def _settled(here: Here, photo: KeptPhoto, spot: CatSpot) -> bool:
    """A person has spoken on this outline since the spot was last shown."""
    word = here.store.corrections.latest(photo.id, spot.id)
    seed = here.store.seeds.latest(photo.id, spot.id)
    spoken = word is not None and word.kind in {"accepted", "corrected"}
    return spoken and (seed is None or word is None or seed.at <= word.at)


def _confirm(here: Here, photo: KeptPhoto, spot: CatSpot, reading: Reading) -> None:
    """The outline on the photo, and the three things that can be said of it."""
    border, corners = outline_px(reading), sticker_px(reading)
    if border is None:
        return
    look_canvas(
        here.picture(photo),
        key=f"outline-{photo.id}-{spot.id}",
        label=VISIT["outline_label"],
        sticker=None if corners is None else corners.tolist(),
        outline=border.tolist(),
        focus=Focus(*around(border)),
    )
    show_notices(
        [n for n in reading.notices if n.key not in {x.key for x in reading.photo.notices}]
    )
    if way_on(VISIT["outline_yes"]):
        here.store.corrections.add(photo.id, spot.id, "accepted")
        st.rerun()
    if st.button(VISIT["outline_mend"], width="stretch"):
        here.save_draft(mend={"photo": photo.id, "spot": spot.id, "edits": []})
        st.rerun()
    if st.button(VISIT["outline_circle"], width="stretch"):
        here.save_draft(show_again={"photo": photo.id, "spot": spot.id})
        here.to_step("spot")
    _another_spot(here)


def _without(
    here: Here, photo: KeptPhoto, spot: CatSpot, reading: Reading | None, number: int
) -> None:
    """A photo on which no edge could be found."""
    if reading is None:  # added after the spot was shown
        with st.spinner(VISIT["measuring"]):
            examine(here.store, photo.id, spot.id, first=here.first_of(spot))
        st.rerun()
    st.write(VISIT["outline_failed"].format(number=number))
    show_notices(retakes(reading))
    if st.button(VISIT["by_hand"], type="primary", width="stretch"):
        here.save_draft(mend={"photo": photo.id, "spot": spot.id, "edits": []})
        st.rerun()
    if st.button(VISIT["outline_skip"], width="stretch"):
        here.store.photos.set_state(photo.id, "removed", reason=VISIT["outline_skip"])
        st.rerun()


def _another_spot(here: Here) -> None:
    st.divider()
    if st.button(VISIT["add_spot"], type="tertiary"):
        name = VISIT["new_spot"].format(number=len(here.spots) + 1)
        here.store.spots.add(here.site.id, name)
        here.to_step("spot")
