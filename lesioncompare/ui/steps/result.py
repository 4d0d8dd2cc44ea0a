"""Step five: same, changed or cannot tell; the pictures, the curve, and what to do next."""

from typing import Literal

import streamlit as st

from lesioncompare.records import Finding, Series, Visit
from lesioncompare.report.compared import (
    Compared,
    against_last,
    against_start,
    verdict_of,
    visit_of,
)
from lesioncompare.review import URGENCY, as_of
from lesioncompare.review.hands import hands_on
from lesioncompare.series import Followed, Taken
from lesioncompare.series.due import due_day, measured
from lesioncompare.terms import CHANGES, Level, Verdict
from lesioncompare.ui.charts import show_curve
from lesioncompare.ui.dates import from_today, local_day, on_day
from lesioncompare.ui.following import follow_site
from lesioncompare.ui.pairs import show_pair
from lesioncompare.ui.parts import caution, plain, show_finding
from lesioncompare.ui.state import go
from lesioncompare.ui.steps.context import Here
from lesioncompare.ui.texts import COMMON, HOME, LEVELS, RESULT, VISIT

SIZE = "area"
Kind = Literal["primary", "secondary"]


def show(here: Here) -> None:
    """The result of every spot, then what to do next."""
    spots = follow_site(here.site)
    if spots is None:
        return
    for spot, followed in zip(here.spots, spots, strict=True):
        if len(spots) > 1:
            st.header(plain(spot.name), anchor=False)
        _show_spot(here, followed)
    _next(here, spots)
    caution()


def _show_spot(here: Here, followed: Followed) -> None:
    """The verdict first, then what to do, then figures and pictures."""
    place = _place(here, followed)
    if place is None:
        _verdict(VISIT["nothing_usable"], VISIT["nothing_usable_do"])
        _felt(here)
        return
    series = as_of(followed.series, place)
    if place == 0:
        _verdict(VISIT["result_first"], VISIT["result_first_do"])
    elif (verdict := verdict_of(series.findings)) is not None:
        _verdict(RESULT["verdicts"][verdict], RESULT["means"][verdict])
    else:
        _verdict(LEVELS[series.findings[0].level], RESULT["level_means"])
    for finding in series.findings:
        if finding.visit != place:  # one that still stands
            day = local_day(series.visits[finding.visit].when)
            st.caption(RESULT["of_earlier"].format(date=on_day(day)))
        show_finding(finding)
    if place > 0:
        _against(series, place)
        _pictures(here, followed)
    if len(series.visits) > 1:
        show_curve(followed, SIZE, key=f"curve-{followed.spot_id}")


def _place(here: Here, followed: Followed) -> int | None:
    """Which visit of the series this one is; None when no photo of it could be measured."""
    return visit_of(followed.series, {photo.sha256 for photo in here.photos})


def _verdict(says: str, means: str) -> None:
    """The one sentence that the keeper came for, the largest on the screen."""
    with st.container(key="verdict"):
        st.header(says, anchor=False)
        st.write(means)


def _felt(here: Here) -> None:
    """What the hands told, where no photo of the visit can carry it into a finding."""
    for finding in _told(here):
        st.markdown(f"**{LEVELS[finding.level]}.** {plain(finding.says)}")


def _told(here: Here) -> list[Finding]:
    """The answers of this visit that ask for something."""
    given = here.store.answers.of_visit(here.visit.id)
    return hands_on(here.site.site, [Visit(here.visit.began_at, (), given)])


def _asked(here: Here, spots: list[Followed]) -> dict[str, Level]:
    """What findings that stand and answers of this visit ask for, the most pressing first."""
    asked = {found.do: found.level for found in _told(here)}
    for one in spots:
        if (place := _place(here, one)) is not None:
            asked |= {found.do: found.level for found in as_of(one.series, place).findings}
    pressing = [level for level in URGENCY if level in {Level.NOW, Level.SHOW, Level.WATCH}]
    return {do: level for level in pressing for do, has in asked.items() if has is level}


def _against(series: Series, place: int) -> None:
    """The size in figures, against last time and against the start."""
    rows = (
        (VISIT["against_last"], place - 1, against_last(series, place, SIZE)),
        (VISIT["against_start"], 0, against_start(series, place, SIZE)),
    )
    for title, other, compared in rows:
        if compared is not None:
            day = local_day(series.visits[other].when)
            st.markdown(f"**{title.format(date=on_day(day))}**: {plain(_figures(compared))}")


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


def _next(here: Here, spots: list[Followed]) -> None:
    """What to do next: what presses, the date unless it is urgent, the vet, the history."""
    st.subheader(VISIT["next"], anchor=False)
    asked = _asked(here, spots)
    if asked:
        st.markdown("\n".join(f"- **{plain(do)}**" for do in asked))
    visits = here.store.visits.of_site(here.site.id)
    due = due_day(here.site, measured(visits, spots))
    counts = all(_place(here, one) is not None for one in spots)
    urgent = Level.NOW in asked.values()
    if due is not None and counts and not urgent and not here.cat.simulated:
        today = local_day(here.store.now())
        words = VISIT["next_photo" if due > today else "next_now"]
        st.write(words.format(when=from_today(due, today), date=on_day(due)))
    kinds: tuple[Kind, Kind] = ("secondary", "primary")
    to_vet, done = reversed(kinds) if {Level.NOW, Level.SHOW} & set(asked.values()) else kinds
    if st.button(VISIT["show_vet"], type=to_vet, width="stretch"):
        go("vet", site=here.site.id)
    if st.button(COMMON["done"], type=done, width="stretch"):
        go("home")
    if st.button(HOME["history"], width="stretch"):
        go("history", site=here.site.id)
