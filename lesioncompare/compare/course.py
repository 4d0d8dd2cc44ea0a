"""The series model: baseline, repeatability, and the charts that decide when to speak.

One measure at a time. A visit's value is compared with the baseline, the weighted mean of the
first visits. How far a visit scatters is stated beforehand by its photos and then learnt from
this spot: photos of one visit teach the repeatability within it, steps from visit to visit the
whole. Four rules can call a change, each of which needs more than one photo: repeats of one visit
that all agree, two visits running that agree, the chart, and a steady line. Each speaks only of a
visit that lies that way itself, by the measure's floor at least.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from lesioncompare.quantity import COVERAGE_95
from lesioncompare.records import Course
from lesioncompare.science.charts import ewma
from lesioncompare.science.lines import Line, fit_line_clipped
from lesioncompare.terms import Verdict

Floats: TypeAlias = NDArray[np.float64]

BASELINE_VISITS = 4  # [1] first visits that make the baseline
BASELINE_DAYS = 31  # [days] but none later than a month after the first: growth is slow, not nil
SMOOTHING = 0.3  # [1] λ of the chart; chosen by simulation, see docs/operating_point.md
REMEMBERED = 40  # [visits] older ones weigh less than 1e-8 in the chart and are left out
CHART_LIMIT = 3.8  # [u] L of the chart, baseline error included; same simulation
STEADY_LIMIT = 4.0  # [u] slope of the steady line; same simulation
STEADY_VISITS = 4  # [1] fewest visits of a steady line
STEADY_PAIR = 1.0  # [u] its last two visits lie beyond this: one odd visit makes no steady line
STEADY_DAYS = 366  # [days] a steady line reaches back one year
ODD = 3.0  # [u] a visit beyond this is odd: it asks for a second photo and stays out of a baseline
PAIR_LIMIT = 3.0  # [u] photos of a visit, or two visits running, each beyond this on one side
CLIP = 2.5  # [u] a reading counts as no further out than this from where it was expected
PRIOR_FREEDOM = 10  # [1] degrees of freedom the stated uncertainty is worth beside what is learnt


@dataclass(frozen=True, slots=True, eq=False)
class Mark:
    """One measure at one visit: the photos' values, level with each other over the series.

    ``photo_u`` is the standard uncertainty of each photo, shape (m,), positive; ``between_u`` what
    differs from visit to visit and no repeat on the day can average out.
    """

    visit: int
    day: float
    photos: NDArray[np.float64]
    photo_u: NDArray[np.float64]
    between_u: float = 0.0

    @property
    def value(self) -> float:
        """Weighted mean of the photos."""
        return float(np.average(self.photos, weights=1 / self.photo_u**2))

    @property
    def within_variance(self) -> float:
        """Variance of ``value`` for the photos of the day."""
        return float(1 / (1 / self.photo_u**2).sum())


@dataclass(frozen=True, slots=True)
class Judged:
    """What the series model says of one visit; ``u`` is of ``difference``, baseline included."""

    visit: int
    difference: float
    u: float
    verdict: Verdict
    course: Course

    @property
    def smallest_detectable(self) -> float:
        """Difference that measuring error alone exceeds once in twenty.

        With one photo at each of two visits it is 1.96 √2 S_w; repeats and a longer baseline
        lessen it.
        """
        return COVERAGE_95 * self.u


def visit_u(marks: Sequence[Mark]) -> NDArray[np.float64]:
    """Standard uncertainty of each visit's value, as known at each visit.

    Parameters
    ----------
    marks
        Visits in order of time.

    Returns
    -------
    NDArray[np.float64]
        Row i: what was known at visit i of visits 0 to i, shape (n, n) [unit of the measure].

    Notes
    -----
    The stated variance is scaled by what repeats of a day and steps between visits show, each
    weighed against ``PRIOR_FREEDOM`` (conjugate scaled inverse chi-square; Gelman A et al.,
    Bayesian Data Analysis). A step counts 2/3 of a degree of freedom (von Neumann J 1941,
    Ann Math Stat 12:367–395) and no more than ``CLIP``, so that one lost outline or one true jump
    does not widen everything.
    """
    values = np.array([mark.value for mark in marks])
    within = np.array([mark.within_variance for mark in marks])
    between = np.array([mark.between_u for mark in marks]) ** 2
    squares = [((mark.photos - mark.value) ** 2 / mark.photo_u**2).sum() for mark in marks]
    repeats = np.cumsum([mark.photos.size - 1 for mark in marks])
    learnt = (PRIOR_FREEDOM + np.cumsum(squares)) / (PRIOR_FREEDOM + repeats)
    variance = between[None, :] + learnt[:, None] * within[None, :]
    steps = np.diff(values)[None, :] ** 2 / (variance[:, 1:] + variance[:, :-1])
    counted = np.tril(np.minimum(steps, CLIP**2), -1).sum(axis=1)
    freedom = np.arange(len(marks)) * 2 / 3
    scale = (PRIOR_FREEDOM + counted * 2 / 3) / (PRIOR_FREEDOM + freedom)
    return np.sqrt(variance * scale[:, None])


def follow(marks: Sequence[Mark], *, floor: float = 0.0, hopeless: float = inf) -> list[Judged]:
    """What can be said of each visit after the first, with what was known at that visit.

    Parameters
    ----------
    marks
        Visits in order of time; dates may be irregular.
    floor
        A smaller change is not called one, however sure [unit of the measure].
    hopeless
        A visit that could not show a change of this size cannot tell [unit of the measure].

    Returns
    -------
    list[Judged]
        One for each mark but the first.
    """
    values = np.array([mark.value for mark in marks])
    days = np.array([mark.day for mark in marks])
    known = visit_u(marks)
    base, before, judged = [0], 0.0, []
    for i in range(1, len(marks)):
        us = known[i, : i + 1]
        target = _baseline(values, us, base)
        difference, u = float(values[i] - target[0]), float(np.hypot(us[i], target[1]))
        z = difference / u
        chart = _chart(values, us, target, base)
        line, gain = _steady_line(days[: i + 1], values[: i + 1], us)
        agreed = _repeats_agree(marks[i], us[i], target) or _pair_agrees(before, z)
        charted = chart[0] * np.sign(difference) > max(chart[1], floor)
        steady = i + 1 >= STEADY_VISITS and _is_steady(line, before, z) and abs(gain) >= floor
        # what the course says must hold of today's difference too: a spot that went back is back
        changed = abs(difference) >= floor and (agreed or charted or steady)
        verdict = _verdict(changed=changed, blind=COVERAGE_95 * u > hopeless, z=z)
        course = _course(values, us, chart, line)
        judged.append(Judged(marks[i].visit, difference, u, verdict, course))
        if i < BASELINE_VISITS and days[i] - days[0] <= BASELINE_DAYS and abs(z) <= ODD:
            base.append(i)
        before = z
    return judged


def _baseline(values: Floats, us: Floats, base: list[int]) -> tuple[float, float]:
    """Weighted mean of the baseline visits and its standard uncertainty."""
    weight = 1 / us[base] ** 2
    return float(np.average(values[base], weights=weight)), float(weight.sum() ** -0.5)


def _chart(
    values: Floats, us: Floats, target: tuple[float, float], base: list[int]
) -> tuple[float, float]:
    """Running mean difference of the visits outside the baseline, and its limit."""
    rest = [i for i in range(us.size) if i not in base][-REMEMBERED:]
    chart = ewma(values[rest] - target[0], us[rest], SMOOTHING, clip=CLIP)
    return float(chart.smoothed[-1]), CHART_LIMIT * float(np.hypot(chart.u[-1], target[1]))


def _steady_line(days: Floats, values: Floats, us: Floats) -> tuple[Line, float]:
    """Line through the last year's visits, and what it gains over them."""
    recent = days >= days[-1] - STEADY_DAYS
    recent[-2:] = True  # two points make a line even after a gap of years
    line = fit_line_clipped(days[recent], values[recent], us[recent], CLIP)
    return line, line.slope * float(np.ptp(days[recent]))


def _is_steady(line: Line, before: float, z: float) -> bool:
    """Whether the line rises or falls beyond its limit, and the last two visits lie that way."""
    steep = abs(line.slope) > STEADY_LIMIT * line.slope_u
    return steep and min(before * np.sign(line.slope), z * np.sign(line.slope)) > STEADY_PAIR


def _repeats_agree(mark: Mark, u: float, target: tuple[float, float]) -> bool:
    """Whether the visit has several photos and each lies far out on one side."""
    if mark.photos.size < 2:
        return False
    one_u = photo_difference_u(mark, u, target[1])
    away = (mark.photos - target[0]) * np.sign(mark.value - target[0])
    return bool((away > PAIR_LIMIT * one_u).all())


def photo_difference_u(mark: Mark, u: float, target_u: float) -> Floats:
    """Standard uncertainty of each photo's own difference from a baseline.

    ``u`` is what was learnt of the visit's mean, ``target_u`` the baseline's. No photo of several
    is as sure as their mean.
    """
    scale = u / np.hypot(mark.between_u, mark.within_variance**0.5)
    return np.hypot(scale * np.hypot(mark.between_u, mark.photo_u), target_u)


def _pair_agrees(before: float, z: float) -> bool:
    """Whether this visit and the one before both lie far out on one side."""
    return min(abs(before), abs(z)) > PAIR_LIMIT and before * z > 0


def _verdict(*, changed: bool, blind: bool, z: float) -> Verdict:
    """The word for a visit."""
    if changed:
        return Verdict.CHANGED
    if blind:
        return Verdict.UNKNOWN
    return Verdict.UNCONFIRMED if abs(z) > COVERAGE_95 else Verdict.SAME


def _course(values: Floats, us: Floats, chart: tuple[float, float], line: Line) -> Course:
    """The way up to the last of ``us``."""
    i = us.size - 1
    return Course(
        level=float(values[i] - values[0]),
        since_last=float(values[i] - values[i - 1]),
        since_last_u=float(np.hypot(us[i], us[i - 1])),
        smoothed=chart[0],
        limit=chart[1],
        rate=line.slope,
        rate_low=line.slope - COVERAGE_95 * line.slope_u,
        rate_high=line.slope + COVERAGE_95 * line.slope_u,
    )
