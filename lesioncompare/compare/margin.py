"""Tissue missing from the edge of an ear, against its edge in the first photo.

In each photo the ear is what has the colour of the bare skin round the tracked spot and hangs
together with it; fur, and whatever is behind the ear, has not. What was ear at first and clearly is
not now, reaching in from the edge, is missing.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.compare.densities import PITCH_MM, Densities, Plane, densities, disc, grown
from lesioncompare.records import Mask, Points, Reading, Sighting

FINE_MM = 0.2  # [mm] sd: hairs of the rim vanish below this
SKIN_RING_MM = (0.5, 4.0)  # [mm] round the tracked spot: what the ear's skin looks like
LEAST_SPREAD = (0.03, 0.03, 0.08)  # [density] of red, yellow, dark; skin is never more even
DARK_WEIGHT = 1.5  # [1] shade counts that much less than colour
SKIN = 3.5  # [spreads] further away it is no skin of this ear
CLEARLY = 1.6  # [1] times that: surely not skin
GAP_MM = 0.6  # [mm] hairs and vessels narrower than this do not cut the ear
EDGE_MM = 0.3  # [mm] alignment left over, inside the first edge
NOW_MM = 0.2  # [mm] ... and outside today's
FAR = 0.03  # [mm per mm from the tracked spot] an ear curls away from where it was laid over
REACH_MM = 0.8  # [mm] from the sure part of a gap to its true edge
KNOWN_MM = 0.5  # [mm] nearer to the end of the picture nothing is said
LEAST_MM2 = 0.15  # [mm²] of the sure part


@dataclass(frozen=True, slots=True, eq=False)
class Ear:
    """Where the ear is in one photo, and how far each point is from its skin's colour [spreads]."""

    mask: Mask
    away: Plane
    known: Mask


def look_for_loss(first: Reading, reading: Reading) -> tuple[Sighting, ...]:
    """Tissue missing from the edge of an ear against the first photo.

    Parameters
    ----------
    first, reading
        Readings of an ear with close-up scenes and outlines, ``reading`` aligned to ``first``.

    Returns
    -------
    tuple[Sighting, ...]
        Of kind "margin_loss"; none where a scene, an outline or the alignment is missing.
    """
    here = reading.alignment
    if reading is first or first.scene is None or reading.scene is None or here is None:
        return ()
    if first.outline is None:
        return ()
    before = densities(first.scene, first.scene, np.eye(3))
    now = densities(reading.scene, first.scene, here.to_first, here.bend)
    ring = _skin_ring(before, first.outline.contour)
    one, other = _ear(before, ring), _ear(now, ring)
    if one is None or other is None:
        return ()
    gone = _gone(one, other)
    return tuple(_sighting(before, part, first.outline.contour.mean(axis=0)) for part in gone)


def _skin_ring(grid: Densities, contour: Points) -> Mask:
    """The ring of skin round the tracked spot."""
    spot = np.zeros(grid.valid.shape, np.uint8)
    cv2.fillPoly(spot, [np.rint(grid.to_grid(contour)).astype(np.int32)], 1)
    near, far = (grown(spot > 0, reach) for reach in SKIN_RING_MM)
    return far & ~near


def _ear(grid: Densities, ring: Mask) -> Ear | None:
    """The ear in one photo; None where the skin ring cannot be seen."""
    seen = ring & grid.valid
    if seen.sum() < ring.sum() / 4 or not seen.any():
        return None
    planes = [cv2.GaussianBlur(p, (0, 0), FINE_MM / PITCH_MM) for p in _planes(grid)]
    squares = np.zeros(ring.shape, np.float32)
    for plane, least, weight in zip(planes, LEAST_SPREAD, (1, 1, DARK_WEIGHT), strict=True):
        middle = np.median(plane[seen])
        spread = max(1.4826 * float(np.median(np.abs(plane[seen] - middle))), least)
        squares += ((plane - middle) / (spread * weight)) ** 2
    away = np.sqrt(squares)
    known = cv2.erode(grid.valid.astype(np.uint8), disc(KNOWN_MM)) > 0
    return Ear(_hanging_together((away < SKIN) & grid.valid, seen), away, known)


def _planes(grid: Densities) -> tuple[Plane, Plane, Plane]:
    return grid.red, grid.yellow, grid.dark


def _hanging_together(like: NDArray[np.bool_], ring: Mask) -> Mask:
    """The part of a region that holds most of the ring, its gaps closed and holes filled."""
    whole = cv2.morphologyEx(like.astype(np.uint8), cv2.MORPH_OPEN, disc(GAP_MM / 2))
    whole = cv2.morphologyEx(whole, cv2.MORPH_CLOSE, disc(GAP_MM))
    count, labels = cv2.connectedComponents(whole)
    most = np.bincount(labels[ring & (whole > 0)], minlength=count)
    part = (labels == most.argmax()) & (whole > 0)
    outside = np.pad(~part, 1, constant_values=True).astype(np.uint8)
    _, labels = cv2.connectedComponents(outside)
    return np.asarray(labels[1:-1, 1:-1] != labels[0, 0])


def _gone(first: Ear, now: Ear) -> list[Mask]:
    """Regions that were ear, clearly are not now, and reach in from the edge."""
    known = first.known & now.known
    sure = (cv2.erode(first.mask.astype(np.uint8), disc(EDGE_MM)) > 0) & known
    sure &= cv2.dilate(now.mask.astype(np.uint8), disc(NOW_MM)) == 0
    core = cv2.morphologyEx(sure.astype(np.uint8), cv2.MORPH_OPEN, disc(EDGE_MM))
    near_edge = cv2.dilate((~first.mask).astype(np.uint8), disc(REACH_MM)) > 0
    count, labels, stats, _ = cv2.connectedComponentsWithStats(core)
    found = []
    for label in range(1, count):
        part = labels == label
        large = stats[label, cv2.CC_STAT_AREA] * PITCH_MM**2 >= LEAST_MM2
        if large and (part & near_edge).any() and np.median(now.away[part]) > CLEARLY * SKIN:
            grown = cv2.dilate(part.astype(np.uint8), disc(REACH_MM)) > 0
            clear = now.away > 0.8 * CLEARLY * SKIN
            found.append(grown & first.mask & ~now.mask & known & clear)
    return found


def _sighting(grid: Densities, part: Mask, spot: Points) -> Sighting:
    """A missing part, and what the alignment may be off along its length, more so far away.

    ``spot`` is the middle (2,) of the tracked spot [mm].
    """
    borders, _ = cv2.findContours(part.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    border = max(borders, key=cv2.contourArea)
    area = float(part.sum()) * PITCH_MM**2
    round_mm = cv2.arcLength(border, closed=True) * PITCH_MM
    contour = grid.to_mm(border[:, 0].astype(float))
    x, y = contour.mean(axis=0)
    away_mm = float(np.hypot(x - spot[0], y - spot[1]))
    u = round_mm / 2 * float(np.hypot(NOW_MM, FAR * away_mm))
    return Sighting("margin_loss", float(x), float(y), area, u, contour, {"area_mm2": area})
