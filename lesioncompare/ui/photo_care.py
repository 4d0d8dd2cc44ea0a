"""One photo of the history: its outline, its numbers, and leaving it out or taking it back."""

from datetime import datetime, time
from functools import partial

import streamlit as st

from lesioncompare.series import Followed, Taken, around, examine, outline_px, sticker_px
from lesioncompare.store import CatSite, CatSpot, KeptPhoto, Run, reading_from_json
from lesioncompare.ui.components.photo_canvas import Focus, look_canvas
from lesioncompare.ui.dates import local_day, on_day
from lesioncompare.ui.film import day_of
from lesioncompare.ui.parts import plain, show_notices
from lesioncompare.ui.state import offer_undo, store
from lesioncompare.ui.steps.context import Here
from lesioncompare.ui.steps.mend import mend
from lesioncompare.ui.texts import HISTORY, VISIT

NOON = time(12)


def show_photo(site: CatSite, spot: CatSpot, followed: Followed) -> None:
    """The photo that was picked, the newest at first."""
    st.header(HISTORY["one"], anchor=False)
    by_id = {taken.photo.id: taken for taken in followed.taken}
    if not by_id:
        return
    picked = st.selectbox(
        HISTORY["pick"],
        list(by_id),
        index=len(by_id) - 1,
        format_func=lambda photo_id: day_of(by_id[photo_id]),
    )
    taken = by_id[picked]
    here = Here(store(), store().visits.get(taken.visit.id))  # its draft as it is now
    mending = here.visit.draft.get("mend")
    if mending and mending["photo"] == taken.photo.id and mending["spot"] == spot.id:
        mend(here, taken.photo, spot, after=partial(here.save_draft, mend=None))
        return
    _look(here, taken)
    show_notices(taken.reading.notices)
    _outline_ways(here, taken, spot)
    _leave_out(site.id, taken)
    _date(taken)
    _numbers(taken.photo, spot)


def _look(here: Here, taken: Taken) -> None:
    border, corners = outline_px(taken.reading), sticker_px(taken.reading)
    look_canvas(
        here.picture(taken.photo),
        key=f"photo-{taken.photo.id}",
        label=VISIT["outline_label"],
        sticker=None if corners is None else corners.tolist(),
        outline=None if border is None else border.tolist(),
        focus=None if border is None else Focus(*around(border)),
    )


def _outline_ways(here: Here, taken: Taken, spot: CatSpot) -> None:
    """Correct the outline, or go back to the program's own."""
    photo = taken.photo
    if st.button(HISTORY["reoutline"], width="stretch"):
        here.save_draft(mend={"photo": photo.id, "spot": spot.id, "edits": []})
        st.rerun()
    if store().corrections.drawn(photo.id, spot.id) is not None:
        st.caption(HISTORY["by_person"])
        if st.button(HISTORY["automatic"], width="stretch"):
            store().corrections.add(photo.id, spot.id, "automatic")
            with st.spinner(VISIT["measuring"]):
                examine(store(), photo.id, spot.id)
            st.rerun()


def _leave_out(site_id: str, taken: Taken) -> None:
    """Exclude with a reason, use again, or delete; all of it can be undone."""
    photo = taken.photo
    states = store().photos
    if photo.state == "excluded":
        last = states.states(photo.id)[-1]
        words = HISTORY["is_excluded"].format(
            date=on_day(local_day(last.at)), who=plain(last.who), reason=plain(last.reason)
        )
        st.write(words)
        if st.button(HISTORY["use_again"], width="stretch"):
            states.set_state(photo.id, "used")
            st.rerun()
        return
    with st.expander(HISTORY["exclude"]):
        reason = st.pills(HISTORY["reason"], HISTORY["reasons"], key=f"reason-{photo.id}")
        if st.button(HISTORY["exclude"], disabled=reason is None, key=f"exclude-{photo.id}"):
            states.set_state(photo.id, "excluded", reason=str(reason))
            st.rerun()
        st.caption(HISTORY["remove_note"])
        if st.button(HISTORY["remove"], key=f"delete-{photo.id}"):
            states.set_state(photo.id, "removed", reason=HISTORY["remove"])
            undo = partial(states.set_state, photo.id, "used")
            offer_undo(site_id, HISTORY["removed"].format(date=day_of(taken)), undo)
            st.rerun()


def _date(taken: Taken) -> None:
    """Put the photo on another day."""
    with st.expander(HISTORY["date"]):
        key = f"date-{taken.photo.id}"
        st.date_input(
            VISIT["taken"],
            value=local_day(taken.reading.photo.taken or taken.visit.began_at),
            max_value=local_day(store().now()),
            key=key,
            format="YYYY-MM-DD",
            on_change=partial(_set_day, taken, key),
        )


def _set_day(taken: Taken, key: str) -> None:
    store().photos.set_taken(taken.photo.id, datetime.combine(st.session_state[key], NOON))
    store().visits.finish(taken.visit.id)


def _numbers(photo: KeptPhoto, spot: CatSpot) -> None:
    """Every measurement of this photo, old ones too."""
    with st.expander(HISTORY["numbers"]):
        runs = store().runs.all(photo.id, spot.id)
        rows = [dict(zip(HISTORY["numbers_columns"], _row(run), strict=True)) for run in runs]
        st.table(rows)


def _row(run: Run) -> tuple[str, ...]:
    reading = reading_from_json(run.reading)
    measured = reading.measurement.quantities if reading.measurement is not None else {}
    figures = [
        f"{q.value:.2f} ({q.low:.2f} to {q.high:.2f}) {q.unit}" if q is not None else "–"
        for q in (measured.get("area"), measured.get("longest_diameter"))
    ]
    by = HISTORY["outline_by"][reading.outline.by] if reading.outline is not None else "–"
    return on_day(local_day(run.at)), run.version, *figures, by


def show_bin(site: CatSite) -> None:
    """Deleted photos, each with a way back."""
    visits = store().visits.of_site(site.id)
    gone = [
        photo
        for visit in visits
        for photo in store().photos.of_visit(visit.id, removed=True)
        if photo.state == "removed"
    ]
    if not gone:
        return
    with st.expander(HISTORY["bin"]):
        for photo in gone:
            with st.container(horizontal=True, vertical_alignment="center"):
                day = photo.taken or photo.added_at
                st.write(on_day(local_day(day)))
                if st.button(HISTORY["bring_back"], key=f"back-{photo.id}"):
                    store().photos.set_state(photo.id, "used", reason=HISTORY["bring_back"])
                    st.rerun()
