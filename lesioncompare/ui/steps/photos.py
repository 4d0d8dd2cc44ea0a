"""Step one: photos in, and at once what can be said of each."""

import time
from datetime import datetime
from datetime import time as clock
from functools import partial

import streamlit as st
from streamlit.runtime.uploaded_file_manager import UploadedFile

from lesioncompare.records import Notice, Reading
from lesioncompare.series import (
    being_measured,
    outline_px,
    retakes,
    sticker_px,
    take_in,
    warm_up,
)
from lesioncompare.store import KeptPhoto
from lesioncompare.terms import Level
from lesioncompare.ui.components.photo_canvas import look_canvas
from lesioncompare.ui.dates import local_day
from lesioncompare.ui.parts import plain, show_notices, way_on
from lesioncompare.ui.state import go, link, offer_undo
from lesioncompare.ui.steps.context import Here, hopeless
from lesioncompare.ui.steps.sticker_kind import choose_sticker
from lesioncompare.ui.texts import COMMON, VISIT

MOST_MB = 25  # [MB] one photo
MOST_PHOTOS = 3  # [1] of one visit; more teach little
KINDS = ["image/*", "heic", "heif"]  # image/* is what offers camera and gallery on a phone
NOON = clock(12)
LISTEN_S = 0.1  # [s] between looks at what is being measured


def show(here: Here) -> None:
    """Every photo so far with what was seen on it, then room for another, and the way on."""
    _warm(here)
    for number, photo in enumerate(here.photos, start=1):
        _show_photo(here, photo, number)
    _receive(here)
    choose_sticker(here)
    if here.hopeful and way_on(COMMON["go_on"]):
        here.to_step("spot")
    if st.button(VISIT["discard"], type="tertiary"):
        here.store.visits.remove(here.visit.id)
        undo = partial(here.store.visits.bring_back, here.visit.id)
        offer_undo("home", VISIT["discarded"], undo)
        go("home")
    _watch([photo.id for photo in here.photos])


def _warm(here: Here) -> None:
    """Read the first photo behind the screen, while the keeper takes the new one."""
    if st.session_state.get("warmed") != here.visit.id:
        st.session_state["warmed"] = here.visit.id
        warm_up(here.store, here.site.id)


def _watch(photo_ids: list[str]) -> None:
    """Show the screen anew once everything is measured; anything pressed meanwhile goes first.

    A fragment that runs every so often would be simpler, but Streamlit collects garbage after each
    run, which keeps the measuring thread waiting.
    """
    if not any(being_measured(photo_id) for photo_id in photo_ids):
        return
    slot = st.empty()
    while any(being_measured(photo_id) for photo_id in photo_ids):
        time.sleep(LISTEN_S)
        slot.empty()  # where the script may be stopped by a press
    st.rerun()


def _receive(here: Here) -> None:
    """Take in what was chosen, and give back an empty field: nothing is held in memory twice."""
    turn_key, refused_key = f"turn-{here.visit.id}", f"refused-{here.visit.id}"
    for name, reasons in st.session_state.get(refused_key, ()):  # no photos: nothing was kept
        with st.container(border=True):
            st.markdown(f"**{plain(name)}**")
            _unusable(reasons)
    if len(here.photos) >= MOST_PHOTOS:
        st.caption(VISIT["enough"])
        return
    turn = st.session_state.get(turn_key, 0)
    files = _chosen(here, turn)
    if not files:
        return
    refused = []
    with st.spinner(VISIT["reading"]):
        for file in files:
            intake = take_in(here.store, here.visit.id, file.getvalue(), name=file.name)
            here.keep_look(intake)
            if intake.photo is None:
                refused.append((file.name, intake.retake))
    st.session_state.update({turn_key: turn + 1, refused_key: refused})
    st.rerun()


def _chosen(here: Here, turn: int) -> list[UploadedFile]:
    """What was chosen from the gallery or taken with the camera since the last turn."""
    if not here.photos:
        st.write(VISIT["before"])
        link(VISIT["before_help"], "guide")
    files = list(
        st.file_uploader(
            VISIT[_which(here)],
            type=KINDS,
            accept_multiple_files=True,
            max_upload_size=MOST_MB,
            help=VISIT["upload_help"],
            key=f"upload-{here.visit.id}-{turn}",
        )
    )
    with st.expander(VISIT["camera"]):
        if st.toggle(VISIT["camera_take"], key=f"camera-on-{here.visit.id}"):
            key = f"camera-{here.visit.id}-{turn}"
            shot = st.camera_input(VISIT["camera_take"], resolution="1080p", key=key)
            files += [shot] if shot else []
    return files


def _which(here: Here) -> str:
    """Which words ask for a photo."""
    if not here.photos:
        return "upload"
    return "upload_more" if here.hopeful else "upload_new"


def _show_photo(here: Here, photo: KeptPhoto, number: int) -> None:
    """One photo: usable or what to do differently, then the photo with what was found on it."""
    seen = here.seen(photo)
    with st.container(border=True):
        if hopeless(seen):
            _unusable(hopeless(seen))
            with st.expander(VISIT["see_photo"]):  # room for the next one
                _draw(here, photo, seen, number)
        else:
            st.markdown(f"**{_usable(photo, seen)}**")
            _draw(here, photo, seen, number)
            show_notices([note for note in seen.notices if note.level == Level.DOUBT])
            _date(here, photo)
        if st.button(VISIT["remove"], key=f"remove-{photo.id}"):
            here.store.photos.set_state(photo.id, "removed")
            undo = partial(here.store.photos.set_state, photo.id, "used")
            offer_undo(here.where, VISIT["removed"].format(photo=plain(photo.name)), undo)
            st.rerun()


def _usable(photo: KeptPhoto, seen: Reading) -> str:
    """How far a photo that serves has been read."""
    if being_measured(photo.id):
        return str(VISIT["measuring_spot"])
    if retakes(seen):
        return str(VISIT["usable_by_hand"])
    return str(VISIT["usable_found" if outline_px(seen) is None else "usable_place"])


def _draw(here: Here, photo: KeptPhoto, seen: Reading, number: int) -> None:
    """The photo with the sticker and the outline that were found on it."""
    corners, border = sticker_px(seen), outline_px(seen)
    look_canvas(
        here.picture(photo),
        key=f"look-{photo.id}",
        label=VISIT["photo_label"].format(number=number),
        sticker=None if corners is None else corners.tolist(),
        outline=None if border is None else border.tolist(),
    )


def _unusable(reasons: tuple[Notice, ...]) -> None:
    st.markdown(f"**{VISIT['not_usable']}**")
    for note in reasons:
        st.write(f"{plain(note.says)} {plain(note.do)}")
    st.write(VISIT["retake"])


def _date(here: Here, photo: KeptPhoto) -> None:
    """Ask for the day where the file does not tell it."""
    if photo.taken is not None and photo.taken_basis != "given":
        return
    st.write(VISIT["no_date"])
    today, key = local_day(here.store.now()), f"day-{photo.id}"
    if photo.taken is None:
        here.store.photos.set_taken(photo.id, datetime.combine(today, NOON))
    st.date_input(
        VISIT["taken"],
        value=photo.taken.date() if photo.taken else today,
        max_value=today,
        key=key,
        format="YYYY-MM-DD",
        on_change=partial(_set_day, here, photo, key),
    )


def _set_day(here: Here, photo: KeptPhoto, key: str) -> None:
    here.store.photos.set_taken(photo.id, datetime.combine(st.session_state[key], NOON))
