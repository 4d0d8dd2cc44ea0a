"""What a homography leaves of how one photo's skin lies over another's: a smooth shift."""

from dataclasses import dataclass

import numpy as np

from lesioncompare.records.arrays import Matrix, Points, seal
from lesioncompare.science.plane import apply_homography

ROUNDS = 4  # [1] of the way back: a shift that changes by 0.1 mm a millimetre then errs by 1e-4


@dataclass(frozen=True, slots=True, eq=False)
class Bend:
    """A shift of the first photo's plane, from skin that is curved or was pulled.

    The sum of Gaussians of standard deviation ``sd_mm`` at ``at`` (n, 2) with the heights ``by``
    (n, 2) [mm]: smooth, and nothing far from the spot.
    """

    at: Points
    by: Points
    sd_mm: float

    def __post_init__(self) -> None:
        seal(self, at=(None, 2), by=(None, 2))

    def shift(self, points: Points) -> Points:
        """The shift at places (n, 2) of the first photo's plane that a homography gave [mm]."""
        if not len(self.at):
            return np.zeros_like(points)
        return gaussians(points, self.at, self.sd_mm) @ self.by

    def onto(self, to_first: Matrix, points: Points) -> Points:
        """Points (n, 2) through a homography and then shifted [mm]."""
        laid = apply_homography(to_first, points)
        return laid + self.shift(laid)

    def back(self, to_first: Matrix, points: Points) -> Points:
        """Where points (n, 2) of the first photo's plane came from [mm]."""
        laid = points
        for _ in range(ROUNDS if len(self.at) else 0):
            laid = points - self.shift(laid)
        return apply_homography(np.linalg.inv(to_first), laid)


def gaussians(points: Points, at: Points, sd_mm: float) -> Points:
    """Height at each point (n, 2) of a Gaussian of height 1 at each middle (m, 2), (n, m)."""
    (x, y), (u, v) = points.T, at.T
    away = np.subtract.outer(x, u) ** 2 + np.subtract.outer(y, v) ** 2
    return np.asarray(np.exp(away * (-0.5 / sd_mm**2)))


FLAT = Bend(np.zeros((0, 2)), np.zeros((0, 2)), 1.0)
