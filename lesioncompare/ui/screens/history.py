"""The history of a site: every photo, the curves, what was found, and the notes."""

from functools import partial

import streamlit as st

from lesioncompare.errors import StoreError
from lesioncompare.series import Followed
from lesioncompare.store import CatSite, CatSpot
from lesioncompare.terms import MEASURES
from lesioncompare.ui.charts import SHOWN, show_curve
from lesioncompare.ui.dates import local_day, on_day
from lesioncompare.ui.film import show_pairs, show_strip
from lesioncompare.ui.following import follow_or_none, leave_one_out
from lesioncompare.ui.parts import caution, head, plain, show_finding
from lesioncompare.ui.photo_care import show_bin, show_photo
from lesioncompare.ui.redo import measure_again
from lesioncompare.ui.state import asked_site, go, link, offer_undo, store
from lesioncompare.ui.texts import HISTORY, HOME, VET, VISIT


def page() -> None:
    """Everything that is known of one site."""
    site = asked_site()
    cat = store().cats.get(site.cat_id)
    name = plain(cat.name)
    head(HISTORY["title"].format(site=site.site.keeper, name=name), cat, where=site.id)
    spot = choose_spot(store().spots.of_site(site.id))
    if spot is None or not store().visits.of_site(site.id):
        st.write(f"{HISTORY['empty']} {HISTORY['empty_do']}")
        return
    followed = follow_or_none(spot.id)
    if followed is None:
        leave_one_out(site)
        show_bin(site)
        return
    if followed.stale:  # the first photo was left out, or came back
        st.write(HISTORY["stale"])
        measure_again(spot.id)
    with st.container(horizontal=True):
        link(VET["title"], "vet", site=site.id)
    show_strip(followed)
    show_pairs(followed)
    curves(followed)
    findings(followed)
    notes(site)
    show_photo(site, spot, followed)
    care(site, spot, followed)
    caution()


def choose_spot(spots: list[CatSpot]) -> CatSpot | None:
    """The spot to show; a choice only where there are several."""
    if len(spots) < 2:
        return spots[0] if spots else None
    chosen = st.segmented_control(
        HISTORY["spot"],
        [spot.id for spot in spots],
        format_func={spot.id: spot.name for spot in spots}.__getitem__,
        default=spots[0].id,
        required=True,
        bind="query-params",
        key="spot",
    )
    return next(spot for spot in spots if spot.id == chosen)


def curves(followed: Followed) -> None:
    """One measure over time."""
    st.header(HISTORY["curves"], anchor=False)
    chosen = st.pills(
        HISTORY["measure"],
        SHOWN,
        format_func={name: MEASURES[name].keeper for name in SHOWN}.__getitem__,
        default=SHOWN[0],
        required=True,
    )
    show_curve(followed, chosen or SHOWN[0], key=f"curve-{chosen}")


def findings(followed: Followed) -> None:
    """What is said of the series, newest first."""
    st.header(HISTORY["findings"], anchor=False)
    found = sorted(followed.series.findings, key=lambda finding: -finding.visit)
    for finding in found:
        st.caption(on_day(local_day(followed.series.visits[finding.visit].when)))
        show_finding(finding)
    if not found:
        st.write(HISTORY["no_findings"])


def notes(site: CatSite) -> None:
    """Notes, and room for a new one."""
    st.header(HISTORY["notes"], anchor=False)
    kept = store().notes.of_site(site.id)
    for note in reversed(kept):
        st.write(plain(note.text))
        day = on_day(local_day(note.at))
        st.caption(HISTORY["signed"].format(who=plain(note.who), date=day))
    if not kept:
        st.caption(HISTORY["no_notes"])
    st.text_area(HISTORY["note"], max_chars=2000, key="note")
    st.button(HISTORY["note_save"], on_click=keep_note, args=(site.id,))


def keep_note(site_id: str) -> None:
    """Keep the note that was typed and clear its field."""
    try:
        store().notes.add(site_id, st.session_state["note"])
    except StoreError as problem:
        st.toast(f"{problem.what} {problem.advice}")
    else:
        st.session_state["note"] = ""


def care(site: CatSite, spot: CatSpot, followed: Followed) -> None:
    """What is done rarely: name spots, measure again, remove."""
    st.header(HISTORY["care"], anchor=False)
    show_bin(site)
    name_spots(site)
    with st.expander(HISTORY["remeasure"], expanded=len(followed.versions) > 1):
        if len(followed.versions) > 1:
            versions = ", ".join(sorted(followed.versions))
            st.write(HISTORY["mixed"].format(versions=plain(versions)))
        st.caption(HISTORY["remeasure_note"])
        if st.button(HISTORY["remeasure_do"]):
            measure_again(spot.id)
    with st.expander(HISTORY["delete_site"]):
        st.caption(HISTORY["delete_site_note"])
        if st.button(HISTORY["delete_site_do"].format(site=site.site.keeper)):
            remove_site(site)


def name_spots(site: CatSite) -> None:
    """What each spot is called, and room for another one."""
    with st.expander(HISTORY["spots"]):
        for spot in store().spots.of_site(site.id):
            key = f"name-{spot.id}"
            label = HISTORY["spot_name"].format(name=plain(spot.name))
            st.text_input(
                label, spot.name, max_chars=120, key=key, on_change=rename, args=(spot, key)
            )
        st.caption(HISTORY["spot_note"])
        if st.button(HISTORY["spot_add"]):
            count = len(store().spots.of_site(site.id))
            store().spots.add(site.id, VISIT["new_spot"].format(number=count + 1))
            st.rerun()


def rename(spot: CatSpot, key: str) -> None:
    """Keep the new name, or leave the old one where there is none."""
    try:
        store().spots.rename(spot.id, st.session_state[key])
    except StoreError as problem:
        st.toast(f"{problem.what} {problem.advice}")


def remove_site(site: CatSite) -> None:
    """Hide the site, with a way back."""
    store().sites.remove(site.id)
    undo = partial(store().sites.bring_back, site.id)
    offer_undo("home", HOME["deleted_site"].format(site=site.site.keeper), undo)
    go("home")


page()
