"""The photos of a spot side by side, each laid over the first one."""

import streamlit as st

from lesioncompare.series import Followed, Taken, aligned
from lesioncompare.ui.dates import local_day, on_day, short_day
from lesioncompare.ui.pairs import show_pair
from lesioncompare.ui.state import store
from lesioncompare.ui.texts import HISTORY, VISIT

FRAME_PX = 320  # [px] side of one picture
SHOWN_PX = 112  # [px] on the screen
FEW = 12  # [1] pictures in the strip, the newest, until more are asked for


def day_of(taken: Taken) -> str:
    """The day a photo was taken, short."""
    return short_day(local_day(taken.reading.photo.taken or taken.visit.began_at))


def show_strip(followed: Followed) -> None:
    """The strip, oldest first; it moves sideways inside its own frame."""
    st.header(HISTORY["strip"], anchor=False)
    more = len(followed.taken) > FEW and st.toggle(HISTORY["strip_all"])
    with st.container(key="strip"), st.container(horizontal=True, wrap=False, gap="small"):
        for taken in followed.taken if more else followed.taken[-FEW:]:
            with st.container(width=SHOWN_PX):
                _frame(followed, taken)


def _frame(followed: Followed, taken: Taken) -> None:
    caption = day_of(taken)
    if taken.photo.state == "excluded":
        caption += f" ({HISTORY['excluded']})"
    picture = None
    if taken.counts and followed.first is not None:
        picture = aligned(store(), taken, followed.first, side_px=FRAME_PX)
    if picture is None:
        st.write(caption)
        if taken.photo.state != "excluded":
            st.caption(HISTORY["not_laid"])
        return
    long_day = on_day(local_day(taken.reading.photo.taken or taken.visit.began_at))
    alt = HISTORY["strip_alt"].format(date=long_day)
    st.image(picture.jpeg, caption=caption, alt=alt, width=SHOWN_PX)


def show_pairs(followed: Followed) -> None:
    """Any two photos laid over each other."""
    laid = {t.photo.id: t for t in followed.taken if t.counts and t.reading.alignment is not None}
    if len(laid) < 2:
        return
    st.header(HISTORY["compare"], anchor=False)
    ids, names = list(laid), {photo_id: day_of(taken) for photo_id, taken in laid.items()}
    earlier = st.selectbox(HISTORY["earlier"], ids[:-1], format_func=names.__getitem__)
    later = st.selectbox(
        HISTORY["later"], ids[1:], index=len(ids) - 2, format_func=names.__getitem__
    )
    if not show_pair(followed, laid[earlier], laid[later], key="history-pair"):
        st.caption(VISIT["no_picture"])
