"""The weekly habit: a reminder for one's own calendar, and the weeks so far."""

from datetime import time

import altair as alt
import streamlit as st

from lesioncompare.exchange.calendar import Appointment, calendar_file, parse_clock
from lesioncompare.series.due import due_day, measured
from lesioncompare.store import CatSite, KeptVisit, Reminder
from lesioncompare.teach.habit import Week, kept, weeks
from lesioncompare.ui.charts import INK, axis
from lesioncompare.ui.cited import Cited
from lesioncompare.ui.dates import from_today, local_day, on_day, short_day
from lesioncompare.ui.following import follow_site
from lesioncompare.ui.parts import head, plain
from lesioncompare.ui.state import asked_site, store
from lesioncompare.ui.sun_charts import theme
from lesioncompare.ui.texts import DATES, HABIT

SUNDAY, USUAL = 6, time(17)  # daylight in most seasons and places; common practice, no source
STRIP_PX = 130
TAKEN, NOT_TAKEN = "#3f7cac", "#ffffff00"


def page() -> None:
    """Reminder, file, and the weeks so far."""
    site = asked_site()
    cat = store().cats.get(site.cat_id)
    head(HABIT["title"], cat)
    st.write(HABIT["intro"].format(name=plain(cat.name), site=site.site.keeper))
    cited = Cited()
    choose(site, store().reminders.of_site(site.id))
    cited.list(("same_day", "gaps"))
    if not cat.simulated:  # its photos were all taken long ago, and no week of it is missed
        st.header(HABIT["kept"], anchor=False)
        followed = follow_site(site)
        if followed is not None:
            show_weeks(site, measured(store().visits.of_site(site.id), followed))
    cited.foot()


def choose(site: CatSite, present: Reminder | None) -> None:
    """Day and time, kept on pressing, with the file to download."""
    weekday = st.pills(
        HABIT["weekday"],
        list(range(7)),
        format_func=DATES["weekdays"].__getitem__,
        default=present.weekday if present else SUNDAY,
        required=True,
        key="weekday",
    )
    clock = st.time_input(
        HABIT["clock"], value=parse_clock(present.clock) if present else USUAL, key="clock"
    )
    if st.button(HABIT["save"], type="primary", width="stretch") and clock is not None:
        store().reminders.set(site.id, weekday=int(weekday or 0), clock=f"{clock:%H:%M}")
        st.session_state["said"] = HABIT["saved"]
        st.rerun()
    if said := st.session_state.pop("said", None):
        st.success(said)
    if present is not None:
        show_present(site, present)


def show_present(site: CatSite, present: Reminder) -> None:
    """The reminder that counts, as a file, and a way to stop it."""
    day = DATES["weekdays"][present.weekday]
    st.write(HABIT["present"].format(weekday=day, clock=present.clock))
    appointment = Appointment(
        uid=f"{site.id}@lesioncompare",
        summary=HABIT["summary"].format(site=site.site.keeper),
        weekday=present.weekday,
        clock=present.clock,
        start=local_day(store().now()),
        changed=int(present.at.timestamp()) % 2**31,
    )
    st.download_button(
        HABIT["download"],
        data=calendar_file(appointment, store().now()),
        file_name="lesioncompare-weekly.ics",
        mime="text/calendar",
        on_click="ignore",
        width="stretch",
    )
    st.caption(HABIT["download_note"])
    if st.button(HABIT["stop"], type="tertiary"):
        store().reminders.set(site.id, weekday=present.weekday, clock=present.clock, active=False)
        st.session_state["said"] = HABIT["stopped"]
        st.rerun()


def show_weeks(site: CatSite, visits: list[KeptVisit]) -> None:
    """A square for each week, filled where there was a photo; and when the next one is due."""
    today = local_day(store().now())
    days = [local_day(visit.taken or visit.began_at) for visit in visits]
    shown = weeks(days, today)
    if not shown:
        st.write(HABIT["kept_none"])
        return
    had, count = kept(shown, today)
    st.write(HABIT["kept_count"].format(kept=had, count=count))
    due = due_day(site, visits)
    if due is not None:
        st.write(HABIT["due"].format(when=from_today(due, today), date=on_day(due)))
    strip(shown)


def strip(shown: tuple[Week, ...]) -> None:
    """The weeks as a strip."""
    cells = [
        {"week": n, "row": "", "said": HABIT["with"] if week.visits else HABIT["without"]}
        for n, week in enumerate(shown)
    ]
    names = {n: short_day(week.monday).rsplit(" ", 1)[0] for n, week in enumerate(shown)}
    label = " : ".join(f"datum.value == {n} ? '{day}'" for n, day in names.items()) + " : ''"
    step = max(1, len(shown) // 5)
    ink = INK[theme()]
    shades = alt.Scale(domain=[HABIT["with"], HABIT["without"]], range=[TAKEN, NOT_TAKEN])
    legend = alt.Legend(
        orient="bottom", title=None, labelColor=ink, labelFontSize=14, symbolStrokeColor=ink
    )
    chart = (
        alt.Chart({"values": cells})
        .mark_rect(stroke=ink, strokeWidth=1.5)
        .encode(
            x=alt.X(
                "week:O",
                scale=alt.Scale(paddingInner=0.15),
                axis=axis(values=list(names)[::step], labelExpr=label, labelAngle=0, title=None),
            ),
            y=alt.Y("row:O", axis=None),
            color=alt.Color("said:N", scale=shades, legend=legend),
        )
        .properties(height=STRIP_PX)
    )
    spoken = ", ".join(f"{names[n]}: {cell['said']}" for n, cell in enumerate(cells))
    words = HABIT["kept_alt"].format(spoken=spoken)
    st.altair_chart(chart, width="stretch", key="weeks", alt=words)


page()
