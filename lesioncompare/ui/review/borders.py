"""The border on each photo: accepted, corrected or rejected; visits left out and used again."""

from typing import NoReturn

import streamlit as st

from lesioncompare.errors import OutlineError
from lesioncompare.quantity import COVERAGE_95
from lesioncompare.records import Points
from lesioncompare.series import (
    Taken,
    around,
    display_copy,
    examine,
    mended_contour,
    outline_px,
    start_px,
    sticker_px,
)
from lesioncompare.ui.components.photo_canvas import (
    Focus,
    Picture,
    drawn_edits,
    look_canvas,
    mend_canvas,
)
from lesioncompare.ui.dates import local_day, on_day
from lesioncompare.ui.parts import plain, show_notices
from lesioncompare.ui.review.case import Case, kept, label_of, who
from lesioncompare.ui.state import store
from lesioncompare.ui.texts import REVIEW

MENDING = "review-mending"  # key of the photo whose border is being corrected


def show_borders(case: Case) -> None:
    """One photo with its border, and what can be said of it."""
    by_id = case.by_id
    if not by_id:
        st.write(REVIEW["empty"])
        return
    picked = st.selectbox(
        REVIEW["border_photo"],
        list(by_id),
        index=len(by_id) - 1,
        format_func=lambda photo_id: label_of(by_id[photo_id]),
        key=f"border-{case.spot.id}",
    )
    taken = by_id[picked]
    if st.session_state.get(MENDING) == (picked, case.spot.id):
        _mend(case, taken)
        return
    left, right = st.columns((3, 2), gap="medium")
    with left:
        _look(taken)
    with right:
        show_notices(taken.reading.notices)
        _told(case, taken)
        if taken.photo.state == "excluded":
            _out(taken)
        else:
            _ways(case, taken)


def _picture(taken: Taken) -> Picture:
    copy = display_copy(store(), taken.photo)
    return Picture(copy.id, copy.jpeg, copy.width, copy.height)


def _look(taken: Taken) -> None:
    border, corners = outline_px(taken.reading), sticker_px(taken.reading)
    look_canvas(
        _picture(taken),
        key=f"review-photo-{taken.photo.id}",
        label=REVIEW["border_label"],
        sticker=None if corners is None else corners.tolist(),
        outline=None if border is None else border.tolist(),
        focus=None if border is None else Focus(*around(border)),
    )


def _told(case: Case, taken: Taken) -> None:
    """Where the border is from, and what people said of it."""
    outline = taken.reading.outline
    if outline is not None:
        u = f"{COVERAGE_95 * outline.border_u_mm:.2f}"
        st.write(REVIEW["present"].format(by=REVIEW["by"][outline.by], u=u))
    for word in store().corrections.all(taken.photo.id, case.spot.id):
        date = on_day(local_day(word.at))
        line = REVIEW["signed"].format(
            what=REVIEW["said"][word.kind], who=plain(word.who), date=date
        )
        st.caption(f"{line}. {plain(word.reason)}")


def _ways(case: Case, taken: Taken) -> None:
    """Accept, correct, reject, or leave the whole visit out."""
    photo_id, named = taken.photo.id, bool(who())
    words = store().corrections
    if not named:
        st.write(REVIEW["who_first"])
    with st.container(horizontal=True):
        if st.button(REVIEW["accept"], disabled=not named or taken.reading.outline is None):
            words.add(photo_id, case.spot.id, "accepted", who=who())
            _done()
        if st.button(REVIEW["correct"], disabled=not named):
            st.session_state[MENDING] = (photo_id, case.spot.id)
            st.rerun()
        drawn = words.drawn(photo_id, case.spot.id) is not None
        if drawn and st.button(REVIEW["back_to_program"], disabled=not named):
            words.add(photo_id, case.spot.id, "automatic", who=who())
            _measure(case, photo_id)
            _done()
    reason = st.text_input(REVIEW["reason"], max_chars=500, key=f"reason-{photo_id}")
    ready = named and bool(reason.strip())
    st.caption(REVIEW["reject_note"] if ready or not named else REVIEW["reason_missing"])
    with st.container(horizontal=True):
        if st.button(REVIEW["reject"], disabled=not ready):
            words.add(photo_id, case.spot.id, "rejected", reason=reason, who=who())
            store().photos.set_state(photo_id, "excluded", reason=reason, who=who())
            _done()
        if st.button(REVIEW["leave_out"], disabled=not ready):
            for other in store().photos.of_visit(taken.visit.id):
                if other.state == "used":
                    store().photos.set_state(other.id, "excluded", reason=reason, who=who())
            _done()


def _out(taken: Taken) -> None:
    """Who left the photo out and why, and the way back."""
    last = store().photos.states(taken.photo.id)[-1]
    date = on_day(local_day(last.at))
    words = REVIEW["is_out"].format(date=date, who=plain(last.who), reason=plain(last.reason))
    st.write(words)
    if st.button(REVIEW["use_again"], disabled=not who()):
        store().photos.set_state(taken.photo.id, "used", who=who())
        _done()


def _mend(case: Case, taken: Taken) -> None:
    """The border under the brush; what is kept carries the name."""
    start = start_px(taken.reading)
    if start is None:
        _leave_mending()
    st.write(REVIEW["mend_do"])
    epoch = len(store().runs.all(taken.photo.id, case.spot.id))
    key = f"review-mend-{taken.photo.id}"
    edits = drawn_edits(key, epoch) or []
    contour: Points | None = None
    try:
        contour = mended_contour(start, edits)
    except OutlineError:
        st.write(REVIEW["mend_lost"])
    left, right = st.columns((3, 2), gap="medium")
    with left:
        mend_canvas(
            _picture(taken),
            key=key,
            label=REVIEW["mend_label"],
            epoch=epoch,
            outline=[] if contour is None else contour.round(2).tolist(),
            edits=edits,
            focus=Focus(*around(start)),
            on_change=lambda _: None,
        )
    with right:
        save = st.button(REVIEW["mend_save"], type="primary", disabled=contour is None or not who())
        if save and contour is not None:
            store().corrections.add(
                taken.photo.id,
                case.spot.id,
                "corrected",
                contour_px=contour.tolist(),
                strokes=edits,
                who=who(),
            )
            _measure(case, taken.photo.id)
            _leave_mending()
        if st.button(REVIEW["mend_cancel"]):
            _leave_mending()


def _measure(case: Case, photo_id: str) -> None:
    first = case.followed.first
    with st.spinner(REVIEW["measuring"]):
        examine(store(), photo_id, case.spot.id, first=first.photo if first else None)


def _leave_mending() -> NoReturn:
    st.session_state.pop(MENDING, None)
    st.rerun()


def _done() -> NoReturn:
    kept()
    st.rerun()
