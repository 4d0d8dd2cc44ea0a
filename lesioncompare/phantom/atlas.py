"""The painted skin of one subject, made once on two grids: fine near the origin, coarse far."""

from dataclasses import dataclass, replace
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.phantom.fields import Field, Grid, look_up, square_grid
from lesioncompare.phantom.sites import Skin, paint
from lesioncompare.phantom.subject import Subject

NEAR_HALF_MM, NEAR_PITCH = 24.0, 1 / 24  # [mm] about the scale of a close photo
FAR_HALF_MM, FAR_PITCH = 110.0, 0.3  # [mm] fur and blur only


@dataclass(frozen=True, slots=True, eq=False)
class Atlas:
    """Layers of skin on a grid."""

    grid: Grid
    skin: Skin

    def sample(
        self, layer: Field, u: Field, v: Field, border: int = cv2.BORDER_REFLECT_101
    ) -> Field:
        """``layer`` at skin points, mirrored beyond the grid."""
        x = (u - np.float32(self.grid.corner[0])) / np.float32(self.grid.pitch)
        y = (v - np.float32(self.grid.corner[1])) / np.float32(self.grid.pitch)
        return cv2.remap(layer, x, y, cv2.INTER_LINEAR, borderMode=border)

    def covers(self, u: Field, v: Field) -> bool:
        """True when all points lie on the grid."""
        half = self.grid.pitch * (self.grid.u.shape[0] - 1) / 2
        centre = np.asarray(self.grid.corner) + half
        across = max(abs(float(u.min()) - centre[0]), abs(float(u.max()) - centre[0]))
        down = max(abs(float(v.min()) - centre[1]), abs(float(v.max()) - centre[1]))
        return max(across, down) < half


def near(subject: Subject) -> Atlas:
    """The fine atlas; spots are not on it."""
    return _near(replace(subject, spots=()))


def far(subject: Subject) -> Atlas:
    """The coarse atlas that reaches to the end of any picture."""
    return _far(replace(subject, spots=()))


def covering(subject: Subject, u: Field, v: Field) -> Atlas:
    """The fine atlas if it holds all these skin points, else the coarse one."""
    fine = near(subject)
    return fine if fine.covers(u, v) else far(subject)


@lru_cache(maxsize=6)
def _near(subject: Subject) -> Atlas:
    grid = square_grid((0.0, 0.0), NEAR_HALF_MM, NEAR_PITCH)
    return Atlas(grid, paint(subject, grid))


@lru_cache(maxsize=6)
def _far(subject: Subject) -> Atlas:
    grid = square_grid((0.0, 0.0), FAR_HALF_MM, FAR_PITCH)
    return Atlas(grid, paint(subject, grid))


def at_points(atlas: Atlas, layer: Field, points: NDArray[np.float64]) -> Field:
    """``layer`` at skin points (n, 2), shape (n,)."""
    return look_up(layer, *atlas.grid.to_grid(points).T)
