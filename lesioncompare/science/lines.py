"""Straight lines through dated measurements, rank tests of trend, and rates of growth."""

from dataclasses import dataclass
from math import log, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr


@dataclass(frozen=True, slots=True)
class Line:
    """A fitted line: y = intercept + slope x, with standard uncertainties.

    ``residual_sd`` is the sd left about the line, in units of the stated errors when these were
    given (then 1 when they are true), in units of y otherwise; 0 with two points.
    """

    slope: float
    intercept: float
    slope_u: float
    intercept_u: float
    residual_sd: float


def fit_line(x: ArrayLike, y: ArrayLike, u: ArrayLike | None = None) -> Line:
    """Line of (weighted) least squares.

    Parameters
    ----------
    x, y
        Points, shape (n,), n >= 2, not all at one x.
    u
        Known standard uncertainty of each y, shape (n,), positive; the uncertainties of the line
        then follow from it. None: equal and unknown, taken from the scatter about the line.

    Returns
    -------
    Line
        Slope [y/x], intercept [y] and their standard uncertainties.

    Raises
    ------
    ValueError
        With fewer than two different x, or an uncertainty that is not positive.

    References
    ----------
    Weighted normal equations about the weighted mean of x, which keeps the digits; certified
    against NIST StRD "Norris".
    """
    xs, ys = np.asarray(x, float), np.asarray(y, float)
    us = np.ones_like(ys) if u is None else np.asarray(u, float)
    if xs.ndim != 1 or xs.shape != ys.shape or us.shape != ys.shape or np.ptp(xs) == 0:
        raise ValueError("x and y must be equally long lists with at least two different x")
    if not (us > 0).all():
        raise ValueError("u must be positive")
    weight = 1 / us**2
    total = weight.sum()
    x0, y0 = (weight * xs).sum() / total, (weight * ys).sum() / total
    spread = (weight * (xs - x0) ** 2).sum()
    slope = (weight * (xs - x0) * (ys - y0)).sum() / spread
    residual = ys - y0 - slope * (xs - x0)
    freedom = xs.size - 2
    residual_sd = sqrt((weight * residual**2).sum() / freedom) if freedom else 0.0
    scale = residual_sd if u is None else 1.0
    return Line(
        float(slope),
        float(y0 - slope * x0),
        float(scale / sqrt(spread)),
        float(scale * sqrt(1 / total + x0**2 / spread)),
        float(residual_sd),
    )


def fit_line_clipped(x: ArrayLike, y: ArrayLike, u: ArrayLike, clip: float = 2.5) -> Line:
    """Line of weighted least squares on which a wild point pulls no more than a doubtful one.

    Parameters
    ----------
    x, y, u
        Points and their known standard uncertainties, as for ``fit_line``.
    clip
        Points further from the line are moved to this distance, three times over [u].

    Returns
    -------
    Line
        As ``fit_line``; uncertainties as if nothing had been moved.

    References
    ----------
    Huber PJ (1964) Ann Math Stat 35:73–101, by winsorised residuals; clip 2.5: common practice.
    """
    xs, ys, us = np.asarray(x, float), np.asarray(y, float), np.asarray(u, float)
    line = fit_line(xs, ys, us)
    for _ in range(3):
        on_line = line.intercept + line.slope * xs
        if (np.abs(ys - on_line) <= clip * us).all():
            break
        line = fit_line(xs, np.clip(ys, on_line - clip * us, on_line + clip * us), us)
    return line


@dataclass(frozen=True, slots=True)
class RobustLine:
    """The median slope of all pairs of points, with its confidence interval."""

    slope: float
    low: float
    high: float
    intercept: float


def theil_sen(x: ArrayLike, y: ArrayLike, confidence: float = 0.95) -> RobustLine:
    """Line of the median slope, which up to a quarter of wild points cannot turn.

    Parameters
    ----------
    x, y
        Points, shape (n,), n >= 2, not all at one x.
    confidence
        Of the interval of the slope [1]. Under five points no ranking reaches 95 % and the
        interval is the whole range of slopes.

    Returns
    -------
    RobustLine
        Slope and its interval [y/x]; intercept median(y) - slope median(x) [y].

    Raises
    ------
    ValueError
        With fewer than two different x.

    References
    ----------
    Sen PK (1968) J Am Stat Assoc 63:1379–1389, doi:10.1080/01621459.1968.10480934.
    """
    xs, ys = np.asarray(x, float), np.asarray(y, float)
    if xs.ndim != 1 or xs.shape != ys.shape or np.ptp(xs) == 0:
        raise ValueError("x and y must be equally long lists with at least two different x")
    from scipy.stats import theilslopes  # noqa: PLC0415  over a second to import: when needed

    slope, intercept, low, high = theilslopes(ys, xs, confidence)
    return RobustLine(float(slope), float(low), float(high), float(intercept))


@dataclass(frozen=True, slots=True)
class Trend:
    """Mann–Kendall test: S, its variance without trend, Z and the two-sided p."""

    s: int
    variance: float
    z: float
    p: float


def mann_kendall(y: ArrayLike) -> Trend:
    """Whether a sequence rises or falls more steadily than chance allows.

    Parameters
    ----------
    y
        Measurements in order of time, shape (n,), n >= 2; ties are allowed for.

    Returns
    -------
    Trend
        With the normal approximation and continuity correction; p is no use under n = 5.

    References
    ----------
    US EPA (2006) QA/G-9S "Data Quality Assessment: Statistical Methods for Practitioners",
    EPA/240/B-06/003; Gilbert RO (1987) ch. 16.
    """
    values: NDArray[np.float64] = np.asarray(y, float)
    n = values.size
    later, earlier = np.tril_indices(n, -1)
    s = int(np.sign(values[later] - values[earlier]).sum())
    ties = np.unique(values, return_counts=True)[1]
    variance = float(n * (n - 1) * (2 * n + 5) - (ties * (ties - 1) * (2 * ties + 5)).sum()) / 18
    z = (s - np.sign(s)) / sqrt(variance) if variance > 0 else 0.0
    return Trend(s, variance, float(z), float(2 * ndtr(-abs(z))))


def specific_growth_rate(earlier: float, later: float, days: float) -> float:
    """Relative growth per day: ln(later / earlier) / days.

    Equal sizes give 0 and shrinking a negative rate, where a doubling time has no value.

    Parameters
    ----------
    earlier, later
        Two sizes, positive [any one unit].
    days
        Time between them, positive [days].

    Returns
    -------
    float
        Specific growth rate [1/day].

    Raises
    ------
    ValueError
        When a size or the time is not positive.

    References
    ----------
    Mehrara E et al. (2007) Cancer Res 67:3970–3975, doi:10.1158/0008-5472.CAN-06-3822.
    """
    if not (earlier > 0 and later > 0):
        raise ValueError("earlier and later must be positive")
    if not days > 0:
        raise ValueError("days must be positive")
    return log(later / earlier) / days


def doubling_time(rate_per_day: float) -> float | None:
    """Days in which a size doubles at a specific growth rate; None when it does not grow.

    Parameters
    ----------
    rate_per_day
        Specific growth rate [1/day].

    Returns
    -------
    float | None
        ln 2 / rate [days].

    References
    ----------
    Schwartz M (1961) Cancer 14:1272–1294.
    """
    return log(2) / rate_per_day if rate_per_day > 0 else None
