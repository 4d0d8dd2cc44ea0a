"""The eye's curve beside the program's: how often "changed" is said, by how much a spot grew."""

from typing import Any

import altair as alt
import numpy as np
import streamlit as st

from lesioncompare.science.psychometric import Curve
from lesioncompare.teach.practice.score import Tally, shares
from lesioncompare.ui.charts import INK, axis
from lesioncompare.ui.sun_charts import theme
from lesioncompare.ui.texts import PRACTICE

HEIGHT_PX = 280
LARGEST = 0.52  # [1] log area ratio at the right edge: 68 % more
EYE, TOOL = "#c05a00", "#3f7cac"


def percent(size: float) -> float:
    """Growth of a log area ratio [%]."""
    return float(100 * np.expm1(size))


def show_curves(eye: Tally, tool: Tally, who: str) -> None:
    """Dots for answers, curves through them; the program's dashed."""
    ink = INK[theme()]
    domain = alt.Scale(domain=[0, percent(LARGEST)], nice=False)
    x = alt.X("growth:Q", scale=domain, axis=axis(title=PRACTICE["chart_x"]))
    scale = alt.Scale(domain=[0, 100])
    y = alt.Y("share:Q", scale=scale, axis=axis(title=PRACTICE["chart_y"]))
    layers: list[Any] = []
    for name, tally, colour, dash in (
        (who, eye, EYE, [1, 0]),
        (PRACTICE["program"], tool, TOOL, [6, 4]),
    ):
        first = tally is eye
        curve = tally.curve()
        if curve is not None:
            line = alt.Chart({"values": _line(curve)})
            line = line.mark_line(color=colour, strokeWidth=3, strokeDash=dash)
            layers.append(line.encode(x=x, y=y))
            place = _line(curve)[-1] if first else _middle(curve)
            side: dict[str, Any] = {"align": "right", "dy": 16} if first else {"align": "left"}
            text = alt.Chart({"values": [place]}).mark_text(
                **side, dx=0 if first else 10, fontSize=14, color=ink
            )
            layers.append(text.encode(x=x, y=y, text=alt.value(name)))
        dots = alt.Chart({"values": _dots(tally)})
        shape = "circle" if first else "square"
        marks = dots.mark_point(color=colour, filled=True, opacity=1, shape=shape)
        layers.append(marks.encode(x=x, y=y, size=alt.Size("asked:Q", legend=None)))
    words = PRACTICE["chart_alt"].format(who=who, points=_spoken(eye), tool=_spoken(tool))
    chart = alt.layer(*layers).properties(height=HEIGHT_PX)
    st.altair_chart(chart, width="stretch", key="eye-curve", alt=words)


def _line(curve: Curve) -> list[dict[str, float]]:
    sizes = np.linspace(0, LARGEST, 60)
    return [
        {"growth": percent(float(size)), "share": round(100 * float(share), 2)}
        for size, share in zip(sizes, curve.share(sizes), strict=True)
    ]


def _middle(curve: Curve) -> dict[str, float]:
    """The point of the curve nearest to one half."""
    return min(_line(curve), key=lambda point: abs(point["share"] - 50))


def _dots(tally: Tally) -> list[dict[str, float]]:
    return [
        {"growth": percent(size), "share": 100 * float(share), "asked": asked}
        for size, share, asked in zip(tally.sizes, shares(tally), tally.asked, strict=True)
    ]


def _spoken(tally: Tally) -> str:
    return "; ".join(
        PRACTICE["point"].format(growth=f"{dot['growth']:.0f}", share=f"{dot['share']:.0f}")
        for dot in _dots(tally)
    )
