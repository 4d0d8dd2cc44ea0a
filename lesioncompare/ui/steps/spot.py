"""Step two, on a first visit or where the place was not found: finger on the spot."""

from dataclasses import dataclass
from functools import partial

import streamlit as st

from lesioncompare.records import Reading, Seed
from lesioncompare.series import (
    around,
    circle_px,
    examine,
    retakes,
    sticker_px,
    wait_until_measured,
)
from lesioncompare.store import CatSpot, KeptPhoto
from lesioncompare.ui.components.photo_canvas import circle_canvas
from lesioncompare.ui.parts import plain, way_on
from lesioncompare.ui.steps.context import BY_HAND, Here
from lesioncompare.ui.texts import VISIT

NEAR_SIDES = 1.2  # [1] width of the part shown after a tap, over the sticker's width


@dataclass(frozen=True, slots=True)
class Ask:
    """A spot to be shown on a photo; ``lost`` where it should have been found by itself."""

    spot: CatSpot
    photo: KeptPhoto
    reading: Reading | None
    lost: bool


def show(here: Here) -> None:
    """The first spot that still has to be shown; with none left, the outlines."""
    with st.spinner(VISIT["spot_measure"]):
        for photo in here.photos:
            wait_until_measured(photo.id)
    if not here.hopeful:
        here.to_step("photos")
    asked = next((a for spot in here.spots if (a := _ask(here, spot)) is not None), None)
    if asked is None:
        here.to_step("outline")
    st.subheader(VISIT["spot_title"].format(spot=plain(asked.spot.name)), anchor=False)
    if asked.lost:
        st.write(VISIT["spot_again"])
    elif asked.reading is not None:
        for note in retakes(asked.reading):
            st.markdown(f"**{plain(note.says)}** {plain(note.do)}")
    st.write(VISIT["spot_do"])
    _draw(here, asked)


def _ask(here: Here, spot: CatSpot) -> Ask | None:
    """What is to be shown for one spot, if anything."""
    wanted = here.visit.draft.get("show_again")
    if wanted and wanted["spot"] == spot.id:
        photo = here.store.photos.get(wanted["photo"])
        return Ask(spot, photo, here.reading(photo, spot), lost=False)
    known = here.first_of(spot) is not None
    for photo in here.hopeful:
        reading = here.reading(photo, spot)
        if reading is None and known:
            examine(here.store, photo.id, spot.id, first=here.first_of(spot))
            reading = here.reading(photo, spot)
        if not known:
            return Ask(spot, photo, reading, lost=False)
        seeded = here.store.seeds.latest(photo.id, spot.id) is not None
        if reading is not None and not seeded and _lost(reading):
            return Ask(spot, photo, None, lost=True)
    return None


def _lost(reading: Reading) -> bool:
    return any(note.key in BY_HAND for note in retakes(reading))


def _draw(here: Here, asked: Ask) -> None:
    """The photo to draw on, and the way on once a circle is there."""
    key = f"circle-{asked.photo.id}-{asked.spot.id}"
    corners = sticker_px(here.seen(asked.photo))
    half = None if corners is None else around(corners, room=NEAR_SIDES)[2]
    circle = circle_canvas(
        here.picture(asked.photo),
        key=key,
        label=VISIT["spot_label"],
        epoch=0,
        circle=_before(here, asked),
        sticker=None if corners is None else corners.tolist(),
        near_half=half,
        on_change=partial(_keep_circle, here, key),
    )
    st.caption(VISIT["spot_rough"])
    if asked.reading is not None and st.button(VISIT["by_hand"], width="stretch"):
        here.save_draft(mend={"photo": asked.photo.id, "spot": asked.spot.id, "edits": []})
        here.to_step("outline")
    _other_photo(here, asked)
    if way_on(VISIT["spot_done"], disabled=circle is None):
        with st.spinner(VISIT["spot_measure"]):
            _measure(here, asked, Seed(**(circle or {})))


def _keep_circle(here: Here, key: str, circle: dict[str, float]) -> None:
    """Keep a circle that is not confirmed yet."""
    here.save_draft(circles={**here.visit.draft.get("circles", {}), key: circle})


def _before(here: Here, asked: Ask) -> dict[str, float] | None:
    """A circle that was drawn but not confirmed, or the one in use."""
    key = f"circle-{asked.photo.id}-{asked.spot.id}"
    draft = here.visit.draft.get("circles", {}).get(key)
    if draft is not None:
        return dict(draft)
    seed = None if asked.reading is None else circle_px(asked.reading)
    return None if seed is None else {"x": seed.x, "y": seed.y, "radius": seed.radius}


def _measure(here: Here, asked: Ask, seed: Seed) -> None:
    """Keep the circle, measure, and carry it to the other photos of the visit."""
    first = here.first_of(asked.spot)
    here.store.seeds.add(asked.photo.id, asked.spot.id, seed)
    here.save_draft(show_again=None)
    examine(here.store, asked.photo.id, asked.spot.id, first=first or asked.photo)
    st.rerun()


def _other_photo(here: Here, asked: Ask) -> None:
    """Leave out a photo that does not serve, where there are others."""
    if len(here.photos) > 1 and st.button(VISIT["outline_skip"], width="stretch"):
        here.store.photos.set_state(asked.photo.id, "removed", reason=VISIT["outline_skip"])
        st.rerun()
