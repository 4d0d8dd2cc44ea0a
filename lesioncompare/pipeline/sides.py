"""One side beside the other: an ear, lid, lip or gum over its mirror image."""

from dataclasses import replace

import cv2
import numpy as np

from lesioncompare.align import align, find_again
from lesioncompare.compare import MIRROR, marks_of_one_side, mirrored
from lesioncompare.errors import AlignError
from lesioncompare.records import Circle, Matrix, Points, Reading, Sighting
from lesioncompare.registry import notice
from lesioncompare.science.plane import apply_homography


def with_other_side(reading: Reading, other: Reading) -> Reading:
    """The reading with the marks that only its side has, or a notice that none were looked for.

    Parameters
    ----------
    reading
        A measured photo of this side, its pictures included.
    other
        A measured photo of the other side, its pictures included.

    Returns
    -------
    Reading
        Sightings of kind "one_sided" lie in the first photo's millimetres, like all others.

    Notes
    -----
    The two sides of a cat resemble each other in form more than in skin. Where the skin of one
    cannot be laid over the mirrored other, nothing is said about marks.
    """
    if reading.alignment is None or not reading.usable:
        return reading
    try:
        to_mirrored = _laid_over_mirror(reading, other)
    except AlignError:
        return replace(reading, notices=(*reading.notices, notice("sides_not_compared")))
    to_first = reading.alignment.to_first @ np.linalg.inv(to_mirrored)
    marks = [_moved(m, to_first) for m in marks_of_one_side(reading, other, to_mirrored)]
    return replace(reading, sightings=(*reading.sightings, *marks))


def _laid_over_mirror(reading: Reading, other: Reading) -> Matrix:
    """Matrix from the millimetres of one side to those of the mirrored other side."""
    pictures = reading.overview, reading.scene, other.overview, other.scene
    wide, near, other_wide, other_near = pictures
    if not (wide and near and other_wide and other_near and other.circle and other.outline):
        raise AlignError("One of the two sides was not measured.", "Take its photo again.")
    circle = Circle(-other.circle.x, other.circle.y, other.circle.radius)
    rough = find_again(wide, mirrored(other_wide), circle)
    border = apply_homography(MIRROR, other.outline.contour)
    return align(near, mirrored(other_near), rough, border).to_first


def _moved(mark: Sighting, matrix: Matrix) -> Sighting:
    """A mark carried through a homography."""
    points: Points = np.vstack([[[mark.x_mm, mark.y_mm]], mark.contour])
    moved = cv2.perspectiveTransform(points[None], matrix)[0].astype(float)
    return replace(mark, x_mm=float(moved[0, 0]), y_mm=float(moved[0, 1]), contour=moved[1:])
