"""One watched place on the home screen."""

from datetime import date
from typing import Literal

import streamlit as st

from lesioncompare.records import Finding, Series
from lesioncompare.review.hands import hands_on
from lesioncompare.series import Followed, aligned
from lesioncompare.series.due import due_day, last_day, measured
from lesioncompare.store import Cat, CatSite, KeptVisit
from lesioncompare.terms import Level
from lesioncompare.ui.dates import from_today, local_day, on_day
from lesioncompare.ui.following import follow_site
from lesioncompare.ui.parts import plain
from lesioncompare.ui.state import go, link, store
from lesioncompare.ui.texts import HABIT, HOME, LEVELS, VISIT

THUMB_PX = 480  # [px] side of the picture


def show_tile(cat: Cat, site: CatSite) -> None:
    """Picture, dates, the leading finding, and the two ways on."""
    visits = store().visits.of_site(site.id)
    with st.container(border=True, key=f"tile-{site.id}"):
        picture = st.container()
        st.subheader(site.site.keeper.capitalize(), anchor=False)
        followed = follow_site(site)
        if followed is None:
            _ways(site, has_visits=bool(visits), to_vet=False)
            return
        with picture:
            _picture(cat, site, followed)
        felt = _felt(site, followed)
        for finding in felt:
            _say(finding)
        for one in followed:
            _finding(one.series)
        findings = [*felt, *(found for one in followed for found in one.series.findings)]
        levels = {found.level for found in findings}
        _dates(cat, site, measured(visits, followed), urgent=Level.NOW in levels)
        _ways(site, has_visits=bool(visits), to_vet=bool({Level.NOW, Level.SHOW} & levels))


def _picture(cat: Cat, site: CatSite, followed: list[Followed]) -> None:
    for one in followed:
        latest = next((t for t in reversed(one.taken) if t.counts), None)
        if latest is None or one.first is None:
            continue
        shown = aligned(store(), latest, one.first, side_px=THUMB_PX)
        if shown is not None:
            day = local_day(latest.reading.photo.taken or latest.visit.began_at)
            alt = HOME["thumb"].format(site=site.site.keeper, name=cat.name, date=on_day(day))
            st.image(shown.jpeg, alt=alt, width="stretch")
            return


def _dates(cat: Cat, site: CatSite, visits: list[KeptVisit], *, urgent: bool) -> None:
    """The last photo and the next; none where the vet comes first, or no cat grows older."""
    today = local_day(store().now())
    last, due = last_day(visits), due_day(site, visits)
    if last is None or due is None:
        st.write(HOME["never"])
        return
    with st.container(gap=None):
        st.write(HOME["last"].format(when=from_today(last, today), date=on_day(last)))
        if not urgent and not cat.simulated:
            st.write(_due_words(due, today))


def _due_words(due: date, today: date) -> str:
    if due == today:
        return HOME["due_now"]
    words = HOME["due"] if due > today else HOME["overdue"]
    return words.format(when=from_today(due, today), date=on_day(due))


def _felt(site: CatSite, followed: list[Followed]) -> list[Finding]:
    """What the hands told since the last photo that could be measured, where no series says it."""
    said = {found.says for one in followed for found in one.series.findings}
    told = [hands_on(site.site, [one.unmeasured]) for one in followed if one.unmeasured]
    by_words = {found.says: found for findings in told for found in findings}
    return [found for says, found in by_words.items() if says not in said]


def _say(finding: Finding) -> None:
    st.markdown(f"{LEVELS[finding.level]}: **{plain(finding.says)}**")


def _finding(series: Series) -> None:
    """The most pressing finding, be it of today or one that still stands."""
    if series.findings:
        _say(series.findings[0])
    elif series.visits:
        st.write(HOME["no_finding"])


def _ways(site: CatSite, *, has_visits: bool, to_vet: bool) -> None:
    """The vet first where a finding asks for it, else the next photo."""
    if to_vet and st.button(
        VISIT["show_vet"], type="primary", key=f"vet-{site.id}", width="stretch"
    ):
        go("vet", site=site.id)
    begun = store().visits.in_progress(site.id)
    label = HOME["photo"]
    if begun is not None:
        when = from_today(local_day(begun.began_at), local_day(store().now()))
        label = HOME["resume"].format(when=when)
    kind: Literal["primary", "secondary"] = "secondary" if to_vet else "primary"
    if st.button(label, type=kind, key=f"photo-{site.id}", width="stretch"):
        visit = begun or store().visits.begin(site.id, sticker_diameter_mm=_usual_sticker(site))
        go("visit", visit=visit.id)
    if has_visits and st.button(HOME["history"], key=f"history-{site.id}", width="stretch"):
        go("history", site=site.id)
    link(HABIT["remind"], "reminder", site=site.id)


def _usual_sticker(site: CatSite) -> float | None:
    visits = store().visits.of_site(site.id)
    return visits[-1].sticker_diameter_mm if visits else None
