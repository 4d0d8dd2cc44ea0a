"""Similarity and homography from patches that moved, some of them astray."""

import numpy as np
from numpy.typing import NDArray

from lesioncompare.records import Matrix, Points

TUKEY = 4.685  # [sd] 95 % efficiency at the normal distribution (Beaton & Tukey 1974)
RAYLEIGH_MEDIAN = 1.1774  # [sd] median distance of a round normal scatter, sqrt(2 ln 2)
ANISOTROPY = 0.06  # [1] sd of stretch along one direction: sticker off the skin's plane by 10°
PERSPECTIVE = 0.0012  # [1/mm] sd of the vanishing terms: the same, seen from 150 mm
LEAST_BASE_MM = 1.0  # [mm] two patches nearer than this fix no turn


def similarity(source: Points, target: Points, weight: NDArray[np.float64]) -> Matrix:
    """The weighted least-squares turn, scale and shift from ``source`` to ``target``."""
    share = weight / weight.sum()
    a, b = share @ source, share @ target
    z = (source - a) @ [1, 1j]
    w = (target - b) @ [1, 1j]
    turn = (share * z.conj()) @ w / max(share @ np.abs(z) ** 2, 1e-12)
    matrix = np.eye(3)
    matrix[:2, :2] = [[turn.real, -turn.imag], [turn.imag, turn.real]]
    matrix[:2, 2] = b - matrix[:2, :2] @ a
    return matrix


def scale_of(matrix: Matrix) -> float:
    """Scale of a similarity [1]."""
    return float(np.hypot(matrix[0, 0], matrix[1, 0]))


def agreeing(source: Points, target: Points, within_mm: float) -> NDArray[np.bool_]:
    """The largest set that one similarity through two of the pairs carries to within a distance.

    Every two pairs are tried (consensus as in Fischler & Bolles 1981, without the dice), those
    with a scale from 0.8 to 1.25.
    """
    if len(source) < 2:
        return np.zeros(len(source), bool)
    z, w = ((points - points.mean(axis=0)) @ [1, 1j] for points in (source, target))
    i, j = np.triu_indices(len(z), 1)
    apart = z[i] - z[j]
    keep = np.abs(apart) > LEAST_BASE_MM
    i, j = i[keep], j[keep]
    turn = (w[i] - w[j]) / apart[keep]
    keep = (np.abs(turn) > 0.8) & (np.abs(turn) < 1.25)
    if not keep.any():
        return np.zeros(len(z), bool)
    turn, i = turn[keep], i[keep]
    shift, one = w[i] - turn * z[i], np.ones(len(turn))
    # |turn z + shift - w|^2 multiplied out: one product of real matrices for all pairs at once
    pairs = [abs(turn) ** 2, abs(shift) ** 2, one, 2 * turn * shift.conj(), -2 * turn, -2 * shift]
    patches = [abs(z) ** 2, np.ones(len(z)), abs(w) ** 2, z, z * w.conj(), w.conj()]
    left, right = np.stack(pairs, axis=1), np.stack(patches)
    off = np.hstack([left.real, -left.imag]).astype(np.float32) @ np.vstack(
        [right.real, right.imag]
    ).astype(np.float32)
    support = np.maximum(1 - off / within_mm**2, 0).sum(axis=1)
    return off[support.argmax()] < within_mm**2


def homography(
    source: Points, target: Points, weight: NDArray[np.float64], spread_mm: float, at: Points
) -> Matrix:
    """The likeliest homography near ``at`` [source, target], given what stickers do.

    Turn, scale and shift are free; stretch along one direction and the vanishing terms are drawn
    to 0 with standard deviations ANISOTROPY and PERSPECTIVE (linear, Hartley & Zisserman 2004,
    4.1; maximum a posteriori), so that few patches give a similarity and many a homography.
    """
    (x, y), (u, v) = (source - at[0]).T, (target - at[1]).T
    one, nil = np.ones(len(x)), np.zeros(len(x))
    rows = np.concatenate(
        [
            np.column_stack([x, -y, one, nil, x, y, -u * x, -u * y]),
            np.column_stack([y, x, nil, one, -y, x, -v * x, -v * y]),
        ]
    )
    root = np.sqrt(np.tile(weight, 2)) / spread_mm
    prior = np.diag([0, 0, 0, 0, *[1 / ANISOTROPY] * 2, *[1 / PERSPECTIVE] * 2])[4:]
    left = np.concatenate([rows * root[:, None], prior])
    right = np.concatenate([np.concatenate([u, v]) * root, np.zeros(4)])
    a, b, tx, ty, e, f, p, q = np.linalg.lstsq(left, right, rcond=None)[0]
    inner = np.array([[a + e, f - b, tx], [b + f, a - e, ty], [p, q, 1]])
    before, after = np.eye(3), np.eye(3)
    before[:2, 2], after[:2, 2] = -at[0], at[1]
    return after @ inner @ before


def tukey(distance: NDArray[np.float64], spread: float) -> NDArray[np.float64]:
    """Biweight of each distance (n,) for a robust standard deviation per coordinate."""
    return np.maximum(1 - (distance / (TUKEY * spread)) ** 2, 0) ** 2
