"""The smooth shift that carries patches where no homography can: skin is curved and was pulled.

A Gaussian process through what the homography leaves (Rasmussen & Williams 2006, 2.2), written
with few Gaussians on a grid (8.3.1 there), patches astray losing their say.
"""

import numpy as np
from numpy.typing import NDArray

from lesioncompare.align.fit import RAYLEIGH_MEDIAN, tukey
from lesioncompare.records import Bend, Points, gaussians

SD_MM = 8.0  # [mm] skin bends over about so far
APART_MM = 6.0  # [mm] between the Gaussians; nearer ones change nothing
SHIFT_MM = 0.5  # [mm] sd of the shift, before looking
PATCH_MM = 0.05  # [mm] sd of a patch that is followed without doubt
LEAST_SPREAD_MM = 0.02  # [mm] patches are not followed better than this
ROUNDS = 4


def bend_through(
    at: Points, off: Points, peak: NDArray[np.float64], span: tuple[Points, Points]
) -> tuple[Bend, NDArray[np.float64]]:
    """The likeliest smooth shift that takes places ``at`` (n, 2) by ``off`` (n, 2) [mm].

    Beside it the covariance (m, m) of the heights of its Gaussians, were patches independent.

    Parameters
    ----------
    at, off
        Where the homography puts each patch in the first photo's plane, and what is left.
    peak
        The patches' coefficients (n,): the higher, the surer.
    span
        Least and greatest x and y that the shift is wanted for [mm].
    """
    low, high = span
    axes = [
        np.linspace(a, b, 1 + int(np.ceil((b - a) / APART_MM)))
        for a, b in zip(low, high, strict=True)
    ]
    middles = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)
    terms = gaussians(at, middles, SD_MM)
    prior = (gaussians(middles, middles, SD_MM) + 1e-6 * np.eye(len(middles))) / SHIFT_MM**2
    weight = np.ones(len(at))
    for _ in range(ROUNDS):
        weighed = terms * (weight * peak / PATCH_MM**2)[:, None]
        height = np.linalg.solve(weighed.T @ terms + prior, weighed.T @ off)
        left = np.hypot(*(off - terms @ height).T)
        spread = max(LEAST_SPREAD_MM, 1.2 * float(np.median(left)) / RAYLEIGH_MEDIAN)
        weight = tukey(left, spread)
    loose = np.linalg.inv(weighed.T @ terms * (PATCH_MM / max(spread, PATCH_MM)) ** 2 + prior)
    return Bend(middles, np.asarray(height, float), SD_MM), np.asarray(loose, float)
