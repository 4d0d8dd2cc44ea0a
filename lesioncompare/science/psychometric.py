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
LIKELY = float(chi2.ppf(0.95, 1)) / 2  # [1] fall of the log-likelihood at the ends of 95 %


@dataclass(frozen=True, slots=True)
class Curve:
    """The share of "changed" for a change of a given size: Φ(slope · size + intercept).

    ``threshold`` is the size at which the change and no change lie one standard deviation of the
    inner noise apart (d' = 1), which does not depend on how readily a person says "changed"; None
    where the answers do not rise with size. ``low`` and ``high`` bound it (profile likelihood,
    95 %); either is None where the answers leave it open.
    """

    slope: float
    intercept: float
    threshold: float | None
    low: float | None
    high: float | None

    def share(self, size: ArrayLike) -> NDArray[np.float64]:
        """Expected share of "changed" [1]."""
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
    range_of_sizes = float(np.ptp(x))
    trials = _Trials((x - x.mean()) / range_of_sizes, yes, n)
    slope, intercept = trials.most_likely()
    low, high = trials.slopes(slope, intercept)
    rising = 0 < slope < STEP
    return Curve(
        slope / range_of_sizes,
        intercept - slope * float(x.mean()) / range_of_sizes,
        range_of_sizes / slope if rising else None,
        None if high is None or high <= 0 else range_of_sizes / high,
        None if low is None or low <= 0 else range_of_sizes / low,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Trials:
    """Answers with sizes brought to a range of one about zero."""

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
            method="L-BFGS-B",
            bounds=[(-STEP, STEP), (-STEP, STEP)],
            options={"ftol": 1e-13, "gtol": 1e-9},
        )
        return float(found.x[0]), float(found.x[1])

    def profile(self, slope: float) -> float:
        """Least loss with this slope."""
        found = minimize_scalar(
            lambda intercept: self.loss(slope, intercept), bracket=(-1.0, 1.0), tol=1e-5
        )
        return float(found.fun)

    def slopes(self, slope: float, intercept: float) -> tuple[float | None, float | None]:
        """The 95 % interval of the slope; None for an end that the answers leave open."""
        most = self.loss(slope, intercept) + LIKELY
        ends: list[float | None] = []
        for end in (-STEP, STEP):
            inside = abs(slope - end) < 1e-6 or self.profile(end) < most
            ends.append(
                None
                if inside
                else float(
                    brentq(lambda b: self.profile(b) - most, *sorted((slope, end)), xtol=1e-3)
                )
            )
        return ends[0], ends[1]
