"""How well measurements agree with each other: repeats of one thing, and two ways of measuring."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

REPEATABILITY_FACTOR = 1.959964 * sqrt(2.0)  # [1] 2.77; Bland & Altman, BMJ 1996;313:744


@dataclass(frozen=True, slots=True)
class Agreement:
    """Mean difference of two methods and the limits within which 95 % of differences lie."""

    mean: float
    sd: float
    low: float
    high: float


def bland_altman(first: ArrayLike, second: ArrayLike) -> Agreement:
    """Limits of agreement of two methods that measured the same things.

    Parameters
    ----------
    first, second
        Paired measurements, shape (n,), n >= 2 [any one unit]; the difference is first - second.

    Returns
    -------
    Agreement
        Mean and sd (n - 1) of the differences, and mean ± 1.96 sd [that unit].

    Raises
    ------
    ValueError
        When the pairs do not match or there are fewer than two.

    References
    ----------
    Bland JM, Altman DG (1986) Lancet 327:307–310, doi:10.1016/S0140-6736(86)90837-8.
    """
    one, other = np.asarray(first, float), np.asarray(second, float)
    if one.ndim != 1 or one.shape != other.shape or one.size < 2:
        raise ValueError("first and second must be two equally long lists of at least two numbers")
    difference = one - other
    mean, sd = float(difference.mean()), float(difference.std(ddof=1))
    return Agreement(mean, sd, mean - 1.959964 * sd, mean + 1.959964 * sd)


def within_subject_sd(groups: Sequence[ArrayLike]) -> tuple[float, int]:
    """Standard deviation of repeated measurements of the same thing, S_w, and its freedom.

    Parameters
    ----------
    groups
        Repeats of each thing, each shape (m,), m may differ; single measurements teach nothing
        and are passed over [any one unit].

    Returns
    -------
    tuple[float, int]
        S_w [that unit] and its degrees of freedom, Σ(m - 1); (0, 0) when nothing was repeated.

    References
    ----------
    Bland JM, Altman DG (1999) Stat Methods Med Res 8:135–160, doi:10.1177/096228029900800204.
    """
    squares, freedom = 0.0, 0
    for group in groups:
        repeats = np.asarray(group, float)
        if repeats.size > 1:
            squares += float(((repeats - repeats.mean()) ** 2).sum())
            freedom += repeats.size - 1
    return (sqrt(squares / freedom), freedom) if freedom else (0.0, 0)


def smallest_detectable_change(sd: float, repeats: int = 1) -> float:
    """Difference of two occasions that measuring error alone exceeds once in twenty.

    Parameters
    ----------
    sd
        Within-subject standard deviation S_w [any unit].
    repeats
        Measurements averaged on each occasion [1].

    Returns
    -------
    float
        1.96 √2 S_w / √repeats [that unit].

    References
    ----------
    Bland JM, Altman DG (1996) "Measurement error", BMJ 313:744, doi:10.1136/bmj.313.7059.744.
    """
    return REPEATABILITY_FACTOR * sd / sqrt(repeats)


@dataclass(frozen=True, slots=True)
class IntraclassCorrelations:
    """The six coefficients of Shrout and Fleiss, named by model and by readings averaged."""

    one_way: float  # ICC(1,1)
    two_way_random: float  # ICC(2,1)
    two_way_mixed: float  # ICC(3,1)
    one_way_mean: float  # ICC(1,k)
    two_way_random_mean: float  # ICC(2,k)
    two_way_mixed_mean: float  # ICC(3,k)


def intraclass_correlations(ratings: ArrayLike) -> IntraclassCorrelations:
    """Share of the scatter that lies between things, not between those who measured them.

    Parameters
    ----------
    ratings
        One row per thing, one column per rater, shape (n, k), n and k >= 2 [any one unit].

    Returns
    -------
    IntraclassCorrelations
        The six coefficients [1].

    Raises
    ------
    ValueError
        When the table is not a full one of at least 2 by 2.

    References
    ----------
    Shrout PE, Fleiss JL (1979) Psychol Bull 86:420–428, doi:10.1037/0033-2909.86.2.420.
    """
    table: NDArray[np.float64] = np.asarray(ratings, float)
    if table.ndim != 2 or min(table.shape) < 2:
        raise ValueError("ratings must be a table of at least two things and two raters")
    n, k = table.shape
    mean = table.mean()
    between = k * ((table.mean(axis=1) - mean) ** 2).sum() / (n - 1)
    raters = n * ((table.mean(axis=0) - mean) ** 2).sum() / (k - 1)
    within = ((table - table.mean(axis=1, keepdims=True)) ** 2).sum() / (n * (k - 1))
    error = (within * n * (k - 1) - raters * (k - 1)) / ((n - 1) * (k - 1))
    return IntraclassCorrelations(
        one_way=float((between - within) / (between + (k - 1) * within)),
        two_way_random=float(
            (between - error) / (between + (k - 1) * error + k * (raters - error) / n)
        ),
        two_way_mixed=float((between - error) / (between + (k - 1) * error)),
        one_way_mean=float((between - within) / between),
        two_way_random_mean=float((between - error) / (between + (raters - error) / n)),
        two_way_mixed_mean=float((between - error) / between),
    )
