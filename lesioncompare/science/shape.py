"""The size and form of a closed contour.

A contour is an (n, 2) array of (x, y) without a repeated end, in any one unit of length; lengths
come back in that unit and areas in its square. Turning direction does not matter.
"""

from typing import TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

Points: TypeAlias = NDArray[np.float64]

MIN_SAMPLES = 360  # [1] equal steps round a contour, under half the texture scale on a disc
TEXTURE_SHARE = 0.02  # [equivalent diameter] smoothing that hides pixels, see Notes of circularity
SCALES = 12  # [1] from texture to a quarter of the length; twice as many change the index by < 2 %
STRAIGHT = 3e-6  # [rad] a turn smaller than this is rounding
BODY_SHARE = 0.5  # [1] a convex run longer than half the contour is the spot, not a lobe of it
SCAN_LINES = 360  # [1] lines across a pair of contours; area to about 1e-4 of theirs


def area(contour: Points) -> float:
    """Enclosed area, by the shoelace formula [unit²]."""
    return abs(_signed_area(contour))


def _signed_area(contour: Points) -> float:
    x, y = np.asarray(contour, float).T
    inner = np.dot(x[:-1], y[1:]) - np.dot(y[:-1], x[1:])
    return float(inner + x[-1] * y[0] - y[-1] * x[0]) / 2


def perimeter(contour: Points, smoothing: float = 0.0) -> float:
    """Length of the contour after smoothing it on a stated scale [unit].

    Parameters
    ----------
    contour
        Shape (n, 2) [unit].
    smoothing
        Standard deviation of the Gaussian along the contour; 0 leaves it as it is [unit].

    Notes
    -----
    The length of a natural border grows without end as finer detail is followed (Mandelbrot 1967,
    doi:10.1126/science.156.3775.636): a perimeter means nothing without its scale.
    """
    smoothed = smooth(contour, smoothing)
    return float(np.hypot(*(np.roll(smoothed, -1, axis=0) - smoothed).T).sum())


def smooth(contour: Points, scale: float) -> Points:
    """The contour smoothed along its length, its area kept.

    Parameters
    ----------
    contour
        Shape (n, 2) [unit].
    scale
        Standard deviation of the Gaussian along the contour; 0 leaves it as it is [unit].

    Returns
    -------
    Points
        Equal steps round the contour, shape (m, 2) [unit].

    Notes
    -----
    Gaussian smoothing of a closed curve shrinks it (Mokhtarian & Mackworth 1992,
    doi:10.1109/34.149591); scaling it about its middle to its old area leaves a disc unchanged.
    """
    if scale == 0:
        return np.asarray(contour, float)
    even, step = _even_steps(contour)
    spectrum = np.fft.fft(even[:, 0] + 1j * even[:, 1])
    frequency = np.fft.fftfreq(len(even), step)
    soft = np.fft.ifft(spectrum * np.exp(-0.5 * (2 * np.pi * frequency * scale) ** 2))
    return _with_area(np.column_stack([soft.real, soft.imag]), area(even))


def _even_steps(contour: Points) -> tuple[Points, float]:
    """The contour walked in equal steps, and the step."""
    closed = np.vstack([contour, contour[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    count = max(MIN_SAMPLES, len(contour))
    stops = np.arange(count) * along[-1] / count
    even = np.column_stack([np.interp(stops, along, closed[:, axis]) for axis in (0, 1)])
    return even, float(along[-1] / count)


def _with_area(contour: Points, wanted: float) -> Points:
    middle = contour.mean(axis=0)
    return middle + (contour - middle) * np.sqrt(wanted / area(contour))


def widths(contour: Points, directions_rad: NDArray[np.float64]) -> NDArray[np.float64]:
    """Calliper (Feret) widths measured along the given directions [unit].

    Parameters
    ----------
    contour
        Shape (n, 2) [unit].
    directions_rad
        Shape (k,): angle from x towards y of the line along which to measure [rad].
    """
    axes = np.stack([np.cos(directions_rad), np.sin(directions_rad)])
    return np.ptp(np.asarray(contour) @ axes, axis=0)


def diameters(contour: Points) -> tuple[float, float]:
    """Longest diameter, and the calliper width at right angles to it [unit].

    Notes
    -----
    The two-diameter convention of WHO (1979), Offset Publication 48; the perpendicular is taken
    as a calliper would, between two lines that touch the spot on either side.
    """
    corners = _hull(contour)
    apart = np.hypot(*(corners[:, None] - corners).T)
    one, other = np.unravel_index(np.argmax(apart), apart.shape)
    dx, dy = corners[other] - corners[one]
    across = widths(corners, np.array([np.arctan2(dy, dx) + np.pi / 2]))
    return float(apart[one, other]), float(across[0])


def equivalent_diameter(contour: Points) -> float:
    """Diameter of the disc of the same area [unit]."""
    return float(np.sqrt(4 * area(contour) / np.pi))


def texture_scale(contour: Points) -> float:
    """The smoothing that hides pixels and texture but keeps the form of the border [unit]."""
    return TEXTURE_SHARE * equivalent_diameter(contour)


def circularity(contour: Points) -> float:
    """4πA/P² of the contour smoothed on the texture scale: 1 for a disc, less otherwise [1].

    Notes
    -----
    With 2 % of the equivalent diameter a rasterised disc 40 pixels across reads 0.98 to 0.99 and
    a square 0.81 (exactly π/4 = 0.785): less smoothing counts pixel steps, more rounds corners.
    """
    return float(4 * np.pi * area(contour) / perimeter(contour, texture_scale(contour)) ** 2)


def solidity(contour: Points) -> float:
    """Share of the convex hull that is filled; smooth away texture first [1]."""
    return area(contour) / area(_hull(contour))


def _hull(contour: Points) -> Points:
    """The contour's own points that lie on its convex hull, in order round it."""
    middle = np.mean(contour, axis=0)  # single precision is enough to choose, not to keep
    chosen = cv2.convexHull((contour - middle).astype(np.float32), returnPoints=False)
    return np.asarray(contour, float)[chosen[:, 0]]


def irregularity(contour: Points) -> float:
    """Area of the border's bays and lobes over the area of the spot; 0 if it has no bay [1].

    Notes
    -----
    Separates texture from structure by smoothing on many scales, an idea of Lee, McLean & Atkins
    (2003), Med Image Anal 7:47-64, doi:10.1016/S1361-8415(02)00090-7. The algorithm is our own:
    starting from the texture scale the contour is smoothed step by step until no inward bend is
    left. What each step moves is counted where the contour bends inwards (a bay) or outwards
    between two bays (a lobe), so that discs, ellipses and rectangles give exactly 0. For
    r = 1 + a cos nθ it is near 4 (a' - 1/(n² - 1)) / π, with a' the wave left after the texture.
    """
    family = _scale_space(contour)
    turns = _turns(family)
    deepest = turns.min(axis=1)
    until = int(np.argmax(deepest >= -STRAIGHT))  # the first scale without a bay
    if until == 0:
        return 0.0
    bays = turns[:until] < -STRAIGHT
    counted = np.array([bay | _lobes(bay) for bay in bays], dtype=float)
    share = (counted + np.vstack([counted[1:], counted[-1:]])) / 2
    share[-1] *= deepest[until - 1] / (deepest[until - 1] - deepest[until])
    moved = np.abs(_cross(family[:until], np.diff(family[: until + 1], axis=0)))
    return float((moved * share).sum()) / area(contour)


def _scale_space(contour: Points) -> NDArray[np.complex128]:
    """Ever smoother copies of a contour, area kept, counter-clockwise, as x + iy: (scales, n)."""
    even, step = _even_steps(contour)
    outline = even[:, 0] + 1j * even[:, 1]
    outline = outline if _signed_area(even) > 0 else outline[::-1]
    scales = np.geomspace(texture_scale(contour), len(even) * step / 4, SCALES)
    waves = 2 * np.pi * np.fft.fftfreq(len(even), step) * scales[:, None]
    spectrum = np.fft.fft(outline - outline.mean())
    family = np.fft.ifft(spectrum * np.exp(-0.5 * waves**2))
    sizes = _cross(family, family).sum(axis=1) / 2
    return np.asarray(family * np.sqrt(area(even) / sizes)[:, None])


def _cross(curve: NDArray[np.complex128], vectors: NDArray[np.complex128]) -> NDArray[np.float64]:
    """Cross product of a vector at each point with the curve's own step there."""
    along = (np.roll(curve, -1, axis=-1) - np.roll(curve, 1, axis=-1)) / 2
    return np.asarray((vectors.conj() * along).imag)


def _turns(family: NDArray[np.complex128]) -> NDArray[np.float64]:
    """Turning angle at each point, negative where the curve bends inwards: (scales, n) [rad]."""
    before = family - np.roll(family, 1, axis=-1)
    return np.angle(np.roll(before, -1, axis=-1) * before.conj())


def _lobes(bent: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """True on outward runs between two bays, the body of the spot left out, shape (n,)."""
    count = len(bent)
    starts = np.flatnonzero(~bent & np.roll(bent, 1))
    ends = np.flatnonzero(bent & ~np.roll(bent, 1))
    lengths = (ends[np.searchsorted(ends, starts) % max(len(ends), 1)] - starts) % count
    kept = lengths < BODY_SHARE * count
    change = np.zeros(count, dtype=int)
    change[starts[kept]] = 1
    change[(starts + lengths)[kept] % count] = -1
    running = np.cumsum(change)
    return np.asarray(running > running.min() if kept.any() else np.zeros(count, dtype=bool))


def asymmetry(contour: Points) -> float:
    """Area left uncovered when folding about the principal axes, over the spot's area [1].

    Notes
    -----
    Folding about an axis through the centroid leaves part of each half uncovered by the other;
    their area over the spot's is the asymmetry about that axis (Stoecker, Li & Moss 1992, Comput
    Med Imaging Graph 16:191-197). Counted on both sides of the fold, over the whole area of the
    spot (not twice the area, as some do), and averaged over both axes: 0 for an ellipse; a
    half-disc gives 0.3705 about one axis and 0 about the other.
    """
    mean, covariance = _moments(contour)
    _, axes = np.linalg.eigh(covariance)
    turned = (np.asarray(contour) - mean) @ axes
    folds = [disagreement(turned, turned * mirror) for mirror in ((1, -1), (-1, 1))]
    return float(np.mean(folds)) / area(contour)


def _moments(contour: Points) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean (2,) and covariance (2, 2) of the enclosed area, by Green's theorem."""
    origin = np.mean(contour, axis=0)
    here = np.asarray(contour, float) - origin
    there = np.roll(here, -1, axis=0)
    cross = here[:, 0] * there[:, 1] - there[:, 0] * here[:, 1]
    size = cross.sum() / 2
    mean = (cross[:, None] * (here + there)).sum(axis=0) / (6 * size)
    both = here + there
    second = np.einsum("n,ni,nj->ij", cross, here, here)
    second += np.einsum("n,ni,nj->ij", cross, there, there)
    second += np.einsum("n,ni,nj->ij", cross, both, both)
    return origin + mean, second / (24 * size) - np.outer(mean, mean)


def disagreement(one: Points, other: Points) -> float:
    """Area covered by exactly one of two contours [unit²].

    Notes
    -----
    Along each scan line the crossings of both contours, sorted together, open and close the
    stretches that only one of them covers.
    """
    low = min(np.min(one[:, 0]), np.min(other[:, 0]))
    high = max(np.max(one[:, 0]), np.max(other[:, 0]))
    lines = low + (np.arange(SCAN_LINES) + 0.5) * (high - low) / SCAN_LINES
    crossings = [_crossings(contour, lines) for contour in (one, other)]
    which = np.concatenate([found[0] for found in crossings])
    where = np.concatenate([found[1] for found in crossings])
    order = np.lexsort((where, which))
    covered = np.diff(where[order])[::2].sum()
    return float(covered * (high - low) / SCAN_LINES)


def _crossings(
    contour: Points, lines: NDArray[np.float64]
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Index of the line x = const crossed, and y there, for each crossing of the contour."""
    here, there = contour, np.roll(contour, -1, axis=0)
    first = np.searchsorted(lines, np.minimum(here[:, 0], there[:, 0]))
    last = np.searchsorted(lines, np.maximum(here[:, 0], there[:, 0]))
    edge = np.repeat(np.arange(len(contour)), last - first)
    offset = np.arange(len(edge)) - np.repeat(
        np.cumsum(last - first) - (last - first), last - first
    )
    line = first[edge] + offset
    share = (lines[line] - here[edge, 0]) / (there[edge, 0] - here[edge, 0])
    return line, here[edge, 1] + share * (there[edge, 1] - here[edge, 1])
