"""How errors of the parts combine into the error of the result: JCGM 100:2008, the GUM.

JCGM 100:2008, "Evaluation of measurement data: Guide to the expression of uncertainty in
measurement", doi:10.59161/JCGM100-2008E.
"""

from collections.abc import Callable, Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtrit

Floats: TypeAlias = NDArray[np.float64]


def combine(sensitivities: ArrayLike, covariance: ArrayLike) -> Floats:
    """Covariance of results that depend on inputs: J V Jᵀ.

    Parameters
    ----------
    sensitivities
        Partial derivatives, one row per result: shape (m, n), or (n,) for one result.
    covariance
        Covariance of the inputs, shape (n, n); or their standard uncertainties, shape (n,), when
        they are uncorrelated.

    Returns
    -------
    Floats
        Shape (m, m); the diagonal holds the squared combined standard uncertainties.

    Notes
    -----
    JCGM 100:2008, equations 10 and 13 (one result) and H.9 (several). First order: where the
    result bends over one standard uncertainty of an input, the second-order terms of 5.1.2 are
    left out.
    """
    jacobian = np.atleast_2d(np.asarray(sensitivities, float))
    spread = np.asarray(covariance, float)
    if spread.ndim == 1:
        spread = np.diag(spread**2)
    if spread.shape != (jacobian.shape[1], jacobian.shape[1]):
        raise ValueError(f"covariance must be {jacobian.shape[1]} wide, not {spread.shape}")
    return np.asarray(jacobian @ spread @ jacobian.T)


def correlation_of(covariance: ArrayLike) -> Floats:
    """Correlation matrix (n, n) from a covariance matrix (n, n) without zero variances."""
    spread = np.asarray(covariance, float)
    sizes = np.sqrt(np.diag(spread))
    return np.asarray(spread / np.outer(sizes, sizes))


def sensitivities(
    model: Callable[[Floats], ArrayLike], at: Sequence[float] | Floats, u: Sequence[float] | Floats
) -> Floats:
    """Partial derivatives of a model, taken over one standard uncertainty of each input.

    Parameters
    ----------
    model
        Takes inputs of shape (n,) and gives one number or (m,) results.
    at
        The inputs' best estimates, shape (n,).
    u
        Their standard uncertainties, shape (n,), none of them zero.

    Returns
    -------
    Floats
        Shape (m, n).

    Notes
    -----
    JCGM 100:2008, 5.1.3, note 2: half the difference of the results at x + u and x - u.
    """
    estimate, sizes = np.asarray(at, float), np.asarray(u, float)
    columns = []
    for index, size in enumerate(sizes):
        shift = np.zeros_like(estimate)
        shift[index] = size
        above, below = (np.atleast_1d(model(estimate + sign * shift)) for sign in (1, -1))
        columns.append((above - below) / (2 * size))
    return np.stack(columns, axis=1)


def of_powers(exponents: ArrayLike, relative_u: ArrayLike) -> float:
    """Relative standard uncertainty of a product of powers of uncorrelated inputs [1].

    Notes
    -----
    JCGM 100:2008, equation 12. An area is a count times the scale squared, so the scale's
    relative error enters twice.
    """
    return float(np.linalg.norm(np.asarray(exponents, float) * np.asarray(relative_u, float)))


def effective_freedom(contributions: ArrayLike, freedom: ArrayLike) -> float:
    """Effective degrees of freedom of a combined uncertainty (Welch and Satterthwaite) [1].

    Parameters
    ----------
    contributions
        Each input's share in the unit of the result, |sensitivity| times u, shape (n,).
    freedom
        Degrees of freedom behind each, shape (n,); infinite where u is known.

    Notes
    -----
    JCGM 100:2008, equation G.2b: for uncorrelated inputs.
    """
    shares = np.asarray(contributions, float)
    denominator = float((shares**4 / np.asarray(freedom, float)).sum())
    return np.inf if denominator == 0 else float((shares**2).sum() ** 2 / denominator)


def coverage_factor(freedom: float, level: float = 0.95) -> float:
    """Two-sided factor of Student's t that covers ``level`` [1].

    Fractional degrees of freedom are cut to the next lower integer (JCGM 100:2008, G.4.1).
    """
    return float(stdtrit(np.floor(freedom) if np.isfinite(freedom) else 1e9, (1 + level) / 2))
