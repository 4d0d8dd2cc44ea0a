"""A place pointed at on an aligned picture, as a place on its own photo, and back."""

import numpy as np

from lesioncompare.records import Points
from lesioncompare.report.pictures import window_round
from lesioncompare.science.plane import apply_homography
from lesioncompare.series.follow import Taken


def place_on_photo(
    taken: Taken, first: Taken, at: tuple[float, float], side_px: int
) -> tuple[float, float] | None:
    """The place in upright original pixels of the photo [px]; None where it was not aligned.

    ``at`` is on the aligned picture, ``side_px`` wide [px].
    """
    reading = taken.reading
    if reading.alignment is None or reading.calibration is None or first.reading.circle is None:
        return None
    window = window_round(first.reading, side_px)
    on_first = apply_homography(np.linalg.inv(window.from_mm), np.array([at], float))
    to_px = np.linalg.inv(reading.calibration.px_to_mm)
    place = apply_homography(to_px, reading.alignment.from_first(on_first))
    return _pair(place * reading.photo.stored_per_px)


def place_on_picture(
    taken: Taken, first: Taken, at: tuple[float, float], side_px: int
) -> tuple[float, float] | None:
    """The place on the aligned picture, from upright original pixels of the photo [px]."""
    reading = taken.reading
    if reading.alignment is None or reading.calibration is None or first.reading.circle is None:
        return None
    window = window_round(first.reading, side_px)
    here = np.array([at], float) / reading.photo.stored_per_px
    here = apply_homography(reading.calibration.px_to_mm, here)
    return _pair(apply_homography(window.from_mm, reading.alignment.onto_first(here)))


def _pair(place: Points) -> tuple[float, float]:
    x, y = place[0]
    return float(x), float(y)
