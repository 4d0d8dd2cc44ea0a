"""What is exactly known about a phantom photograph."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from matplotlib.path import Path
from numpy.typing import NDArray

from lesioncompare.phantom.atlas import NEAR_HALF_MM, at_points, near
from lesioncompare.phantom.camera import View
from lesioncompare.phantom.spots import inward
from lesioncompare.phantom.subject import Spot, Subject

Array = NDArray[np.float64]
Lab = tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class SpotTruth:
    """One spot as it truly is in one photograph.

    ``outline_px`` (n, 2) is the line of half cover in linear reflectance, in the sharp picture.
    ``area_mm2`` is the true area of that patch of the curved, stretched skin as it lay before the
    camera; ``rest_area_mm2`` is its area in the plane of the unstretched skin, which is what stays
    equal from visit to visit when nothing grew. ``longest_mm`` is the longest distance between
    two border points at rest. ``lab`` is the median CIELAB (D65) of the reflectance inside the
    outline against a white sheet, without light, shade or glints.
    """

    spot: Spot
    outline_px: Array
    area_mm2: float
    rest_area_mm2: float
    longest_mm: float
    lab: Lab


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """Everything true of one photograph. ``spots`` are in the subject's order.

    ``circle`` (x, y, radius) is a loose circle round the first spot [px]. ``mm_per_px`` is the
    geometric mean scale at the first spot: the root of skin area (as stretched) over picture area.
    ``sticker_corners_px`` (4, 2) are the printed corners, upper left first, clockwise; None
    without a sticker. ``skin_lab`` is the median CIELAB of bare skin 1 to 3 mm outside the first
    spot. ``landmarks`` are circles (x, y, radius) of named places [px]. ``margin_px`` is the
    true margin of an ear; None elsewhere. Without spots, the origin of the skin stands in for
    the first spot's middle.
    """

    spots: tuple[SpotTruth, ...]
    circle: tuple[float, float, float]
    mm_per_px: float
    tilt_deg: float
    distance_mm: float
    sticker_corners_px: Array | None
    skin_lab: Lab
    landmarks: Mapping[str, tuple[float, float, float]]
    margin_px: Array | None
    size_px: tuple[int, int]
    subject: Subject
    view: View

    def bare_skin_mm(self, pitch_mm: float = 0.5) -> Array:
        """Skin points (n, 2) of a square lattice that show bare skin in this photograph [mm].

        None lies on fur, within 0.4 mm of a spot, under the main sticker or out of the picture.
        """
        steps = np.arange(-NEAR_HALF_MM, NEAR_HALF_MM, pitch_mm)
        u, v = np.meshgrid(steps, steps)
        points = np.column_stack([u.ravel(), v.ravel()])
        skin = near(self.subject)
        keep = at_points(skin, skin.skin.bare, points) > 0.5
        for known in self.spots:
            keep &= inward(known.spot, points[:, 0], points[:, 1]) < -0.4
        seen = self.skin_to_px(points)
        keep &= ((seen >= 0) & (seen <= np.asarray(self.size_px) - 1)).all(axis=1)
        if self.sticker_corners_px is not None:
            keep &= ~Path(self.sticker_corners_px).contains_points(seen, radius=8.0)
        return points[keep]

    def skin_to_px(self, points_mm: Array) -> Array:
        """Pixels (n, 2) at which body-fixed skin points (n, 2) [mm] are seen."""
        return self.view.to_px(points_mm)

    def px_to_skin(self, points_px: Array) -> Array:
        """Body-fixed skin points (n, 2) [mm] seen at pixels (n, 2)."""
        return self.view.to_skin(points_px)

    @property
    def outline_px(self) -> Array:
        """Outline of the first spot (n, 2) [px]."""
        return self.spots[0].outline_px

    @property
    def area_mm2(self) -> float:
        """True surface area of the first spot [mm²]."""
        return self.spots[0].area_mm2

    @property
    def spot_lab(self) -> Lab:
        """Colour of the first spot."""
        return self.spots[0].lab


@dataclass(frozen=True, slots=True, eq=False)
class Snapshot:
    """A phantom photograph as a JPEG file, and the truth about it."""

    jpeg: bytes
    truth: Truth
