"""The sun of a day and of a year as pictures; every band carries its name, colour is not needed."""

from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np
import streamlit as st

from lesioncompare.teach.day import CUSTOM, Span, SunDay
from lesioncompare.teach.outings import Outing
from lesioncompare.teach.year import SunYear
from lesioncompare.ui.charts import INK, axis
from lesioncompare.ui.dates import on_day, short_day
from lesioncompare.ui.texts import SUN

EVERY_MIN = 10  # [min] between points of the curve
SHOWN_HOURS = (4, 23)  # earlier and later the sun is never strong
HEIGHT_PX = 330
YEAR_HEIGHT_PX = 300
CURVE = "#b8860b"
BANDS = ("#b8860b", "#8a6d1f", "#7d8794", "#3f7cac")  # strong, short shadow, 10 to 16, out
CLASSES = ((0, "0–2"), (3, "3–5"), (6, "6–7"), (8, "8–10"), (11, "11+"))  # WHO categories
SHADES = {  # from none to most; dark ones on light paper, light ones on dark
    "light": ("#eef0f3", "#f3d9a0", "#e0a63a", "#b26a12", "#6e2f0a"),
    "dark": ("#242a31", "#5c4420", "#9a6a1e", "#d99a3a", "#ffe0a8"),
}


def theme() -> str:
    """The theme of this page: "light" or "dark"."""
    return "dark" if st.context.theme.type == "dark" else "light"


def show_day(seen: SunDay, outings: Sequence[Outing], spoken: str) -> None:
    """The UV index by the clock, with bands below it for what holds when."""
    points = [
        {"hour": float(seen.wall_minute[m]) / 60, "index": round(float(seen.index[m]), 2)}
        for m in range(0, len(seen.index), EVERY_MIN)
        if SHOWN_HOURS[0] * 60 <= seen.wall_minute[m] <= SHOWN_HOURS[1] * 60
    ]
    top = max(4.0, seen.peak * 1.1)
    row = top / 7
    rows = _bands(seen, outings)
    x = alt.X(
        "hour:Q",
        scale=alt.Scale(domain=SHOWN_HOURS, nice=False),
        axis=axis(values=list(range(4, 24, 2)), title=None, grid=False),
    )
    y_axis = axis(values=[v for v in (0, 3, 6, 8, 11) if v < top], title=SUN["axis"])
    y = alt.Y("index:Q", scale=alt.Scale(domain=[-row * len(rows), top], nice=False), axis=y_axis)
    base = alt.Chart({"values": points}).encode(x=x, y=y)
    layers: list[Any] = [
        base.mark_area(color=CURVE, opacity=0.3),
        base.mark_line(color=CURVE, strokeWidth=3),
    ]
    layers += _band_layers(rows, row)
    chart = alt.layer(*layers).properties(height=HEIGHT_PX)
    words = SUN["chart_alt"].format(date=on_day(seen.day), spoken=spoken)
    st.altair_chart(chart, width="stretch", key="sun-day", alt=words)


def _bands(
    seen: SunDay, outings: Sequence[Outing]
) -> list[tuple[str, list[tuple[float, float]], str]]:
    """Name, stretches in hours of the clock, and colour of each band."""
    custom = [(float(CUSTOM[0].hour), float(CUSTOM[1].hour))]
    out = [(one.start_min / 60, one.end_min / 60) for one in outings]
    found = [
        (SUN["band_strong"], _hours(seen.strong), BANDS[0]),
        (SUN["band_shadow"], _hours(seen.short_shadow), BANDS[1]),
        (SUN["band_custom"], custom, BANDS[2]),
    ]
    return [*found, (SUN["band_out"], out, BANDS[3])] if out else found


def _hours(spans: Sequence[Span]) -> list[tuple[float, float]]:
    return [
        (a.hour + a.minute / 60, 24.0 if b.date() > a.date() else b.hour + b.minute / 60)
        for a, b in spans
    ]


def _band_layers(rows: list[tuple[str, list[tuple[float, float]], str]], row: float) -> list[Any]:
    """A bar for each stretch, and the name of each band beside it."""
    layers: list[Any] = []
    ink = INK[theme()]
    for number, (name, stretches, colour) in enumerate(rows, start=1):
        low, high = -number * row + 0.15 * row, -(number - 1) * row - 0.15 * row
        bars = [{"a": a, "b": b, "low": low, "high": high} for a, b in stretches]
        if bars:
            bar = alt.Chart({"values": bars}).mark_rect(color=colour, cornerRadius=3)
            layers.append(bar.encode(x="a:Q", x2="b:Q", y="low:Q", y2="high:Q"))
        label = [{"x": SHOWN_HOURS[0] + 0.1, "y": (low + high) / 2, "name": name}]
        text = alt.Chart({"values": label}).mark_text(align="left", fontSize=14, color=ink)
        layers.append(text.encode(x="x:Q", y="y:Q", text="name:N"))
    return layers


def show_year(year: SunYear, spoken: str) -> None:
    """Weeks by hours of the clock, shaded by the categories of the WHO."""
    first, last = SHOWN_HOURS
    limits = [least - 0.5 for least, _ in CLASSES[1:]]  # the index is reported in whole numbers
    ranks = np.searchsorted(limits, year.index, side="right")
    names = [name for _, name in CLASSES]
    cells = [
        {"week": column, "hour": hour, "index": names[ranks[column, hour]]}
        for column in range(len(year.days))
        for hour in range(first, last)
    ]
    months = {n: short_day(d).split()[1] for n, d in enumerate(year.days) if d.day <= 7}
    label = " : ".join(f"datum.value == {n} ? '{name}'" for n, name in months.items()) + " : ''"
    ink = INK[theme()]
    scale = alt.Scale(domain=names, range=list(SHADES[theme()]))
    legend = alt.Legend(
        orient="bottom",
        title=SUN["year_scale"],
        labelColor=ink,
        titleColor=ink,
        labelFontSize=14,
        titleFontSize=14,
        columns=5,
        symbolSize=220,
        symbolStrokeColor=ink,
        symbolStrokeWidth=1,
    )
    month_axis = axis(values=list(months)[::2], labelExpr=label, labelAngle=0, title=None)
    hour_axis = axis(values=list(range(4, 24, 4)), title=None)
    chart = (
        alt.Chart({"values": cells})
        .mark_rect()
        .encode(
            x=alt.X("week:O", axis=month_axis),
            y=alt.Y("hour:O", axis=hour_axis),
            color=alt.Color("index:N", scale=scale, legend=legend, sort=names),
        )
        .properties(height=YEAR_HEIGHT_PX)
    )
    words = SUN["year_alt"].format(year=year.days[0].year, spoken=spoken)
    st.altair_chart(chart, width="stretch", key="sun-year", alt=words)
