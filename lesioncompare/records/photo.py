"""From the bytes of a photo to a scene on a millimetre grid."""

from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from lesioncompare.quantity import Component
from lesioncompare.records.arrays import LabImage, LinearImage, Mask, Matrix, Points, RgbImage, seal
from lesioncompare.terms import Level


@dataclass(frozen=True, slots=True)
class Notice:
    """A remark on one photo, ready to be read. Made by ``registry.notice``."""

    key: str
    level: Level
    says: str
    do: str
    vet: str


@dataclass(frozen=True, slots=True, eq=False)
class Photo:
    """A decoded photo: upright, sRGB.

    ``stored_per_px`` is 1 unless a very large photo was decoded at reduced size: multiply decoded
    pixel coordinates by it to get those of the stored, upright photo. ``focal_px`` is the focal
    length in pixels of ``rgb``, where the file states one.
    """

    name: str
    sha256: str
    rgb: RgbImage
    taken: datetime | None
    taken_basis: str
    hashes: tuple[
        str, ...
    ] = ()  # perceptual hash of the 8 turned and mirrored versions, upright 1st
    stored_per_px: float = 1.0
    notices: tuple[Notice, ...] = ()
    focal_px: float | None = None

    def __post_init__(self) -> None:
        seal(self, rgb=(None, None, 3))


@dataclass(frozen=True, slots=True)
class Seed:
    """The circle a person draws round the spot, in upright photo pixels [px]."""

    x: float
    y: float
    radius: float

    def __post_init__(self) -> None:
        if not self.radius > 0:
            raise ValueError("radius must be positive")


@dataclass(frozen=True, slots=True)
class StickerHint:
    """Which reference sticker to look for.

    Printed by default; otherwise a round dot of ``diameter_mm``, near ``near_px`` if given.
    """

    diameter_mm: float | None = None
    near_px: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Sticker:
    """A located reference sticker.

    ``corners_px`` are the outer corners of the printed sticker (its printed edges), upper left
    first, clockwise as printed; for a round dot, the ends of the ellipse's axes. ``px_to_mm``
    takes photo pixels to the sticker's plane. ``corner_u_px`` is the standard uncertainty of one
    located edge point per coordinate, after the fit [px]. ``ladder`` rows are (x_mm, y_mm, nominal
    reflectance, linear R, linear G, linear B), as seen, uncorrected; empty for a round dot.
    """

    kind: str  # "printed" | "round"
    id: int | None
    size_mm: float
    corners_px: Points
    px_to_mm: Matrix
    corner_u_px: float
    ladder: NDArray[np.float64]
    notices: tuple[Notice, ...] = ()

    def __post_init__(self) -> None:
        seal(self, corners_px=(4, 2), px_to_mm=(3, 3), ladder=(None, 6))


@dataclass(frozen=True, slots=True, eq=False)
class Light:
    """Camera value to reflectance, per channel, in linear light.

    reflectance = (value - offset) / (gain * (1 + gx x_mm + gy y_mm)); offset, gain: (3,);
    gradient: (2,) [1/mm], held at the sticker's edge value beyond two sticker sides away.
    ``steady`` is False when there was no ladder and the photo's own values were kept. ``bend`` is
    how S-shaped the camera's tone curve is: values are those of ``science.colour.straightened``.
    """

    gain: NDArray[np.float64]
    offset: NDArray[np.float64]
    gradient: NDArray[np.float64]
    residual_de00: float
    steady: bool
    bend: float = 0.0

    def __post_init__(self) -> None:
        seal(self, gain=(3,), offset=(3,), gradient=(2,))


@dataclass(frozen=True, slots=True, eq=False)
class Calibration:
    """From pixels to millimetres and steady colour.

    ``mm_per_px`` is the geometric mean scale at the spot [mm/px]; ``scale_parts`` are its
    *relative* error components (scale, print, plane, tilt, lens) [1].
    """

    px_to_mm: Matrix
    mm_per_px: float
    tilt_deg: float
    scale_parts: tuple[Component, ...]
    light: Light

    def __post_init__(self) -> None:
        seal(self, px_to_mm=(3, 3))

    @property
    def mm_per_px_u(self) -> float:
        """Standard uncertainty of ``mm_per_px`` [mm/px]."""
        return self.mm_per_px * float(np.sqrt(sum(part.u**2 for part in self.scale_parts)))


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """A square neighbourhood on a millimetre grid, area-averaged once from the photo.

    Pixel [row, column] has its middle at ``origin_mm + pitch_mm * (column, row)``. ``valid`` is
    False outside the photo and on the sticker (with a margin). ``linear`` is steady reflectance.
    """

    linear: LinearImage
    lab: LabImage
    valid: Mask
    origin_mm: tuple[float, float]
    pitch_mm: float

    def __post_init__(self) -> None:
        seal(self, linear=(None, None, 3), lab=(None, None, 3), valid=(None, None))

    def to_mm(self, points: Points) -> Points:
        """Grid points (n, 2) as (column, row) to millimetres."""
        return np.asarray(points, float) * self.pitch_mm + np.asarray(self.origin_mm)

    def to_grid(self, points_mm: Points) -> Points:
        """Millimetre points (n, 2) to (column, row) on this grid."""
        return (np.asarray(points_mm, float) - np.asarray(self.origin_mm)) / self.pitch_mm


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle in the sticker's plane [mm]: the seed after calibration."""

    x: float
    y: float
    radius: float
