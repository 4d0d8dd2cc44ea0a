"""How large the spot is, in millimetres, and how fast it grew: what a decision is made on."""

from itertools import pairwise
from math import expm1

from lesioncompare.quantity import COVERAGE_95
from lesioncompare.records import Change, Finding, Reading, Series
from lesioncompare.registry.findings import FINDINGS
from lesioncompare.report.album import day_words
from lesioncompare.report.curves import Point, curve
from lesioncompare.report.figures import decimals, figure
from lesioncompare.terms import short_day

DIAMETERS = ("longest_diameter", "perpendicular_diameter")
RATE = "{month_percent"  # field of a sentence that states a rate
RATE_DAYS = 366  # [days] the line whose slope is the rate reaches back one year


def size_line(series: Series) -> str:
    """Diameters and area of the last usable photo and, in brackets, of the first; "" of none.

    Such as "24 May 2026: 5.1 × 4.3 mm, 15.3 mm² (5 Apr 2026: 3.6 × 3.1 mm, 7.9 mm²), each photo
    by its own sticker". The tables have every digit and the errors.
    """
    sized = [(day_words(r), words) for r in series.readings if r.usable and (words := _size(r))]
    if not sized:
        return ""
    (first_day, first), (last_day, last) = sized[0], sized[-1]
    if len(sized) == 1:
        return f"{last_day}: {last}"
    return f"{last_day}: {last} ({first_day}: {first}), each photo by its own sticker"


def _size(reading: Reading) -> str:
    """Such as "5.1 × 4.3 mm, 15.3 mm²"; what was not measured is left out."""
    across = [found for name in DIAMETERS if (found := _figure(reading, name))]
    area = _figure(reading, "area")
    return ", ".join(
        f"{found} {unit}" for found, unit in ((" × ".join(across), "mm"), (area, "mm²")) if found
    )


def _figure(reading: Reading, name: str) -> str:
    found = reading.measurement.quantities.get(name) if reading.measurement else None
    return figure(found.value, min(1, decimals(found.u))) if found else ""


def pace(series: Series, finding: Finding) -> str:
    """Over what a finding's rate is a mean, and its last and steepest interval between visits.

    A pause after a fast month, or a fast week at the end, is then not hidden in the mean. "" for a
    finding that states no rate.
    """
    kind, found = FINDINGS.get(finding.key), curve(series, "area")
    if kind is None or RATE not in kind.vet or found is None:
        return ""
    points = [point for point in found.points if point.visit <= finding.visit]
    by_visit = {change.visit: change for change in series.changes["area"]}
    steps = [(before, by_visit[after.visit], after) for before, after in pairwise(points)]
    days = min(_days(points[0], points[-1]), RATE_DAYS)
    words = f"a mean over {days} days"
    if len(steps) < 2:
        return words
    sign = 1 if steps[-1][1].difference >= 0 else -1
    steepest = max(steps, key=lambda step: sign * _since_last(step[1])[0] / _days(step[0], step[2]))
    of = f"steepest of {len(steps)}, "
    if steepest is steps[-1]:
        return f"{words}; last interval, the {of}{_interval(*steepest)}"
    return f"{words}; last interval, {_interval(*steps[-1])}; {of}{_interval(*steepest)}"


def _days(before: Point, after: Point) -> int:
    """Calendar days between two visits, which are on different days."""
    return (after.when.date() - before.when.date()).days


def _since_last(change: Change) -> tuple[float, float]:
    """The step from the visit before and how far its 95 % interval reaches, on the logarithm."""
    course = change.course
    return (course.since_last, COVERAGE_95 * course.since_last_u) if course else (0.0, 0.0)


def _interval(before: Point, change: Change, after: Point) -> str:
    """Such as "17 May 2026 to 24 May 2026: +22 % (95 %: 12 to 32)"."""
    step, reach = _since_last(change)
    low, high = (figure(100 * expm1(f), 0) for f in (step - reach, step + reach))
    days = f"{short_day(before.when)} to {short_day(after.when)}"
    return f"{days}: {figure(100 * expm1(step), 0, '+')} % (95 %: {low} to {high} %)"
