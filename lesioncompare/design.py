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

from lesioncompare.science.colour import linear_to_srgb

DICTIONARY = cv2.aruco.DICT_4X4_50
SIZES_MM = {10: 10.0, 14: 14.0, 20: 20.0}  # fiducial id -> side [mm]

FRAME_INSET = 0.035  # [side] edge of the sticker to the middle of the frame line
FRAME_WIDTH = 0.035  # [side]
MARKER_SIDE = 0.52  # [side] black square of the fiducial, centred
MODULES = 6  # modules along a side of the fiducial, its black border included
LADDER_SIDE = 0.105  # [side] one grey patch
LADDER_ROW = 0.135  # [side] middle of the upper row below the upper edge; lower row mirrored
LADDER_REFLECTANCE = (0.90, 0.54, 0.31, 0.165, 0.08, 0.03)  # [1] nominal, linear light
TICK_LENGTH = 0.06  # [side]
TICK_WIDTH = 0.012  # [side]
PAPER_SIDE = 0.08  # [side] one piece of bare paper
PAPER_COLUMN = 0.1875  # [side] its middle from the edge: between ticks and fiducial
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


def paper() -> tuple[Patch, ...]:
    """Six pieces of bare paper left and right of the fiducial, where light can be read too."""
    return tuple(
        Patch(x, y, PAPER_SIDE, 1.0)
        for x in (PAPER_COLUMN, 1 - PAPER_COLUMN)
        for y in (0.32, 0.5, 0.68)
    )


@dataclass(frozen=True, slots=True)
class Rectangle:
    """Edges in fractions of the sticker, its reflectance, and that of what it is printed over."""

    left: float
    top: float
    right: float
    bottom: float
    reflectance: float
    over: float = 1.0


def rectangles(sticker_id: int) -> tuple[Rectangle, ...]:
    """The whole design on white paper, in the order in which it is painted."""
    outer, inner = FRAME_INSET - FRAME_WIDTH / 2, FRAME_INSET + FRAME_WIDTH / 2
    frame = (
        Rectangle(outer, outer, 1 - outer, 1 - outer, 0.0),
        Rectangle(inner, inner, 1 - inner, 1 - inner, 1.0, over=0.0),
    )
    patches = (
        Rectangle(
            p.x - p.side / 2, p.y - p.side / 2, p.x + p.side / 2, p.y + p.side / 2, p.reflectance
        )
        for p in ladder()
    )
    return (*frame, *patches, *_ticks(SIZES_MM[sticker_id]), *_fiducial(sticker_id))


def _ticks(size_mm: float) -> list[Rectangle]:
    """Millimetre ticks down both sides, every fifth one longer."""
    ticks = []
    for mm in range(3, int(size_mm) - 2):
        length = TICK_LENGTH * (1.0 if mm % 5 == 0 else 0.6)
        top, bottom = mm / size_mm - TICK_WIDTH / 2, mm / size_mm + TICK_WIDTH / 2
        ticks.append(Rectangle(TICK_INSET, top, TICK_INSET + length, bottom, 0.0))
        ticks.append(Rectangle(1 - TICK_INSET - length, top, 1 - TICK_INSET, bottom, 0.0))
    return ticks


def _fiducial(sticker_id: int) -> list[Rectangle]:
    """The black square of the fiducial and its white modules."""
    dictionary = cv2.aruco.getPredefinedDictionary(DICTIONARY)
    white = cv2.aruco.generateImageMarker(dictionary, sticker_id, MODULES) > 127
    start, step = (1 - MARKER_SIDE) / 2, MARKER_SIDE / MODULES
    square = Rectangle(start, start, 1 - start, 1 - start, 0.0)
    modules = [
        Rectangle(
            *(start + step * column, start + step * row),
            *(start + step * (column + 1), start + step * (row + 1)),
            1.0,
            over=0.0,
        )
        for row, column in np.argwhere(white).tolist()
    ]
    return [square, *modules]


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
        Grey picture, shape (side_px, side_px), sRGB code values of the exact light of each pixel.
    """
    return linear_to_srgb(draw_light(sticker_id, side_px))


def draw_light(sticker_id: int, side_px: int) -> NDArray[np.float32]:
    """One bare sticker in linear light, shape (side_px, side_px): each pixel its exact mean [1]."""
    light = np.ones((side_px, side_px), np.float32)
    for shape in rectangles(sticker_id):
        rows, down = _cover(shape.top, shape.bottom, side_px)
        columns, across = _cover(shape.left, shape.right, side_px)
        light[rows, columns] += (shape.reflectance - shape.over) * np.outer(down, across)
    return np.clip(light, 0, 1)


def _cover(start: float, end: float, side_px: int) -> tuple[slice, NDArray[np.float32]]:
    """The pixels that a stretch of the side touches, and how much of each it covers [1]."""
    first, last = start * side_px, end * side_px
    touched = slice(int(first), min(int(np.ceil(last)), side_px))
    pixel = np.arange(touched.start, touched.stop)
    covered = np.minimum(last, pixel + 1) - np.maximum(first, pixel)
    return touched, covered.astype(np.float32)
