"""Curves of a series with their intervals."""

from typing import Any

import altair as alt
import streamlit as st

from lesioncompare.series import Followed
from lesioncompare.terms import MEASURES
from lesioncompare.ui.dates import local_day
from lesioncompare.ui.parts import plain
from lesioncompare.ui.texts import CHART

SHOWN = ("area", "longest_diameter", "border_irregularity", "redness", "darkness", "contrast_de00")
HEIGHT_PX = 260
LINE, BAND = "#3f7cac", "#3f7cac"  # one blue: 4.5:1 on white, 4.0:1 on the dark page
INK = {"light": "#16191d", "dark": "#f1f3f5"}


def axis(**facts: Any) -> alt.Axis:
    """An axis in the page's own ink, large enough to read at arm's length."""
    ink = INK["dark" if st.context.theme.type == "dark" else "light"]
    sizes: dict[str, Any] = {"labelFontSize": 14, "titleFontSize": 14}
    return alt.Axis(labelColor=ink, titleColor=ink, **sizes, **facts)


def show_curve(followed: Followed, measure: str, *, key: str) -> None:
    """Every photo's value of one measure with its 95 % interval, over time."""
    term = MEASURES[measure]
    points = [
        {
            "day": local_day(t.reading.photo.taken or t.visit.began_at).isoformat(),
            "value": quantity.value,
            "low": quantity.low,
            "high": quantity.high,
        }
        for t in followed.taken
        if t.counts and t.reading.usable and t.reading.measurement is not None
        if (quantity := t.reading.measurement.quantities.get(measure)) is not None
    ]
    if not points:
        st.caption(CHART["alt_none"].format(words=term.keeper))
        return
    title = CHART["area_unit"].format(words=term.keeper, unit=term.unit)
    base = alt.Chart({"values": points}).encode(
        x=alt.X("day:T", title=None, axis=axis(format="%-d %b %y", labelAngle=-35)),
    )
    low_high = {"y": alt.Y("low:Q", title=title, axis=axis()), "y2": "high:Q"}
    band = base.mark_area(opacity=0.25, color=BAND).encode(**low_high)
    bars = base.mark_rule(color=LINE, strokeWidth=2).encode(**low_high)
    line = base.mark_line(color=LINE, strokeWidth=2).encode(y="value:Q")
    dots = base.mark_circle(color=LINE, size=90, opacity=1).encode(y="value:Q")
    chart = alt.layer(band, bars, line, dots).properties(height=HEIGHT_PX)
    alt_text = CHART["alt"].format(
        words=term.keeper,
        count=len(points),
        first=f"{points[0]['value']:.3g}",
        last=f"{points[-1]['value']:.3g}",
        unit=term.unit,
    )
    st.altair_chart(chart, width="stretch", key=key, alt=alt_text)
    st.caption(f"{plain(title)}; {CHART['band']}")
