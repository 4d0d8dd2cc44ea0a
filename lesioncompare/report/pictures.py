"""Photos of a series laid over each other: the same place at the same scale in steady colour."""

from dataclasses import dataclass

import cv2
import numpy as np

from lesioncompare.records import Calibration, Light, Matrix, Points, Reading, RgbImage
from lesioncompare.science.colour import linear_to_srgb, srgb_to_linear
from lesioncompare.science.plane import apply_homography, sampling

AROUND = 2.4  # [1] half the window over the spot's radius
LEAST_HALF_MM = 5.0  # [mm] never closer than this, so that skin is seen beside a small spot


@dataclass(frozen=True, slots=True)
class Window:
    """A square piece of the first photo's plane, shown at a fixed size."""

    x_mm: float
    y_mm: float
    half_mm: float
    side_px: int

    @property
    def mm_per_px(self) -> float:
        """Size of one shown pixel [mm]."""
        return 2 * self.half_mm / self.side_px

    @property
    def from_mm(self) -> Matrix:
        """First photo's millimetres to shown pixels."""
        scale = 1 / self.mm_per_px
        left, top = self.x_mm - self.half_mm, self.y_mm - self.half_mm
        return np.array(
            [[scale, 0, -left * scale - 0.5], [0, scale, -top * scale - 0.5], [0, 0, 1.0]]
        )


def window_round(first: Reading, side_px: int) -> Window:
    """The window round the first photo's spot.

    Raises
    ------
    ValueError
        When the first reading has no circle.
    """
    if first.circle is None:
        raise ValueError("first must have a circle")
    half = max(LEAST_HALF_MM, AROUND * first.circle.radius)
    return Window(first.circle.x, first.circle.y, half, side_px)


def aligned_picture(reading: Reading, window: Window) -> RgbImage | None:
    """Show a photo inside the window, in steady colour, shape (side_px, side_px, 3).

    None when the photo was not calibrated or could not be laid over the first one.
    """
    if reading.calibration is None or reading.alignment is None:
        return None
    photo, from_mm = _shrunk(reading.photo.rgb, reading.calibration, window)
    to_mm, onto = np.linalg.inv(window.from_mm), reading.alignment

    def back(at: Points) -> Points:
        return apply_homography(from_mm, onto.from_first(apply_homography(to_mm, at)))

    x, y = sampling(back, (window.side_px, window.side_px))
    shown = cv2.remap(photo, x, y, cv2.INTER_LINEAR, borderValue=(128, 128, 128))
    return steady(np.asarray(shown, np.uint8), reading.calibration.light)


def _shrunk(rgb: RgbImage, calibration: Calibration, window: Window) -> tuple[RgbImage, Matrix]:
    """The photo near the shown scale, so that nothing aliases, and millimetres to its pixels."""
    from_mm = np.asarray(np.linalg.inv(calibration.px_to_mm), float)
    times = int(window.mm_per_px / calibration.mm_per_px)
    if times < 2:
        return rgb, from_mm
    height, width = rgb.shape[0] // times, rgb.shape[1] // times
    small = cv2.resize(
        rgb[: height * times, : width * times], (width, height), interpolation=cv2.INTER_AREA
    )
    shift = (1 / times - 1) / 2
    return small, np.array([[1 / times, 0, shift], [0, 1 / times, shift], [0, 0, 1]]) @ from_mm


def steady(rgb: RgbImage, light: Light) -> RgbImage:
    """Code values under the sticker's white, without the gradient across the picture."""
    linear = (srgb_to_linear(rgb) - light.offset) / light.gain
    shown: RgbImage = linear_to_srgb(np.clip(linear, 0, 1).astype(np.float32))
    return shown


def outline_in(reading: Reading, window: Window) -> Points | None:
    """The spot's border in shown pixels, shape (n, 2)."""
    if reading.outline is None or reading.alignment is None:
        return None
    return apply_homography(window.from_mm, reading.alignment.onto_first(reading.outline.contour))
