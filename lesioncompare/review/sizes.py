"""Growth and shrinking."""

from collections.abc import Mapping, Sequence
from math import expm1, log

from lesioncompare.records import Change, Course, Finding, Visit
from lesioncompare.registry.findings import finding
from lesioncompare.registry.tolerances import FAST_DAYS, FAST_GROWTH
from lesioncompare.review.latest import called_since, changed
from lesioncompare.science.lines import doubling_time, mann_kendall, theil_sen
from lesioncompare.terms import long_day

MONTH = 30.0  # [days] rates are spoken of per month
RANKED = 5  # [1] fewest visits of a rank test: four give p = 0.083 at best


def size(visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]]) -> list[Finding]:
    """A finding on the area, if it is called changed at the last visit."""
    last = changed(visits, changes, "area")
    if last is None:
        return []
    evidence = area_evidence(visits, changes["area"])
    evidence["since"] = long_day(visits[called_since(changes, "area")].when)
    if last.difference < 0:
        return [finding("shrinking", last.visit, {**evidence, **_turned(last)})]
    return [finding("fast_growth" if _is_fast(last) else "growth", last.visit, evidence)]


def percent(difference: float) -> float:
    """A log ratio as a percentage: log 1.35 is 35 [%]."""
    return 100 * expm1(difference)


def area_evidence(visits: Sequence[Visit], changes: Sequence[Change]) -> dict[str, float | str]:
    """The numbers behind a statement on area, by the name they have in the sentences."""
    last = changes[-1]
    evidence: dict[str, float | str] = {
        "percent": percent(last.difference),
        "low_percent": percent(last.low),
        "high_percent": percent(last.high),
        "detectable_percent": percent(last.smallest_detectable),
    }
    if last.course is not None:
        evidence |= _rate(last.course) | _ranks(visits, changes)
    return evidence


def _turned(last: Change) -> dict[str, float | str]:
    """Percentages less, in order, for a spot that became smaller."""
    return {
        "percent": -percent(last.difference),
        "low_percent": -percent(last.high),
        "high_percent": -percent(last.low),
    }


def _rate(course: Course) -> dict[str, float | str]:
    """Specific growth rate per month and, of a spot that surely grows, the doubling time."""
    rates: dict[str, float | str] = {
        "month_percent": 100 * MONTH * course.rate,
        "month_low_percent": 100 * MONTH * course.rate_low,
        "month_high_percent": 100 * MONTH * course.rate_high,
    }
    days = doubling_time(course.rate)
    if days is not None and course.rate_low > 0:
        rates["doubling_days"] = days
    return rates


def _ranks(visits: Sequence[Visit], changes: Sequence[Change]) -> dict[str, float | str]:
    """A line and a test of trend that trust no stated error, once there are visits enough."""
    course = [(visits[c.visit].when, c.course.level) for c in changes if c.course is not None]
    if len(course) < RANKED:
        return {}
    days = [(when - course[0][0]).total_seconds() / 86400 for when, _ in course]
    levels = [level for _, level in course]
    return {
        "median_month_percent": 100 * MONTH * theil_sen(days, levels).slope,
        "trend_p": mann_kendall(levels).p,
    }


def _is_fast(last: Change) -> bool:
    """Whether growth is fast: half as large again, or surely doubling within months."""
    rate_low = last.course.rate_low if last.course is not None else 0.0
    return last.difference >= FAST_GROWTH or rate_low >= log(2) / FAST_DAYS
