"""What is there now that was not there in the first photo, without anybody pointing at it.

A new mark is darker or redder than anything within the alignment's error in the first photo, as
wide as it is long, stands alone in bare skin like that round the tracked spot, and is not where the
first photo was odd (a glint, a hair). What thin hairs, borders slightly out of place, nostrils and
fur leave behind fails one of these; shadows are too soft and too large to.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from lesioncompare.compare.densities import PITCH_MM, Densities, Plane, densities, disc, grown
from lesioncompare.records import FLAT, Bend, Mask, Matrix, Points, Reading, Scene, Sighting

LEAST_CONTRAST = {"dark": 0.17, "red": 0.135}  # [density] of a mark over the skin round it
CANDIDATE_RISE = {"dark": 0.07, "red": 0.04}  # [density] over the first photo, to be looked at
ERROR_MM = 0.35  # [mm] alignment left over: the darkest within this counts as the first photo's
THINNEST_MM = 0.6  # [mm] narrower things are hairs, creases and borders out of place
LIGHT_MM = 2.5  # [mm] sd: differences wider than this are light
LIGHT_STEP = 5  # [grid points] between the places where light is looked at
LEAST_AREA_MM2 = 0.25  # [mm²] of what is left of a 1 mm mark after ``ERROR_MM`` is taken off
RING_MM = (0.5, 1.1)  # [mm] from a candidate's rim: the skin round it
LEAST_SEEN = 0.6  # [1] of that ring; the rest may lie under a sticker
SECTORS = 12  # [1] directions in which it is looked at
LEAST_ALONE = 0.75  # [1] share of sectors over which the mark must stand out
BEFORE_SHARE = (-0.5, 0.35)  # [1] of the mark's contrast, what the first photo may show there
GLARE, GLARE_SHARE = 0.25, 0.1  # [density], [1] of the mark so much lighter at first than its ring
SKIN_LIKE = {"dark": 0.25, "red": 0.15}  # [density] most that the ring may differ from the skin
LONGEST = 2.5  # [1] length over width
BESIDE_MM = 0.5  # [mm] nearer to a tracked spot it is that spot's growth
SKIN_RING_MM = 1.5  # [mm] width of the ring round the tracked spot that shows its skin


@dataclass(frozen=True, slots=True, eq=False)
class Pair:
    """The first photo and a later one on one grid, and the skin they are judged by."""

    first: Densities
    later: Densities
    valid: Mask
    free: Mask  # valid and away from the tracked spots
    skin: dict[str, tuple[float, float]]  # median of first and later, by kind


def look_for_new(first: Reading, reading: Reading) -> tuple[Sighting, ...]:
    """New marks in a photo against the first photo of its series.

    Parameters
    ----------
    first, reading
        Readings with close-up scenes and outlines, ``reading`` aligned to ``first``.

    Returns
    -------
    tuple[Sighting, ...]
        Of kind "new_spot"; none where a scene, an outline or the alignment is missing.
    """
    here = reading.alignment
    if reading is first or first.scene is None or reading.scene is None or here is None:
        return ()
    if first.outline is None or reading.outline is None:
        return ()
    contours = (first.outline.contour, here.onto_first(reading.outline.contour))
    return find_new(first.scene, reading.scene, here.to_first, contours, bend=here.bend)


def find_new(  # noqa: PLR0913  two scenes, how one lies over the other, and what is known
    first: Scene,
    later: Scene,
    to_first: Matrix,
    contours: Sequence[Points],
    *,
    kind: str = "new_spot",
    bend: Bend = FLAT,
) -> tuple[Sighting, ...]:
    """Marks that stand out in the later scene and not in the first.

    Parameters
    ----------
    first, later
        Scenes of one place.
    to_first
        Takes the later scene's millimetres to the first one's, shape (3, 3).
    contours
        Borders of the spots known already, each shape (n, 2), first photo's millimetres [mm]; the
        first of them says where the skin is.
    kind
        Of the sightings.
    bend
        The shift after ``to_first``.

    Returns
    -------
    tuple[Sighting, ...]
        The largest first, in the first scene's millimetres.
    """
    pair = _pair(
        densities(first, first, np.eye(3)), densities(later, first, to_first, bend), contours
    )
    found: list[Sighting] = []
    for which in ("dark", "red"):
        for mark in _candidates(pair, which):
            sighting = _judged(pair, which, mark, kind)
            if sighting is not None and not any(_overlap(sighting, other) for other in found):
                found.append(sighting)
    return tuple(sorted(found, key=lambda sighting: -sighting.area_mm2))


def _pair(one: Densities, other: Densities, contours: Sequence[Points]) -> Pair:
    """Both scenes on one grid, and the skin to judge them by."""
    valid = cv2.erode((one.valid & other.valid).astype(np.uint8), disc(0.2)) > 0
    spots = np.zeros(valid.shape, np.uint8)
    for contour in contours:
        cv2.fillPoly(spots, [np.rint(one.to_grid(contour)).astype(np.int32)], 1)
    near = grown(spots > 0, BESIDE_MM)
    ring = grown(near, SKIN_RING_MM) & ~near & valid
    skin = {k: _medians(one.of(k), other.of(k), ring) for k in LEAST_CONTRAST}
    return Pair(one, other, valid, valid & ~near, skin)


def _medians(one: Plane, other: Plane, where: Mask) -> tuple[float, float]:
    """Medians of two planes in one region; 0 where it is empty."""
    if not where.any():
        return 0.0, 0.0
    return float(np.median(one[where])), float(np.median(other[where]))


def _candidates(pair: Pair, kind: str) -> Iterator[Mask]:
    """Regions that are darker or redder than anything within the alignment's error at first."""
    one, other = pair.first.of(kind), pair.later.of(kind)
    before = cv2.dilate(np.where(pair.valid, one, -9).astype(np.float32), disc(ERROR_MM))
    light = _light(other - one, pair.valid)
    rise = np.where(pair.free, other - before - light, -1).astype(np.float32)
    wide = cv2.morphologyEx(rise, cv2.MORPH_OPEN, disc(THINNEST_MM / 2))
    over = (wide > CANDIDATE_RISE[kind]).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(over)
    least = LEAST_AREA_MM2 / PITCH_MM**2
    for label in range(1, count):
        if stats[label, cv2.CC_STAT_AREA] >= least:
            yield labels == label


def _light(difference: Plane, valid: Mask) -> Plane:
    """The smooth part of a difference, over what is known."""
    seen = valid.astype(np.float32)
    size = difference.shape[::-1]
    less = [max(1, round(side / LIGHT_STEP)) for side in size]  # nothing in it is finer
    small = cv2.resize(
        cv2.merge([difference * seen, seen]), less, interpolation=cv2.INTER_AREA
    ).reshape(less[1], less[0], 2)
    wide = cv2.GaussianBlur(small, (0, 0), LIGHT_MM / PITCH_MM / LIGHT_STEP)
    smooth, weight = cv2.split(cv2.resize(wide, size, interpolation=cv2.INTER_LINEAR))
    return np.asarray(smooth / np.maximum(weight, 1e-3), np.float32)


def _judged(pair: Pair, kind: str, mark: Mask, name: str) -> Sighting | None:
    """A candidate as a sighting, or None when it fails a test."""
    ring = _ring(mark)
    if not (pair.valid[ring].mean() > LEAST_SEEN and _is_skin(pair, ring & pair.valid)):
        return None
    ring &= pair.valid
    before, inside = _medians(pair.first.of(kind), pair.later.of(kind), mark)
    before_ring, around = _medians(pair.first.of(kind), pair.later.of(kind), ring)
    contrast, half = inside - around, (inside + around) / 2
    shown = (before - before_ring) / contrast if contrast > 0 else 0.0
    alone = _alone(pair.later.of(kind), mark, ring, half)
    low, high = BEFORE_SHARE
    if _glared(pair.first.dark, mark, ring):
        return None
    if contrast < LEAST_CONTRAST[kind] or not low < shown < high or alone < LEAST_ALONE:
        return None
    near = cv2.dilate(mark.astype(np.uint8), disc(RING_MM[0])) > 0
    border = _border((pair.later.of(kind) > half) & near & pair.valid)
    if border is None:
        return None
    evidence = {f"{kind}_contrast": contrast, "shown_before": shown, "alone": alone}
    return _sighting(pair.first, border, evidence, name)


def _ring(mark: Mask) -> Mask:
    """The ring round a candidate."""
    near, far = (cv2.dilate(mark.astype(np.uint8), disc(reach)) > 0 for reach in RING_MM)
    return far & ~near


def _is_skin(pair: Pair, ring: Mask) -> bool:
    """Whether the ring looks like the skin round the tracked spot, at first and now."""
    return all(
        abs(here - skin) < limit
        for kind, limit in SKIN_LIKE.items()
        for here, skin in zip(
            _medians(pair.first.of(kind), pair.later.of(kind), ring), pair.skin[kind], strict=True
        )
    )


def _glared(dark: Plane, mark: Mask, ring: Mask) -> bool:
    """Whether light was mirrored there: what lies below it cannot be called new."""
    lighter = np.median(dark[ring]) - dark[mark]
    return float((lighter > GLARE).mean()) > GLARE_SHARE


def _alone(plane: Plane, mark: Mask, ring: Mask, level: float) -> float:
    """Share of directions in which the ring lies below ``level``."""
    rows, columns = np.nonzero(ring)
    y, x = (float(axis.mean()) for axis in np.nonzero(mark))
    sector = np.floor((np.arctan2(rows - y, columns - x) / (2 * np.pi) + 0.5) * SECTORS)
    below = [
        np.median(plane[rows[sector == s], columns[sector == s]]) < level
        for s in range(SECTORS)
        if (sector == s).any()
    ]
    return float(np.sum(below)) / SECTORS


def _border(over: Mask) -> Points | None:
    """The longest border (n, 2) of a region on the grid; None when it is long and thin."""
    borders, _ = cv2.findContours(over.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    border = max(borders, key=cv2.contourArea, default=None)
    if border is None or len(border) < 5:
        return None
    _, (width, length), _ = cv2.fitEllipse(border)
    if max(width, length) > LONGEST * min(width, length):
        return None
    return np.asarray(border[:, 0], float)


def _sighting(grid: Densities, border: Points, evidence: dict[str, float], name: str) -> Sighting:
    """The region within a border, its pixels' own half width included."""
    round_mm = cv2.arcLength(border.astype(np.float32), closed=True) * PITCH_MM
    within = cv2.contourArea(border.astype(np.float32)) * PITCH_MM**2 + round_mm * PITCH_MM / 2
    x, y = grid.to_mm(border).mean(axis=0)
    u = round_mm * PITCH_MM / 2
    return Sighting(name, float(x), float(y), within, u, grid.to_mm(border), evidence)


def _overlap(one: Sighting, other: Sighting) -> bool:
    """Whether the middle of one lies in the other."""
    border = other.contour.astype(np.float32)
    return cv2.pointPolygonTest(border, (one.x_mm, one.y_mm), measureDist=False) >= 0
