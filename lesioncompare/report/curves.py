"""The way of one measure through a series: values on one ruler, and the limits of its chart."""

from dataclasses import dataclass
from datetime import datetime
from math import exp, log

from lesioncompare.quantity import COVERAGE_95
from lesioncompare.records import Change, Reading, Series, Visit
from lesioncompare.terms import CHANGES, Verdict

CURVES = (  # what a vet looks at: size, border, colour, surface
    *("area", "longest_diameter", "border_irregularity"),
    *("darkness", "redness", "colour_de00", "raw_red_fraction", "crust_fraction"),
)


@dataclass(frozen=True, slots=True)
class Point:
    """A visit's value and its 95 % interval, in the unit of the measure.

    From the second visit on the interval is that of the difference from the baseline: where it
    does not reach the baseline, the difference is more than errors of measuring explain once in
    twenty. ``verdict`` is None at the first visit.
    """

    visit: int
    when: datetime
    value: float
    low: float
    high: float
    verdict: Verdict | None


@dataclass(frozen=True, slots=True)
class Limit:
    """The chart at one visit: the limits of its running mean, beyond which it calls a change."""

    when: datetime
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Curve:
    """One measure over time; ``baseline`` is what the last visit was compared with."""

    measure: str
    points: tuple[Point, ...]
    limits: tuple[Limit, ...]
    baseline: float | None

    @property
    def title(self) -> str:
        """The measure in the vet's words, with its unit."""
        term = CHANGES[self.measure]
        return term.vet if term.unit == "1" else f"{term.vet} [{term.unit}]"


def curve(series: Series, measure: str) -> Curve | None:
    """The curve of a measure; None where no visit has it.

    Sizes are on the fused ruler that changes are judged on, in the millimetres of the first visit.
    """
    changes = series.changes.get(measure, ())
    if measure == "colour_de00":
        return _distance(series, changes)
    start = next((i for i, v in enumerate(series.visits) if _mean(v, measure) is not None), None)
    if start is None:
        return None
    visit = series.visits[start]
    anchor = _mean(visit, measure)
    interval = _interval(visit, measure)
    if anchor is None or interval is None:
        return None
    relative = CHANGES[measure].relative

    def shown(level: float) -> float:
        """A level against the first visit in the unit of the measure."""
        return anchor * exp(level) if relative else anchor + level

    points = [Point(start, visit.when, anchor, *interval, None)]
    limits, base = [], None
    for change in changes:
        course = change.course
        if course is None:
            continue
        base = course.level - change.difference
        reach, when = COVERAGE_95 * change.u, series.visits[change.visit].when
        ends = (shown(course.level - reach), shown(course.level + reach))
        points.append(Point(change.visit, when, shown(course.level), *ends, change.verdict))
        band = (shown(base - course.limit), shown(base + course.limit))
        limits.append(Limit(when, *band))
    baseline = None if base is None else shown(base)
    return Curve(measure, tuple(points), tuple(limits), baseline)


def _distance(series: Series, changes: tuple[Change, ...]) -> Curve | None:
    """The way of the colour: a distance from the baseline, with what noise alone would show."""
    if not changes:
        return None
    points = tuple(
        Point(c.visit, series.visits[c.visit].when, c.difference, c.low, c.high, c.verdict)
        for c in changes
    )
    limits = tuple(Limit(series.visits[c.visit].when, 0.0, c.smallest_detectable) for c in changes)
    return Curve("colour_de00", points, limits, 0.0)


def _measured(visit: Visit, measure: str) -> list[Reading]:
    return [r for r in visit.readings if r.measurement and measure in r.measurement.quantities]


def _mean(visit: Visit, measure: str) -> float | None:
    """Mean over the photos of a visit; of sizes the geometric one."""
    values = [
        r.measurement.quantities[measure].value
        for r in _measured(visit, measure)
        if r.measurement is not None
    ]
    if not values:
        return None
    if CHANGES[measure].relative:
        return exp(sum(log(v) for v in values) / len(values))
    return sum(values) / len(values)


def _interval(visit: Visit, measure: str) -> tuple[float, float] | None:
    """The widest 95 % interval of the photos of a visit."""
    found = [
        r.measurement.quantities[measure]
        for r in _measured(visit, measure)
        if r.measurement is not None
    ]
    return (min(q.low for q in found), max(q.high for q in found)) if found else None
