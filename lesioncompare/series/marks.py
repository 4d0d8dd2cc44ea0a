"""A place pointed at on an aligned picture, as a place on its own photo, and back."""

import numpy as np

from lesioncompare.records import Matrix
from lesioncompare.report.pictures import window_round
from lesioncompare.science.plane import apply_homography
from lesioncompare.series.follow import Taken


def place_on_photo(
    taken: Taken, first: Taken, at: tuple[float, float], side_px: int
) -> tuple[float, float] | None:
    """The place in upright original pixels of the photo [px]; None where it was not aligned.

    ``at`` is on the aligned picture, ``side_px`` wide [px].
    """
    to_shown = _to_shown(taken, first, side_px)
    return None if to_shown is None else _through(np.linalg.inv(to_shown).astype(float), at)


def place_on_picture(
    taken: Taken, first: Taken, at: tuple[float, float], side_px: int
) -> tuple[float, float] | None:
    """The place on the aligned picture, from upright original pixels of the photo [px]."""
    to_shown = _to_shown(taken, first, side_px)
    return None if to_shown is None else _through(to_shown, at)


def _to_shown(taken: Taken, first: Taken, side_px: int) -> Matrix | None:
    reading = taken.reading
    if reading.alignment is None or reading.calibration is None or first.reading.circle is None:
        return None
    shrink = np.diag([1 / reading.photo.stored_per_px, 1 / reading.photo.stored_per_px, 1.0])
    window = window_round(first.reading, side_px)
    chain: Matrix = window.from_mm @ reading.alignment.to_first @ reading.calibration.px_to_mm
    return chain @ shrink


def _through(matrix: Matrix, at: tuple[float, float]) -> tuple[float, float]:
    x, y = apply_homography(matrix, np.array([at], float))[0]
    return float(x), float(y)
