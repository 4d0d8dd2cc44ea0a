"""Sequential charts that decide when a run of measurements has left its baseline.

Average run lengths are for known mean and sd and independent normal readings: with a short
baseline real false alarms are more frequent, and only simulation tells how frequent.
"""

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr

NODES = 81  # [1] Gauss–Legendre nodes: run lengths of tables are met to their last digit


@dataclass(frozen=True, slots=True, eq=False)
class Cusum:
    """Upper and lower sums after each reading, shape (n,) [sd], and how long each has run."""

    up: NDArray[np.float64]
    down: NDArray[np.float64]
    up_run: NDArray[np.int64]
    down_run: NDArray[np.int64]


def cusum(z: ArrayLike, k: float = 0.5) -> Cusum:
    """Two-sided tabular cumulative sums of standardised readings.

    Parameters
    ----------
    z
        (reading - target) / sd, in order, shape (n,) [sd].
    k
        Allowance: half the shift one wants to find soon [sd].

    Returns
    -------
    Cusum
        A change is signalled where a sum exceeds the decision interval h; it began about
        ``run`` readings before.

    References
    ----------
    Page ES (1954) Biometrika 41:100–115; Montgomery DC, Introduction to Statistical Quality
    Control, the chapter on cumulative sum charts.
    """
    readings = np.asarray(z, float)
    up, down = np.zeros(readings.size), np.zeros(readings.size)
    up_run, down_run = np.zeros(readings.size, np.int64), np.zeros(readings.size, np.int64)
    high = low = 0.0
    for i, reading in enumerate(readings):
        high, low = max(0.0, high + reading - k), max(0.0, low - reading - k)
        up[i], down[i] = high, low
        up_run[i] = up_run[i - 1] + 1 if high > 0 and i else int(high > 0)
        down_run[i] = down_run[i - 1] + 1 if low > 0 and i else int(low > 0)
    return Cusum(up, down, up_run, down_run)


@dataclass(frozen=True, slots=True, eq=False)
class Ewma:
    """Smoothed readings after each reading and their standard uncertainty, shape (n,)."""

    smoothed: NDArray[np.float64]
    u: NDArray[np.float64]


def ewma(values: ArrayLike, u: ArrayLike, smoothing: float, *, clip: float = inf) -> Ewma:
    """Exponentially weighted moving average about a target of zero, with its exact uncertainty.

    Parameters
    ----------
    values
        Reading minus target, in order, shape (n,) [any one unit].
    u
        Standard uncertainty of each reading, shape (n,) or a number [that unit].
    smoothing
        λ, weight of the newest reading, over 0 up to 1 [1].
    clip
        A reading further than this from the average moves it no more than one this far [u of the
        reading]: a single lost one cannot then signal. ``u`` is stated as if nothing was clipped.

    Returns
    -------
    Ewma
        A change is signalled where |smoothed| exceeds L times u.

    References
    ----------
    Roberts SW (1959) Technometrics 1:239–250, doi:10.1080/00401706.1959.10489860; with the
    steps bounded as in Gelper S, Fried R, Croux C (2010) J Forecast 29:285–300 (from memory).
    """
    readings = np.asarray(values, float)
    variances = np.broadcast_to(np.asarray(u, float) ** 2, readings.shape)
    smoothed, spread = np.zeros(readings.size), np.zeros(readings.size)
    level = variance = 0.0
    for i, (reading, one) in enumerate(zip(readings.tolist(), variances.tolist(), strict=True)):
        bound = clip * sqrt(one) if clip < inf else inf
        level += smoothing * min(max(reading - level, -bound), bound)
        variance = (1 - smoothing) ** 2 * variance + smoothing**2 * one
        smoothed[i], spread[i] = level, sqrt(variance)
    return Ewma(smoothed, spread)


def cusum_run_length(shift: float, k: float, h: float) -> float:
    """Average number of readings until a two-sided CUSUM signals, from a start at zero.

    Parameters
    ----------
    shift
        Of the mean from its target [sd].
    k, h
        Allowance and decision interval [sd].

    Returns
    -------
    float
        Average run length [readings].

    References
    ----------
    Page's integral equation by Gauss–Legendre quadrature; the two sides join as reciprocals
    (Kemp KW 1961, J R Stat Soc B 23:149–153).
    """
    return 1 / (1 / _one_sided(shift, k, h) + 1 / _one_sided(-shift, k, h))


def _one_sided(shift: float, k: float, h: float) -> float:
    """Average run length of the upper sum alone: L(0) of L(u) = 1 + L(0) P(≤0) + ∫ L f."""
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    at = np.concatenate([[0.0], (nodes + 1) * h / 2])
    step = at[None, :] - at[:, None] + k - shift
    kernel = _density(step)
    kernel[:, 1:] *= weights * h / 2
    kernel[:, 0] = ndtr(step[:, 0])
    return float(np.linalg.solve(np.eye(NODES + 1) - kernel, np.ones(NODES + 1))[0])


def ewma_run_length(shift: float, smoothing: float, limit: float) -> float:
    """Average number of readings until a two-sided EWMA with steady limits signals.

    Parameters
    ----------
    shift
        Of the mean from its target [sd].
    smoothing
        λ [1].
    limit
        L, in units of the steady sd of the average, √(λ/(2-λ)) [1].

    Returns
    -------
    float
        Average run length from a start on target [readings].

    References
    ----------
    Crowder SV (1987) Technometrics 29:401–407; tables in Lucas JM, Saccucci MS (1990)
    Technometrics 32:1–12, doi:10.1080/00401706.1990.10484583.
    """
    half = limit * sqrt(smoothing / (2 - smoothing))
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    at = np.concatenate([[0.0], nodes * half])
    step = (at[None, :] - (1 - smoothing) * at[:, None]) / smoothing - shift
    kernel = _density(step) / smoothing
    kernel[:, 1:] *= weights * half
    kernel[:, 0] = 0.0
    return float(np.linalg.solve(np.eye(NODES + 1) - kernel, np.ones(NODES + 1))[0])


def _density(z: NDArray[np.float64]) -> NDArray[np.float64]:
    """Density of the standard normal distribution."""
    return np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi)
