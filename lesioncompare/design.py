"""The layout of the printed reference sticker, in fractions of its side: drawn and read from here.

The sticker is a white square. A thin black frame runs just inside its edge: the middle of a line
does not move when blur and the tone curve let white grow into black, so the frame carries the
geometry. In the middle is an open square fiducial (OpenCV's 4x4 dictionary) whose id tells the
size. Above and below it run the same six greys in opposite order, so that light that falls off
across the sticker can be told from the greys themselves. Millimetre ticks stand left and right.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

DICTIONARY = cv2.aruco.DICT_4X4_50
SIZES_MM = {10: 10.0, 14: 14.0, 20: 20.0}  # fiducial id -> side [mm]

FRAME_INSET = 0.035  # [side] edge of the sticker to the middle of the frame line
FRAME_WIDTH = 0.035  # [side]
MARKER_SIDE = 0.52  # [side] black square of the fiducial, centred
LADDER_SIDE = 0.105  # [side] one grey patch
LADDER_ROW = 0.135  # [side] middle of the upper row below the upper edge; lower row mirrored
LADDER_REFLECTANCE = (0.90, 0.54, 0.31, 0.165, 0.08, 0.03)  # [1] nominal, linear light
TICK_LENGTH = 0.06  # [side]
TICK_WIDTH = 0.012  # [side]
TICK_INSET = 0.075  # [side] edge of the sticker to the outer end of a tick


@dataclass(frozen=True, slots=True)
class Patch:
    """A grey patch: middle (x, y) and side in fractions of the sticker, and its reflectance."""

    x: float
    y: float
    side: float
    reflectance: float


def ladder() -> tuple[Patch, ...]:
    """Twelve patches: six above the fiducial, light to dark, six below in opposite order."""
    count = len(LADDER_REFLECTANCE)
    xs = [0.5 + (i - (count - 1) / 2) * (LADDER_SIDE + 0.025) for i in range(count)]
    above = [
        Patch(x, LADDER_ROW, LADDER_SIDE, r) for x, r in zip(xs, LADDER_REFLECTANCE, strict=True)
    ]
    below = [
        Patch(x, 1 - LADDER_ROW, LADDER_SIDE, r)
        for x, r in zip(xs, reversed(LADDER_REFLECTANCE), strict=True)
    ]
    return (*above, *below)


def draw_sticker(sticker_id: int, side_px: int) -> NDArray[np.uint8]:
    """One bare sticker whose picture edges are its printed edges.

    Parameters
    ----------
    sticker_id
        Fiducial id, a key of ``SIZES_MM``.
    side_px
        Side of the picture [px].

    Returns
    -------
    NDArray[np.uint8]
        Grey picture, shape (side_px, side_px), sRGB code values.
    """
    supersample = 4
    n = side_px * supersample
    centres = (np.arange(n) + 0.5) / n
    x, y = np.meshgrid(centres, centres)
    edge = np.minimum(np.minimum(x, 1 - x), np.minimum(y, 1 - y))
    linear = np.ones((n, n), dtype=np.float32)
    linear[np.abs(edge - FRAME_INSET) < FRAME_WIDTH / 2] = 0.0
    for patch in ladder():
        inside = (np.abs(x - patch.x) < patch.side / 2) & (np.abs(y - patch.y) < patch.side / 2)
        linear[inside] = patch.reflectance
    size_mm = SIZES_MM[sticker_id]
    for mm in range(3, int(size_mm) - 2):
        beside = np.minimum(x, 1 - x)
        long = 1.0 if mm % 5 == 0 else 0.6
        on_tick = (beside > TICK_INSET) & (beside < TICK_INSET + TICK_LENGTH * long)
        linear[on_tick & (np.abs(y - mm / size_mm) < TICK_WIDTH / 2)] = 0.0
    modules = cv2.aruco.generateImageMarker(
        cv2.aruco.getPredefinedDictionary(DICTIONARY), sticker_id, 6
    )
    left = (1 - MARKER_SIDE) / 2
    in_marker = (np.abs(x - 0.5) < MARKER_SIDE / 2) & (np.abs(y - 0.5) < MARKER_SIDE / 2)
    column = np.clip(((x - left) / MARKER_SIDE * 6).astype(int), 0, 5)
    row = np.clip(((y - left) / MARKER_SIDE * 6).astype(int), 0, 5)
    linear[in_marker] = (modules[row, column] > 127)[in_marker]
    small = linear.reshape(side_px, supersample, side_px, supersample).mean(axis=(1, 3))
    encoded = np.where(
        small <= 0.0031308, 12.92 * small, 1.055 * np.maximum(small, 1e-9) ** (1 / 2.4) - 0.055
    )
    return np.round(255 * encoded).astype(np.uint8)
