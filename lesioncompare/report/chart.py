"""Curves of a series above one time axis, with the keeper's answers below: shapes, no colours."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from lesioncompare.records import Series
from lesioncompare.registry.questions import NO, QUESTIONS, UNSURE, YES
from lesioncompare.report.axes import date_ticks, date_words, value_ticks
from lesioncompare.report.curves import Curve, Point
from lesioncompare.report.drawing import Area, Dot, Drawing, Label, Shape, Stroke
from lesioncompare.report.figures import MINUS
from lesioncompare.terms import CHANGES, Verdict

LEFT, RIGHT, TOP, BOTTOM = 12.0, 3.0, 4.5, 6.0  # [mm] room round the panels
GAP, ROW = 6.5, 5.6  # [mm] between panels; of one question
SIZE = 2.5  # [mm] of words
HEADROOM = 0.08  # [1] of the range, above and below
SHORT = {
    "raised": "raised to the touch",
    "broken": "broken or bleeding",
    "crust": "crust comes back",
    "sore": "sore for days",
    "smell": "smell",
    "swelling": "swelling",
    "one_sided": "unlike the other side",
    "yellow": "yellow tinge",
}
MARKS = (
    "● no change measured  ■ changed  ○ odd once, not confirmed  □ cannot tell; upright bars: 95 % "
    "interval, from the second visit on of the difference from the baseline (thin level line)."
)
CHART = (
    "Shaded: limits of the control chart, for the mean of recent visits; a single visit may lie "
    "outside."
)
NOISE = "Shaded for the colour: differences too small to be detected."
LETTERS = {YES: "Y", UNSURE: "?"}  # no sign that a verdict has
ANSWERS = "Answers of the keeper: Y yes  ? not sure  · no."
REFUSED = "× a photo that was refused."
COLOUR = "colour_de00"  # a distance: no chart judges it


@dataclass(frozen=True, slots=True)
class Span:
    """Where a time axis begins and ends, in days and in millimetres of a drawing."""

    first: datetime
    days: float
    left: float
    right: float

    def x(self, when: datetime) -> float:
        """Where a moment is [mm]."""
        since = (when.replace(tzinfo=None) - self.first).total_seconds() / 86400
        return self.left + (self.right - self.left) * since / self.days


@dataclass(frozen=True, slots=True)
class Scale:
    """Where the values of a panel are [mm]."""

    low: float
    high: float
    top: float
    bottom: float

    def y(self, value: float) -> float:
        """Where a value is, kept inside the panel [mm]."""
        share = (value - self.low) / (self.high - self.low)
        return self.bottom - (self.bottom - self.top) * min(max(share, 0.0), 1.0)


def draw_curves(series: Series, curves: Sequence[Curve], *, width: float, panel: float) -> Drawing:
    """The curves one above the other over one time axis, the keeper's answers below.

    Parameters
    ----------
    series
        The series they are of.
    curves
        At least one.
    width, panel
        Of the whole drawing, and height of one curve [mm].
    """
    asked = _asked(series)
    span = _span(series, LEFT + 3, width - RIGHT - 3)
    bottom = TOP + len(curves) * (panel + GAP) - GAP
    shapes: list[Shape] = _dates(series, span, bottom, TOP)
    top = TOP
    for curve in curves:
        shapes += _panel(curve, span, _scale(curve, top, top + panel), width)
        top += panel + GAP
    shapes += _refused(series, span, bottom)
    top = bottom + BOTTOM
    for question in asked:
        shapes += _row(series, question, span, top)
        top += ROW
    return Drawing(width, top + (1.0 if asked else 0.0), tuple(shapes))


def legend(series: Series, curves: Sequence[Curve]) -> str:
    """What the signs of a drawing mean, of what is drawn only."""
    drawn = {curve.measure for curve in curves if curve.limits}
    charts = [CHART] if drawn - {COLOUR} else []
    noise = [NOISE] if COLOUR in drawn else []
    answers = [ANSWERS] if _asked(series) else []
    crosses = [REFUSED] if _refused_at(series) else []
    return " ".join((MARKS, *charts, *noise, *answers, *crosses))


def _asked(series: Series) -> list[str]:
    """The questions that were ever answered with anything but no."""
    given = {q for v in series.visits for q, answer in v.answers.items() if answer in {YES, UNSURE}}
    return [key for key in QUESTIONS if key in given]


def _moments(series: Series) -> list[datetime]:
    taken = [r.photo.taken for r in series.readings if r.photo.taken is not None]
    return [m.replace(tzinfo=None) for m in (*taken, *(v.when for v in series.visits))]


def _span(series: Series, left: float, right: float) -> Span:
    moments = _moments(series)
    first, last = min(moments), max(moments)
    days = max((last - first).total_seconds() / 86400, 1.0)
    return Span(first, days, left, right)


def _scale(curve: Curve, top: float, bottom: float) -> Scale:
    """Sizes from nothing; everything else round what was seen and what was to be expected."""
    lows = [p.low for p in curve.points] + [m.low for m in curve.limits]
    highs = [p.high for p in curve.points] + [m.high for m in curve.limits]
    low, high = min(lows), max(highs)
    if CHANGES[curve.measure].relative or curve.measure == COLOUR:
        return Scale(0.0, high * (1 + HEADROOM) or 1.0, top, bottom)
    room = HEADROOM * (high - low) or 0.1
    return Scale(low - room, high + room, top, bottom)


def _panel(curve: Curve, span: Span, scale: Scale, width: float) -> list[Shape]:
    """Axis, chart limits, baseline, and the points with their intervals."""
    shapes: list[Shape] = [Label((0.0, scale.top - 1.6), curve.title, SIZE + 0.2)]
    if curve.limits:
        upper = [(span.x(m.when), scale.y(m.high)) for m in curve.limits]
        lower = [(span.x(m.when), scale.y(m.low)) for m in curve.limits]
        if len(upper) == 1:
            upper, lower = _widened(upper), _widened(lower)
        shapes.append(Area((*upper, *reversed(lower))))
        shapes += [Stroke(tuple(edge), 0.15, grey=0.45) for edge in (upper, lower)]
    ticks = value_ticks(scale.low, scale.high, most=4)
    shapes += [Stroke(((LEFT - 1, scale.y(v)), (LEFT, scale.y(v))), 0.2) for v in ticks]
    shapes += [
        Label((LEFT - 1.6, scale.y(v) + 0.9), f"{v:.5g}".replace("-", MINUS), SIZE, "end")
        for v in ticks
    ]
    shapes.append(Stroke(((LEFT, scale.top), (LEFT, scale.bottom)), 0.2))
    shapes.append(Stroke(((LEFT, scale.bottom), (width - RIGHT, scale.bottom)), 0.2))
    if curve.baseline is not None:
        y = scale.y(curve.baseline)
        shapes.append(Stroke(((LEFT, y), (width - RIGHT, y)), 0.2, grey=0.35))
    for point in curve.points:
        shapes += _point(point, span.x(point.when), scale)
    return shapes


def _widened(edge: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """A limit known at one visit only, drawn wide enough to be seen."""
    x, y = edge[0]
    return [(x - 1.5, y), (x + 1.5, y)]


def _point(point: Point, x: float, scale: Scale) -> list[Shape]:
    low, high = scale.y(point.low), scale.y(point.high)
    bar = [
        Stroke(((x, low), (x, high)), 0.3),
        Stroke(((x - 0.6, low), (x + 0.6, low)), 0.3),
        Stroke(((x - 0.6, high), (x + 0.6, high)), 0.3),
    ]
    hollow = point.verdict in {Verdict.UNCONFIRMED, Verdict.UNKNOWN}
    square = point.verdict in {Verdict.CHANGED, Verdict.UNKNOWN}
    return [*bar, Dot((x, scale.y(point.value)), 0.95, hollow, square)]


def _refused(series: Series, span: Span, y: float) -> list[Shape]:
    """A cross on the axis for each photo that could not be used."""
    return [Label((span.x(when), y + 0.9), "×", 3.2, "middle") for when in _refused_at(series)]


def _refused_at(series: Series) -> list[datetime]:
    """When the photos that could not be used were taken, where that is known."""
    return [r.photo.taken for r in series.readings if not r.usable and r.photo.taken]


def _dates(series: Series, span: Span, y: float, top: float) -> list[Shape]:
    moments = _moments(series)
    days = date_ticks(min(moments).date(), max(moments).date())
    shapes: list[Shape] = []
    for day, words in zip(days, date_words(days), strict=True):
        x = span.x(_morning(day, span.first))
        shapes.append(Stroke(((x, y), (x, y + 1.0)), 0.2))
        shapes.append(Stroke(((x, top), (x, y)), 0.1, grey=0.82))
        shapes.append(Label((x, y + 4.0), words, SIZE, "middle"))
    return shapes


def _morning(day: date, first: datetime) -> datetime:
    """The day on the axis: at the hour of the first photo, so that the first tick meets it."""
    return datetime.combine(day, first.time())


def _row(series: Series, question: str, span: Span, top: float) -> list[Shape]:
    """One question's answers below the time axis."""
    y = top + ROW - 1.4
    shapes: list[Shape] = [Stroke(((span.left - 3, y), (span.right + 3, y)), 0.1, grey=0.82)]
    for visit in series.visits:
        answer, x = visit.answers.get(question), span.x(visit.when)
        if answer in LETTERS:
            shapes.append(Label((x, y + 0.9), LETTERS[answer], SIZE, "middle"))
        elif answer == NO:
            shapes.append(Dot((x, y), 0.25))
    shapes.append(Label((span.left - 3, y - 1.5), SHORT[question], 2.3))
    return shapes
