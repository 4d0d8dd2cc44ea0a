"""The length of a difference of two noisy vectors, which is positive even when they are equal."""

from math import sqrt

from scipy.optimize import brentq
from scipy.special import chdtr, chdtri, chndtr, ndtri

FAR = 900.0  # [sigma²] beyond 30 sigma only the axis along the difference counts


def true_distance(observed: float, sigma: float, axes: int = 3) -> tuple[float, float, float]:
    """Best estimate and 95 % interval of a distance of which only a noisy one was seen.

    Parameters
    ----------
    observed
        Distance of the two measured points, not negative [any one unit].
    sigma
        Standard uncertainty of their difference along each axis, alike and independent
        [that unit].
    axes
        Number of axes [1].

    Returns
    -------
    tuple[float, float, float]
        Estimate, low, high [that unit]. The estimate is what is left of the squared distance
        after the noise expected in it, and 0 when nothing is left.

    Notes
    -----
    The squared distance over sigma² follows a noncentral chi-square law; the interval holds those
    true distances under which the observed one is no rarer than 2.5 % on either side. A distance
    rarer than that even under no change, because it is so small, gets the interval of the
    expected noise instead of an empty one.

    References
    ----------
    Johnson NL, Kotz S, Balakrishnan N (1995) Continuous Univariate Distributions vol. 2, ch. 29.
    """
    if sigma == 0:
        return observed, observed, observed
    seen = (observed / sigma) ** 2
    estimate = sigma * sqrt(max(seen - axes, 0.0))
    return estimate, sigma * _reach(seen, 0.975, axes), sigma * _reach(max(seen, axes), 0.025, axes)


def noise_distance(sigma: float, axes: int = 3, share: float = 0.95) -> float:
    """Distance that noise alone stays under in ``share`` of cases [unit of sigma]."""
    return sigma * sqrt(float(chdtri(axes, 1 - share)))


def _reach(seen: float, share: float, axes: int) -> float:
    """True distance [sigma] at which ``share`` of squared distances stay under ``seen``."""
    if chdtr(axes, seen) <= share:
        return 0.0
    if seen > FAR:
        return sqrt(seen - axes + 1) - float(ndtri(share))
    top = sqrt(seen) + 6.0
    return float(brentq(lambda d: chndtr(seen, axes, d * d) - share, 0.0, top, xtol=1e-4))
