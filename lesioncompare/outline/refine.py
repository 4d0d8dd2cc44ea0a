"""The border to a fraction of a pixel: where the light stands half way between skin and spot."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, map_coordinates

from lesioncompare.outline.patch import RADIUS_PX, Field
from lesioncompare.outline.paths import closed_path
from lesioncompare.records import Mask, Points

Values = NDArray[np.float64]

POINTS = 256  # [1] of the finished border
STEP = 0.25  # [px] between places along a normal
RIBBON = 0.20  # [circle radii] the border is sought so far on either side of the first one
FLANK = (0.07, 0.22)  # [circle radii] spot and skin are read so far in and out of the border
ALONG = 10.0  # [points] sigma over which they are averaged along the border
STIFF = 0.3  # [nat] price of moving a step from point to point
HOME = 0.02  # [nat/px²] pull back to the first border, which alone speaks where nothing is seen
SHARPEST = 25.0  # [1] contrast counts no further: squared difference over variance
ROUNDS = 3  # [1] border and levels are found in turn
SMOOTH = 1.5  # [points] sigma of the last smoothing: a stretch no hair or noise may dent


@dataclass(frozen=True, slots=True, eq=False)
class Refined:
    """A border and how clearly it was seen.

    ``contour`` (n, 2) and outward unit ``normal`` (n, 2) in patch pixels. ``softness_px`` is the
    distance over which the cover falls from 3/4 to 1/4. ``contrast`` (n,) is the difference of spot
    and skin beside each point, over the scatter on either side [1].
    """

    contour: Points
    normal: Points
    softness_px: float
    contrast: Values


def evenly(contour: Points, count: int) -> Points:
    """The closed contour at ``count`` points of equal distance."""
    closed = np.vstack([contour, contour[:1]])
    run = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    at = np.linspace(0, run[-1], count, endpoint=False)
    return np.column_stack([np.interp(at, run, closed[:, axis]) for axis in (0, 1)])


def outward(contour: Points, soft: float = 3.0) -> Points:
    """Unit normals out of a closed contour of even steps, shape (n, 2)."""
    calm = gaussian_filter1d(contour, soft, axis=0, mode="wrap")
    along = np.roll(calm, -1, axis=0) - np.roll(calm, 1, axis=0)
    normal = np.column_stack([along[:, 1], -along[:, 0]])
    x, y = contour.T
    if np.dot(x, np.roll(y, -1)) < np.dot(y, np.roll(x, -1)):
        normal = -normal
    return normal / np.maximum(np.hypot(*normal.T), 1e-9)[:, None]


def refine(linear: Field, usable: Mask, first: Points) -> Refined:
    """The line of half cover near a first border.

    Parameters
    ----------
    linear
        Reflectance with the fall of light removed, shape (n, n, 3) [1].
    usable
        Where the skin is seen, shape (n, n).
    first
        The first border, shape (m, 2) [patch px].

    Notes
    -----
    A pixel of cover c is c spot + (1 - c) skin in linear light. For two levels with a common
    scatter the likeliest place of a step is where the cover, so estimated, crosses one half;
    levels and scatter are read beside the border, and all points are placed together.
    """
    base = gaussian_filter1d(evenly(first, POINTS), 2.0, axis=0, mode="wrap")
    normal = outward(base)
    half = int((RIBBON + FLANK[1]) * RADIUS_PX / STEP)
    places = np.asarray(np.arange(-half, half + 1) * STEP, float)
    x = (base[:, :1] + normal[:, :1] * places).astype(np.float32)
    y = (base[:, 1:] + normal[:, 1:] * places).astype(np.float32)
    light = cv2.remap(linear, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE).astype(float)
    seen = cv2.remap(usable.astype(np.float32), x, y, cv2.INTER_LINEAR) > 0.99
    within = np.abs(places) <= RIBBON * RADIUS_PX
    offset = np.zeros(POINTS)
    for _ in range(ROUNDS):
        cover, contrast = _cover(light, seen, places, offset)
        weight = 0.5 * np.minimum(contrast, SHARPEST)[:, None] * STEP * seen
        cost = np.cumsum((1 - 2 * np.clip(cover, -0.5, 1.5)) * weight, axis=1)[:, within]
        cost = cost + HOME * places[within] ** 2
        offset = _lowest(cost, places[within])
    offset = gaussian_filter1d(offset, SMOOTH, mode="wrap")
    softness = _softness(cover, seen, places, offset)
    return Refined(base + normal * offset[:, None], normal, softness, np.sqrt(contrast))


def _cover(light: Values, seen: Mask, places: Values, offset: Values) -> tuple[Values, Values]:
    """Cover along each normal (points, places), and squared contrast of each point (points,)."""
    away = places[None] - offset[:, None]
    near, far = (limit * RADIUS_PX for limit in FLANK)
    spot, spot_scatter = _level(light, seen & (away > -far) & (away < -near))
    skin, skin_scatter = _level(light, seen & (away < far) & (away > near))
    scatter = (spot_scatter + skin_scatter) / 2
    scatter += np.eye(3) * (1e-6 + 0.02 * np.trace(scatter) / 3)
    step = spot - skin
    metric = step @ np.linalg.inv(scatter)
    contrast = np.maximum(np.einsum("pc,pc->p", metric, step), 1e-9)
    across = (metric / contrast[:, None])[:, :, None]
    cover = ((light - skin[:, None]) @ across)[:, :, 0]
    return cover, contrast


def _level(light: Values, where: Mask) -> tuple[Values, Values]:
    """Mean colour beside each point, averaged along the border, and the scatter about it."""
    weight = where.astype(float)
    total = (weight[:, None] @ light)[:, 0]
    count = gaussian_filter1d(weight.sum(axis=1), ALONG, mode="wrap") + 1e-9
    mean = gaussian_filter1d(total, ALONG, axis=0, mode="wrap") / count[:, None]
    off = light[where] - np.repeat(mean, where.sum(axis=1), axis=0)
    if len(off) < 4:
        return mean, np.eye(3)
    return mean, off.T @ off / len(off)


def _lowest(cost: Values, places: Values) -> Values:
    """Offset of the closed line of least cost, between the steps by a parabola [px]."""
    at = closed_path(cost, STIFF)
    inner = np.clip(at, 1, cost.shape[1] - 2)
    rows = np.arange(len(at))
    before, here, after = (cost[rows, inner + shift] for shift in (-1, 0, 1))
    bent = before - 2 * here + after
    shift = np.where(bent > 1e-9, (before - after) / np.maximum(2 * bent, 1e-9), 0.0)
    return places[inner] + STEP * np.clip(shift, -0.5, 0.5)


def _softness(cover: Values, seen: Mask, places: Values, offset: Values) -> float:
    """Distance over which the median cover falls from 3/4 to 1/4 [px]."""
    grid = np.arange(-0.2 * RADIUS_PX, 0.2 * RADIUS_PX, STEP)
    clear = np.flatnonzero(seen.all(axis=1))
    if len(clear) < 8:
        return float(0.1 * RADIUS_PX)
    at = (grid + offset[clear, None] - places[0]) / STEP
    rows = np.broadcast_to(clear[:, None], at.shape)
    moved = map_coordinates(cover, [rows, at], order=1, mode="nearest")
    profile = np.minimum.accumulate(np.median(moved, axis=0))
    quarter, three = (np.interp(-level, -profile, grid) for level in (0.25, 0.75))
    return float(max(quarter - three, STEP))
