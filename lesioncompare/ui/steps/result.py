"""Step five: same, changed or cannot tell; the pictures, the curve, and what to do next."""

import streamlit as st

from lesioncompare.records import Series
from lesioncompare.report.compared import (
    Compared,
    against_last,
    against_start,
    verdict_at,
    visit_of,
)
from lesioncompare.series import Followed, Taken, follow_spot
from lesioncompare.series.due import due_day
from lesioncompare.terms import CHANGES, Verdict
from lesioncompare.ui.charts import show_curve
from lesioncompare.ui.dates import from_today, local_day, on_day
from lesioncompare.ui.pairs import show_pair
from lesioncompare.ui.parts import caution, plain, show_finding
from lesioncompare.ui.state import go
from lesioncompare.ui.steps.context import Here
from lesioncompare.ui.texts import COMMON, HOME, RESULT, VISIT

SIZE = "area"


def show(here: Here) -> None:
    """The result of every spot, then what to do next."""
    for spot in here.spots:
        followed = follow_spot(here.store, spot.id)
        if len(here.spots) > 1:
            st.header(plain(spot.name), anchor=False)
        _show_spot(here, followed)
    _next(here)
    caution()


def _show_spot(here: Here, followed: Followed) -> None:
    series = followed.series
    place = visit_of(series, {photo.sha256 for photo in here.photos})
    if place is None:
        st.subheader(VISIT["nothing_usable"], anchor=False)
        st.write(VISIT["nothing_usable_do"])
        return
    if place == 0:
        st.subheader(VISIT["result_first"], anchor=False)
    else:
        verdict = verdict_at(series, place)
        st.subheader(RESULT["verdicts"][verdict], anchor=False)
        st.write(RESULT["means"][verdict])
        _against(series, place)
    for finding in series.findings:
        if finding.visit == place:
            show_finding(finding)
    if place > 0:
        _pictures(here, followed)
    show_curve(followed, SIZE, key=f"curve-{followed.spot_id}")


def _against(series: Series, place: int) -> None:
    """The size in figures, against last time and against the start."""
    rows = (
        (VISIT["against_last"], place - 1, against_last(series, place, SIZE)),
        (VISIT["against_start"], 0, against_start(series, place, SIZE)),
    )
    for title, other, compared in rows:
        if compared is not None:
            day = local_day(series.visits[other].when)
            st.markdown(f"**{title.format(date=on_day(day))}**: {_figures(compared)}")


def _figures(compared: Compared) -> str:
    """Such as "size (area) +4 % (−6 to +15 %): no change measured"."""
    verdict = compared.verdict
    words = CHANGES[compared.measure].keeper
    if verdict is Verdict.UNKNOWN:
        return RESULT["unknown"].format(words=words, verdict=verdict)
    return RESULT["figures"].format(
        words=words,
        value=_signed(compared.difference),
        low=_signed(compared.low),
        high=_signed(compared.high),
        verdict=verdict,
        detectable=f"{compared.detectable:.0f}",
    )


def _signed(percent: float) -> str:
    return f"{percent:+.0f}".replace("-", "−")


def _pictures(here: Here, followed: Followed) -> None:
    """Today's photo over the last or the first one."""
    shas = {photo.sha256 for photo in here.photos}
    laid = [t for t in followed.taken if t.counts and t.reading.alignment is not None]
    today = next((t for t in laid if t.photo.sha256 in shas), None)
    earlier = [t for t in laid if t.photo.sha256 not in shas and _before(t, today)]
    if today is None or not earlier:
        st.caption(VISIT["no_picture"])
        return
    over = "last_time"
    if earlier[0].visit.id != earlier[-1].visit.id:
        over = st.segmented_control(
            VISIT["compare_with"],
            ["last_time", "the_start"],
            format_func=VISIT.__getitem__,
            default="last_time",
            required=True,
            key=f"over-{followed.spot_id}",
            width="stretch",
        )
    other = earlier[0] if over == "the_start" else earlier[-1]
    if not show_pair(followed, other, today, key=f"pair-{followed.spot_id}"):
        st.caption(VISIT["no_picture"])


def _before(taken: Taken, today: Taken | None) -> bool:
    if today is None:
        return False
    one, other = taken.reading.photo.taken, today.reading.photo.taken
    return one is not None and other is not None and local_day(one) <= local_day(other)


def _next(here: Here) -> None:
    """What to do next: the date, the vet, the history."""
    st.subheader(VISIT["next"], anchor=False)
    due = due_day(here.site, here.store.visits.of_site(here.site.id))
    if due is not None:
        today = local_day(here.store.now())
        words = VISIT["next_photo" if due > today else "next_now"]
        st.write(words.format(when=from_today(due, today), date=on_day(due)))
    if st.button(COMMON["done"], type="primary", width="stretch"):
        go("home")
    if st.button(VISIT["show_vet"], width="stretch"):
        go("vet", site=here.site.id)
    if st.button(HOME["history"], width="stretch"):
        go("history", site=here.site.id)
