"""The series of a spot, on screens that must open even where it cannot be followed."""

import logging

import streamlit as st

from lesioncompare.series import Followed, follow_spot
from lesioncompare.store import CatSite
from lesioncompare.ui.dates import local_day, on_day
from lesioncompare.ui.state import link, store
from lesioncompare.ui.texts import HISTORY

_log = logging.getLogger(__name__)


def follow_or_none(spot_id: str) -> Followed | None:
    """What follows from the photos of a spot; None where that fails, whatever the reason."""
    try:
        return follow_spot(store(), spot_id)
    except Exception:  # noqa: BLE001  whatever it is, the keeper must reach the photos
        _log.exception("The series of spot %s cannot be followed", spot_id)
        return None


def follow_site(site: CatSite) -> list[Followed] | None:
    """The series of every spot of a site; None, and the way out on the screen, where one fails."""
    found = [follow_or_none(spot.id) for spot in store().spots.of_site(site.id)]
    followed = [one for one in found if one is not None]
    if len(followed) == len(found):
        return followed
    cannot_follow(site)
    return None


def cannot_follow(site: CatSite) -> None:
    """That nothing can be compared, and the way to leave a photo out."""
    st.write(HISTORY["cannot_follow"])
    link(HISTORY["leave_one_out"], "history", site=site.id)


def leave_one_out(site: CatSite) -> None:
    """On the history: leave out the photo that the series cannot be followed with."""
    st.write(f"{HISTORY['cannot_follow']} {HISTORY['cannot_follow_do']}")
    photos = [p for kept in store().photos.of_site(site.id).values() for p in kept]
    used = {p.id: p for p in photos if p.state == "used"}
    days = {key: on_day(local_day(p.taken or p.added_at)) for key, p in used.items()}
    newest = sorted(used, key=lambda key: used[key].added_at, reverse=True)
    picked = st.selectbox(HISTORY["pick"], newest, format_func=days.__getitem__)
    if picked and st.button(HISTORY["exclude"], type="primary", width="stretch"):
        store().photos.set_state(picked, "excluded", reason=HISTORY["not_followed"])
        st.rerun()
