"""A person's brush strokes on an outline, played back exactly as they were drawn."""

from collections.abc import Mapping, Sequence
from typing import Any

import cv2
import numpy as np
from skimage.measure import approximate_polygon, find_contours

from lesioncompare.errors import OutlineError
from lesioncompare.records import Mask, Points

FINEST = 900  # [px] longest side of the raster that strokes are drawn on
MARGIN = 0.15  # [1] of the longest side, kept free round everything drawn
FEWEST = 3  # [1] points of a contour
TOLERANCE = 0.4  # [raster px] a contour point may be left out if the line moves by less


def mended_contour(contour_px: Points, edits: Sequence[Mapping[str, Any]]) -> Points:
    """The contour after every edit, in the same pixels, shape (n, 2) [px].

    Parameters
    ----------
    contour_px
        The outline before, shape (n, 2) [px].
    edits
        In order of drawing: ``kind`` "add" or "erase" with ``radius`` [px] and ``points`` [px] of
        the brush's middle, or "line" with the ``points`` of a new contour.

    Raises
    ------
    OutlineError
        When nothing is left of the outline.

    Notes
    -----
    Where strokes leave several pieces, the largest is kept: a spot has one outline.
    """
    before = np.asarray(contour_px, float)
    if not edits:
        return before
    corner, scale, shape = _raster(before, edits)
    mask = _filled(before, corner, scale, shape)
    for edit in edits:
        points = np.asarray(edit["points"], float).reshape(-1, 2)
        if edit["kind"] == "line":
            mask = _filled(points, corner, scale, shape)
        else:
            brush = _stroke(points, float(edit["radius"]), corner, scale, shape)
            mask = mask | brush if edit["kind"] == "add" else mask & ~brush
    return _contour(mask) / scale + corner


def _raster(
    contour: Points, edits: Sequence[Mapping[str, Any]]
) -> tuple[Points, float, tuple[int, int]]:
    """Corner [px], scale [raster px / px] and shape of a raster that everything fits on."""
    boxes = [contour]
    for edit in edits:
        points = np.asarray(edit["points"], float).reshape(-1, 2)
        reach = float(edit.get("radius", 0.0))
        boxes += [points - reach, points + reach]
    every = np.vstack(boxes)
    low, high = every.min(axis=0), every.max(axis=0)
    margin = MARGIN * float((high - low).max()) + 1.0
    size = high - low + 2 * margin
    scale = FINEST / float(size.max())
    width, height = np.ceil(size * scale).astype(int)
    return low - margin, scale, (int(height), int(width))


def _filled(points: Points, corner: Points, scale: float, shape: tuple[int, int]) -> Mask:
    raster = np.zeros(shape, np.uint8)
    cv2.fillPoly(raster, [_fixed(points, corner, scale)], 1, shift=_SHIFT)
    return raster.astype(bool)


def _stroke(
    points: Points, radius: float, corner: Points, scale: float, shape: tuple[int, int]
) -> Mask:
    """The area that a round brush covers along a line."""
    raster = np.zeros(shape, np.uint8)
    thick = max(1, round(2 * radius * scale))
    line = _fixed(points, corner, scale)
    cv2.polylines(raster, [line], isClosed=False, color=1, thickness=thick, shift=_SHIFT)
    for x, y in line:
        disc = max(1, round(radius * scale * _ONE))
        cv2.circle(raster, (int(x), int(y)), disc, 1, thickness=-1, shift=_SHIFT)
    return raster.astype(bool)


_SHIFT = 4  # binary digits of the fraction in OpenCV's drawing coordinates
_ONE = 2**_SHIFT


def _fixed(points: Points, corner: Points, scale: float) -> Any:
    return np.round((points - corner) * scale * _ONE).astype(np.int32)


def _contour(mask: Mask) -> Points:
    """The outer contour of the largest piece, halfway between pixels inside and outside."""
    found = find_contours(mask.astype(float), 0.5)
    largest = max(found, key=lambda line: abs(_area(line)), default=None)
    if largest is None or len(largest) <= FEWEST or _area(largest) == 0:
        raise OutlineError("Nothing is left of the outline.", "Undo the last stroke.")
    points: Points = approximate_polygon(largest, TOLERANCE)[:-1, ::-1]
    return points


def _area(points: Points) -> float:
    """Signed area of a closed contour [px²]."""
    x, y = points.T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
