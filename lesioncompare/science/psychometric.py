"""How small a change an eye finds: the psychometric curve of yes-or-no answers.

References
----------
[1] Green DM, Swets JA (1966) Signal Detection Theory and Psychophysics. Wiley.
[2] Wichmann FA, Hill NJ (2001) The psychometric function I. Percept Psychophys 63:1293-1313.
    doi:10.3758/BF03194544
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq, minimize, minimize_scalar
from scipy.special import log_ndtr, ndtr
from scipy.stats import chi2

STEP = 200.0  # [1] slope over the range of sizes; steeper is a step, as no answer contradicts it
FARTHEST = (-0.5, 2.0)  # [1] over the range of sizes: no half is looked for beyond
LIKELY = float(chi2.ppf(0.95, 1)) / 2  # [1] fall of the log-likelihood at the ends of 95 %


@dataclass(frozen=True, slots=True)
class Curve:
    """The share of "changed" for a change of a given size: Φ(slope · size + intercept).

    ``half`` is the size at which "changed" is said half of the time, between ``low`` and ``high``
    (profile likelihood, 95 %). Each is None where the answers leave it open; all of them where
    "changed" is not said more often the larger the change.
    """

    slope: float
    intercept: float
    half: float | None
    low: float | None
    high: float | None

    def share(self, size: ArrayLike) -> NDArray[np.float64]:
        """Expected share of "changed" [1]; at size 0 it is that of false alarms."""
        return np.asarray(ndtr(self.slope * np.asarray(size, float) + self.intercept))


def fit_curve(sizes: ArrayLike, said: ArrayLike, asked: ArrayLike) -> Curve:
    """The curve that makes the answers most likely.

    Parameters
    ----------
    sizes
        Size of the change of each kind of trial, shape (n,); 0 where nothing changed.
    said, asked
        How often "changed" was said, and how often it was asked, shape (n,).

    Raises
    ------
    ValueError
        When there are fewer than two sizes or a count is impossible.

    Notes
    -----
    Equal-variance signal detection [1]: probit regression, by maximum likelihood [2].
    """
    x, yes, n = (np.asarray(values, float) for values in (sizes, said, asked))
    if len(np.unique(x)) < 2:
        raise ValueError("sizes must hold at least two different values")
    if (yes < 0).any() or (yes > n).any():
        raise ValueError("said must lie between 0 and asked")
    start, extent = float(x.min()), float(np.ptp(x))
    trials = _Trials((x - start) / extent, yes, n)
    slope, intercept = trials.most_likely()
    half, low, high = trials.half(slope, intercept) if slope > 0 else (None, None, None)
    back = [None if h is None else start + extent * h for h in (half, low, high)]
    return Curve(slope / extent, intercept - slope * start / extent, *back)


@dataclass(frozen=True, slots=True, eq=False)
class _Trials:
    """Answers with sizes brought to a range from 0 to 1."""

    size: NDArray[np.float64]
    said: NDArray[np.float64]
    asked: NDArray[np.float64]

    def loss(self, slope: float, intercept: float) -> float:
        """Minus the log-likelihood."""
        z = slope * self.size + intercept
        return -float((self.said * log_ndtr(z) + (self.asked - self.said) * log_ndtr(-z)).sum())

    def most_likely(self) -> tuple[float, float]:
        """Slope and intercept where the loss is least; it is convex."""
        found = minimize(
            lambda p: self.loss(p[0], p[1]),
            np.array([1.0, 0.0]),
            method="Nelder-Mead",  # two numbers: a simplex is sooner done than anything else
            bounds=[(-STEP, STEP), (-STEP, STEP)],
            options={"xatol": 1e-6, "fatol": 1e-10, "maxiter": 2000},
        )
        return float(found.x[0]), float(found.x[1])

    def profile(self, half: float) -> float:
        """Least loss of a rising curve that passes one half at this size."""
        found = minimize_scalar(
            lambda slope: self.loss(slope, -slope * half), bounds=(0, STEP), method="bounded"
        )
        return float(found.fun)

    def half(
        self, slope: float, intercept: float
    ) -> tuple[float | None, float | None, float | None]:
        """Where the curve passes one half, and the 95 % interval of that."""
        middle = -intercept / slope
        if not FARTHEST[0] <= middle <= FARTHEST[1]:
            return None, None, None
        most = self.loss(slope, intercept) + LIKELY
        ends: list[float | None] = []
        for end in FARTHEST:
            outside = self.profile(end) > most
            steps = sorted((middle, end))
            found = brentq(lambda h: self.profile(h) - most, *steps, xtol=1e-3) if outside else None
            ends.append(found)
        return middle, ends[0], ends[1]
