"""Two scenes laid over each other as optical densities, which sum where light multiplies."""

from dataclasses import dataclass
from math import ceil
from typing import TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.records import FLAT, Bend, Mask, Matrix, Points, Scene
from lesioncompare.science.plane import sampling

Plane: TypeAlias = NDArray[np.float32]  # (h, w), one number per grid point

PITCH_MM = 0.1  # [mm] of the common grid: a 1 mm mark has ten points across
SMOOTH_MM = 0.12  # [mm] sd: thinner than any mark, thicker than noise and fine hair
DARKEST = 0.01  # [1] least reflectance a logarithm is taken of


@dataclass(frozen=True, slots=True, eq=False)
class Densities:
    """A scene on the common grid.

    ``dark`` is the mean density of red and green, ``red`` the density of green over red and
    ``yellow`` that of blue over green, all smoothed to ``SMOOTH_MM`` [1]; ``valid`` is False where
    the scene is. Point [row, column] lies at ``origin_mm + PITCH_MM * (column, row)`` of the first
    photo.
    """

    dark: Plane
    red: Plane
    yellow: Plane
    valid: Mask
    origin_mm: tuple[float, float]

    def of(self, kind: str) -> Plane:
        """The plane "dark" or "red"."""
        return self.dark if kind == "dark" else self.red

    def to_mm(self, points: Points) -> Points:
        """Grid points (n, 2) as (column, row) to the first photo's millimetres."""
        return points * PITCH_MM + np.asarray(self.origin_mm)

    def to_grid(self, points_mm: Points) -> Points:
        """The first photo's millimetres (n, 2) to (column, row)."""
        return (points_mm - np.asarray(self.origin_mm)) / PITCH_MM


def disc(radius_mm: float) -> NDArray[np.uint8]:
    """A round structuring element on the common grid."""
    reach = max(round(radius_mm / PITCH_MM), 1)
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    return np.asarray(x * x + y * y <= (reach + 0.3) ** 2, np.uint8)


def grown(mask: NDArray[np.bool_], radius_mm: float) -> Mask:
    """What lies in a region of the common grid or within a distance: quick where that is wide."""
    away = cv2.distanceTransform((~mask).astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    return np.asarray(away <= max(round(radius_mm / PITCH_MM), 1) + 0.3)


def densities(scene: Scene, first: Scene, to_first: Matrix, bend: Bend = FLAT) -> Densities:
    """A scene's densities on the grid that covers the first scene.

    Parameters
    ----------
    scene
        Any scene of the series, or the first itself.
    first
        The first photo's scene, whose millimetres the grid is in.
    to_first
        Takes ``scene``'s millimetres to the first photo's, shape (3, 3).
    bend
        The shift after it.

    Returns
    -------
    Densities
        Smoothed to ``SMOOTH_MM``.
    """
    height, width = first.valid.shape
    size = ceil(width * first.pitch_mm / PITCH_MM), ceil(height * first.pitch_mm / PITCH_MM)

    def back(at: Points) -> Points:
        return scene.to_grid(bend.back(to_first, at * PITCH_MM + np.asarray(first.origin_mm)))

    x, y = sampling(back, size)
    laid = cv2.remap(_logarithms(scene), x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    valid = cv2.remap(scene.valid.astype(np.float32), x, y, cv2.INTER_LINEAR) > 0.99
    laid = cv2.GaussianBlur(laid, (0, 0), SMOOTH_MM / PITCH_MM)
    dark = np.asarray((laid[..., 0] + laid[..., 1]) / 2, np.float32)
    red, yellow = laid[..., 1] - laid[..., 0], laid[..., 2] - laid[..., 1]
    return Densities(dark, red, yellow, valid, first.origin_mm)


def _logarithms(scene: Scene) -> NDArray[np.float32]:
    """Densities per channel, (h, w, 3), first smoothed in linear light against aliasing."""
    sigma = 0.4 * PITCH_MM / scene.pitch_mm
    light = scene.linear
    if sigma > 0.3:
        light = cv2.GaussianBlur(light, (0, 0), sigma)
    return np.asarray(-np.log10(np.maximum(light, DARKEST)), np.float32)
