"""Two photos against each other, and the strip of all of them."""

import streamlit as st

from lesioncompare.series import Taken, aligned
from lesioncompare.series.marks import place_on_photo, place_on_picture
from lesioncompare.series.pictures import ALIGNED_SIDE_PX, Aligned
from lesioncompare.series.strip import being_made, laid_over, strip
from lesioncompare.store import Decision
from lesioncompare.ui.components.aligned_pair import Mark, Shot, aligned_pair, aligned_strip
from lesioncompare.ui.review.case import MARK, Case, Pointed, label_of, long_label
from lesioncompare.ui.state import store
from lesioncompare.ui.texts import REVIEW

THUMB_PX = 160  # [px] side of a picture in the strip
LOOK_AGAIN_S = 2.0  # [s] while small pictures are being made


def show_pair(case: Case) -> None:
    """Any two photos that lie over each other; a place on them can be marked."""
    laid = {taken.photo.id: taken for taken in laid_over(case.followed)}
    if len(laid) < 2:
        st.write(REVIEW["one_photo"] if laid else REVIEW["not_laid"])
        if not laid:
            return
    ids = list(laid)
    names = {photo_id: label_of(taken) for photo_id, taken in laid.items()}
    left, right = st.columns(2)
    earlier = left.selectbox(
        REVIEW["earlier"], ids, key=f"earlier-{case.spot.id}", format_func=names.__getitem__
    )
    later = right.selectbox(
        REVIEW["later"],
        ids,
        index=len(ids) - 1,
        key=f"later-{case.spot.id}",
        format_func=names.__getitem__,
    )
    _viewer(case, laid[earlier], laid[later])


def _viewer(case: Case, earlier: Taken, later: Taken) -> None:
    first = case.followed.first
    pictures = [p for t in (earlier, later) if first and (p := aligned(store(), t, first))]
    if first is None or len(pictures) < 2:
        st.write(REVIEW["not_laid"])
        return

    def keep(mark: Mark) -> None:
        taken = (earlier, later)[mark.which]
        at = place_on_photo(taken, first, (mark.x, mark.y), ALIGNED_SIDE_PX)
        if at is not None:
            st.session_state[MARK] = Pointed(taken.photo.id, *at)

    shots = [_shot(case, t, p) for t, p in zip((earlier, later), pictures, strict=True)]
    aligned_pair(
        *shots,
        key=f"pair-{case.spot.id}",
        side_px=ALIGNED_SIDE_PX,
        mm_per_px=pictures[0].mm_per_px,
        mark=_kept_mark(case, first, (later, earlier)),
        on_mark=keep,
    )


def _shot(case: Case, taken: Taken, picture: Aligned) -> Shot:
    alt = REVIEW["photo_alt"].format(site=case.site.site.vet, date=long_label(taken))
    border = None if picture.outline is None else picture.outline.round(1).tolist()
    return Shot(picture.jpeg, label_of(taken), alt, border)


def _kept_mark(case: Case, first: Taken, shown: tuple[Taken, Taken]) -> tuple[float, float] | None:
    """The place of the last decision that marked one on a photo of this spot."""
    marked: list[Decision] = [
        d for d in store().decisions.of_site(case.site.id) if d.photo_id in case.by_id
    ]
    for decision in reversed(marked):
        if decision.x is not None and decision.y is not None and decision.photo_id is not None:
            taken = case.by_id[decision.photo_id]
            if taken.photo.id in {t.photo.id for t in shown} or taken.counts:
                at = (decision.x, decision.y)
                return place_on_picture(taken, first, at, ALIGNED_SIDE_PX)
    return None


def show_strip(case: Case) -> None:
    """Every photo, small; those still being made come by themselves."""
    st.header(REVIEW["strip"], anchor=False)
    shown = strip(store(), case.followed, side_px=THUMB_PX)
    if all(picture is not None for _, picture in shown):
        _strip(case, shown)
    else:
        st.fragment(_growing, run_every=LOOK_AGAIN_S)(case)


def _growing(case: Case) -> None:
    """The strip while it is being made."""
    shown = strip(store(), case.followed, side_px=THUMB_PX)
    _strip(case, shown)
    done = sum(picture is not None for _, picture in shown)
    if done == len(shown) or not being_made(store(), case.followed):
        st.rerun()
    st.caption(REVIEW["strip_wait"].format(done=done, count=len(shown)))


def _strip(case: Case, shown: list[tuple[Taken, Aligned | None]]) -> None:
    shots = []
    for taken, picture in shown:
        alt = REVIEW["photo_alt"].format(site=case.site.site.vet, date=long_label(taken))
        shots.append(Shot(b"" if picture is None else picture.jpeg, label_of(taken), alt))
    aligned_strip(shots, key=f"strip-{case.spot.id}", label=REVIEW["strip"])
