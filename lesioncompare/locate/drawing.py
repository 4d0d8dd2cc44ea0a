"""The printed design on a square grid: its light, where it may be compared, and its parts."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from lesioncompare.design import (
    FRAME_INSET,
    FRAME_WIDTH,
    MARKER_SIDE,
    TICK_INSET,
    draw_light,
    ladder,
)

Plane = NDArray[np.float32]

PATCH_MARGIN = 0.012  # [side] left round a grey patch


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """The design on a grid: linear light, where it may be compared, and centred coordinates."""

    light: Plane
    usable: NDArray[np.bool_]
    x: Plane
    y: Plane

    @property
    def side(self) -> int:
        """Side of the grid [px]."""
        return len(self.light)

    @property
    def inset(self) -> Plane:
        """Distance from the printed edge [side]."""
        return np.float32(0.5) - np.maximum(np.abs(self.x), np.abs(self.y))


@lru_cache(maxsize=8)
def drawn_design(sticker_id: int, side: int) -> Drawing:
    """The design drawn on a grid of ``side`` pixels."""
    light = draw_light(sticker_id, side)
    centres = ((np.arange(side) + 0.5) / side - 0.5).astype(np.float32)
    x, y = np.meshgrid(centres, centres)
    usable = np.ones((side, side), bool)
    for patch in ladder():
        half = patch.side / 2 + PATCH_MARGIN
        usable &= (np.abs(x - patch.x + 0.5) > half) | (np.abs(y - patch.y + 0.5) > half)
    return Drawing(light, usable, x, y)


@lru_cache(maxsize=1)
def strips(side: int) -> tuple[NDArray[np.bool_], ...]:
    """The bare paper along the inside of the frame line, one strip for each side."""
    start = FRAME_INSET + FRAME_WIDTH / 2
    first, last = int(np.ceil((start + 0.006) * side)), int((TICK_INSET - 0.001) * side)
    strips = tuple(np.zeros((side, side), bool) for _ in range(4))
    strips[0][first:last, last:-last] = True
    strips[1][-last:-first, last:-last] = True
    strips[2][last:-last, first:last] = True
    strips[3][last:-last, -last:-first] = True
    return strips


@lru_cache(maxsize=4)
def white_modules(sticker_id: int, side: int) -> NDArray[np.bool_]:
    """Where the white modules of the fiducial lie on the grid."""
    drawn = drawn_design(sticker_id, side)
    inside = np.maximum(np.abs(drawn.x), np.abs(drawn.y)) < MARKER_SIDE / 2 - 1 / side
    return inside & (drawn.light > 0.5)
