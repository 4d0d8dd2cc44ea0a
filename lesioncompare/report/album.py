"""The aligned photos of a series as small pictures, few enough for one file."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import cv2
import numpy as np

from lesioncompare.records import Reading, RgbImage, Series
from lesioncompare.report.document import Frame
from lesioncompare.report.pictures import Window, aligned_picture, outline_in, window_round
from lesioncompare.terms import short_day

SIDE_PX = 700  # [px] 210 dots an inch at 85 mm
MOST = 12  # [1] pictures of a report; more are thinned evenly, first and last kept
QUALITY = 84  # [%] of the JPEG

T = TypeVar("T")


@dataclass(frozen=True, slots=True, eq=False)
class Album:
    """Aligned photos in order of time, all ``side_px`` wide and at one scale."""

    frames: tuple[Frame, ...]
    side_px: int
    mm_per_px: float


def album_of(series: Series, *, side_px: int = SIDE_PX, most: int = MOST) -> Album | None:
    """The album of a series whose readings have their pixels; None where nothing was aligned."""
    laid = [r for r in series.readings if is_laid(r) and r.photo.rgb.size]
    if not laid or laid[0].circle is None:
        return None
    window = window_round(laid[0], side_px)
    frames = []
    for reading in thinned(laid, most):
        picture = aligned_picture(reading, window)
        if picture is not None:
            frames.append(frame_of(reading, jpeg_of(picture), window, series))
    return Album(tuple(frames), side_px, window.mm_per_px)


def is_laid(reading: Reading) -> bool:
    """Whether a photo can be used and lies over the first one."""
    return reading.usable and reading.alignment is not None and reading.circle is not None


def frame_of(reading: Reading, jpeg: bytes, window: Window, series: Series) -> Frame:
    """The frame of a photo whose aligned picture is made already."""
    day = day_words(reading)
    place = series.site.vet if series.site else "spot"
    measured = reading.measurement
    area = measured.quantities.get("area") if measured else None
    size = f", area {area.value:.3g} mm²" if area else ""
    alt = f"Photo of the {place} of {day}, laid over the first photo{size}"
    return Frame(jpeg, day, alt, outline_in(reading, window))


def day_words(reading: Reading) -> str:
    """Such as "5 Apr 2026"; the file's name where the day is not known."""
    taken = reading.photo.taken
    if taken is None:
        return reading.photo.name
    return short_day(taken)


def thinned(items: Sequence[T], most: int) -> list[T]:
    """At most ``most`` of them, evenly spread, with the first and the last."""
    if len(items) <= most:
        return list(items)
    step = (len(items) - 1) / (most - 1)
    return [items[round(i * step)] for i in range(most)]


def jpeg_of(picture: RgbImage) -> bytes:
    """A JPEG without any metadata."""
    bgr = cv2.cvtColor(picture, cv2.COLOR_RGB2BGR)
    _, jpeg = cv2.imencode(".jpg", bgr, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
    return np.asarray(jpeg).tobytes()
