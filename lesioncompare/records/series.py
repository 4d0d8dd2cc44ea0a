"""What became of a spot over its visits."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from lesioncompare.records.reading import Reading
from lesioncompare.terms import Level, Site, Verdict


@dataclass(frozen=True, slots=True, eq=False)
class Visit:
    """The usable readings of one day, in order of time."""

    when: datetime
    readings: tuple[Reading, ...]
    answers: Mapping[str, str] = field(default_factory=dict)  # the keeper's hands-on answers


@dataclass(frozen=True, slots=True)
class Course:
    """The way a measure has taken up to a visit; relative measures on the natural logarithm.

    ``level`` is the visit's value minus the first visit's, both rulers fused; ``since_last`` its
    step from the visit before. ``smoothed`` is the chart's running mean difference from the
    baseline and ``limit`` what it must exceed to count as a change. ``rate`` is the slope of the
    line through the last year of visits, with its 95 % interval [1/day].
    """

    level: float
    since_last: float
    since_last_u: float
    smoothed: float
    limit: float
    rate: float
    rate_low: float
    rate_high: float


@dataclass(frozen=True, slots=True)
class Change:
    """One measure of one visit against the baseline.

    Relative measures are compared on the natural logarithm: ``difference`` is then log(ratio).
    """

    measure: str
    visit: int  # index into Series.visits
    difference: float
    u: float
    low: float
    high: float
    smallest_detectable: float
    verdict: Verdict
    course: Course | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """A registered statement that applies to this series, with its evidence."""

    key: str
    level: Level
    visit: int
    says: str
    do: str
    vet: str
    could_be: tuple[str, ...]
    evidence: Mapping[str, float | str]


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """The visits of one site, what changed and what is said about it."""

    site: Site | None
    readings: tuple[Reading, ...]  # every photo, usable or not, in order of time
    visits: tuple[Visit, ...]
    changes: Mapping[str, tuple[Change, ...]]  # by measure, one per visit after the baseline
    findings: tuple[Finding, ...]
