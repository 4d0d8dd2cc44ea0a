"""What is exactly known about a phantom photograph."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lesioncompare.phantom.camera import View
from lesioncompare.phantom.subject import Spot

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
    view: View

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
