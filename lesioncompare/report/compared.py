"""One visit against the visit before and against the start, in percent where sizes are compared."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, isfinite

from lesioncompare.quantity import COVERAGE_95
from lesioncompare.records import Change, Finding, Series
from lesioncompare.registry.findings import FINDINGS
from lesioncompare.terms import CHANGES, Level, Verdict


@dataclass(frozen=True, slots=True)
class Compared:
    """A measure of one visit against an earlier one.

    For sizes the figures are percent of the earlier size, otherwise differences in the measure's
    unit. ``detectable`` is the smallest change that this comparison could have shown.
    """

    measure: str
    verdict: Verdict
    difference: float
    low: float
    high: float
    detectable: float

    @property
    def percent(self) -> bool:
        """True when the figures are percent."""
        return CHANGES[self.measure].relative


def against_start(series: Series, visit: int, measure: str) -> Compared | None:
    """Against the baseline of the series; None where there is nothing to compare."""
    change = _change(series, visit, measure)
    if change is None:
        return None
    figures = (change.difference, change.low, change.high, change.smallest_detectable)
    return _compared(measure, change.verdict, figures)


def against_last(series: Series, visit: int, measure: str) -> Compared | None:
    """Against the visit before; a step beyond error stays unconfirmed until the next photo."""
    change = _change(series, visit, measure)
    if change is None or change.course is None:
        return None
    step, reach = change.course.since_last, COVERAGE_95 * change.course.since_last_u
    if change.verdict is Verdict.UNKNOWN:
        verdict = Verdict.UNKNOWN
    elif abs(step) <= reach:
        verdict = Verdict.SAME
    else:
        verdict = Verdict.CHANGED if change.verdict is Verdict.CHANGED else Verdict.UNCONFIRMED
    return _compared(measure, verdict, (step, step - reach, step + reach, reach))


def verdict_of(findings: Sequence[Finding]) -> Verdict | None:
    """The word for a whole visit: that of its most pressing finding.

    A doubt is the word only where nothing else is said. None where the finding's level is the word
    (felt by hand, a broken surface): what was measured is then beside the point.
    """
    if not findings:
        return Verdict.UNKNOWN
    leading = next((f for f in findings if f.level is not Level.DOUBT), findings[0])
    return FINDINGS[leading.key].verdict


def visit_of(series: Series, sha256s: set[str]) -> int | None:
    """The place in the series of the visit that holds one of these photos."""
    for place, visit in enumerate(series.visits):
        if any(reading.photo.sha256 in sha256s for reading in visit.readings):
            return place
    return None


def _change(series: Series, visit: int, measure: str) -> Change | None:
    return next((c for c in series.changes.get(measure, ()) if c.visit == visit), None)


def _compared(
    measure: str, verdict: Verdict, figures: tuple[float, float, float, float]
) -> Compared | None:
    """Figures on the logarithm become percent for sizes."""
    shown = [100 * (exp(f) - 1) if CHANGES[measure].relative else f for f in figures]
    if not all(map(isfinite, shown)):
        return None
    return Compared(measure, verdict, *shown)
