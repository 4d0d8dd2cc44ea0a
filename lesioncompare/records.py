"""The nouns that pass between the stages: frozen, checked at birth, arrays read-only.

Conventions, said once. Points are (x, y); images are [row, column]; the origin is the centre of
the top-left pixel and y points down. ``_px`` is the upright photo as decoded; ``_mm`` is the plane
of that photo's own sticker, with the sticker's centre as origin, x along its upper edge to the
right and y down. A 3x3 matrix named ``a_to_b`` takes homogeneous points of frame a to frame b.
Reflectance is linear light, 1 for a perfect white.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from lesioncompare.quantity import Component, Quantity
from lesioncompare.terms import Level, Site, Verdict

RgbImage: TypeAlias = NDArray[np.uint8]  # (h, w, 3) sRGB code values
LinearImage: TypeAlias = NDArray[np.float32]  # (h, w, 3) linear reflectance
LabImage: TypeAlias = NDArray[np.float32]  # (h, w, 3) CIELAB, D65
Mask: TypeAlias = NDArray[np.bool_]  # (h, w)
Points: TypeAlias = NDArray[np.float64]  # (n, 2) x, y
Matrix: TypeAlias = NDArray[np.float64]  # (3, 3)


def _seal(record: object, **shapes: tuple[int | None, ...]) -> None:
    """Check the shape of each named array of a record and make it read-only."""
    for name, shape in shapes.items():
        array = np.asarray(getattr(record, name))
        fits = array.ndim == len(shape) and all(
            want is None or want == have for want, have in zip(shape, array.shape, strict=True)
        )
        if not fits:
            raise ValueError(f"{name} must have shape {shape}, not {array.shape}")
        array.setflags(write=False)
        object.__setattr__(record, name, array)


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
        _seal(self, rgb=(None, None, 3))


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
        _seal(self, corners_px=(4, 2), px_to_mm=(3, 3), ladder=(None, 6))


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
        _seal(self, gain=(3,), offset=(3,), gradient=(2,))


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
        _seal(self, px_to_mm=(3, 3))

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
        _seal(self, linear=(None, None, 3), lab=(None, None, 3), valid=(None, None))

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


@dataclass(frozen=True, slots=True, eq=False)
class Alignment:
    """How this photo's plane lies over the first photo's.

    ``to_first`` (a homography near the spot) takes this photo's millimetres to the first photo's.
    ``anatomical_scale`` is the scale of the similarity fitted to bare skin near the spot: first
    millimetres for one of this photo's. It would be 1 had both stickers lain in the spot's plane.
    ``residual_mm`` is the rms distance left on skin [mm]; ``overlap`` the share of the first
    photo's bare skin near the spot that was used [1].
    """

    to_first: Matrix
    residual_mm: float
    overlap: float
    anatomical_scale: float
    anatomical_scale_u: float
    notices: tuple[Notice, ...] = ()

    def __post_init__(self) -> None:
        _seal(self, to_first=(3, 3))


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """The border of a spot in its own photo's plane [mm]: closed contours without repeated end.

    ``inner`` and ``outer`` bound where the border may plausibly run. ``border_u_mm`` is the
    standard uncertainty of the border's place as a whole [mm]. ``by`` is "automatic" or "person".
    """

    contour: Points
    inner: Points
    outer: Points
    border_u_mm: float
    by: str = "automatic"
    notices: tuple[Notice, ...] = ()

    def __post_init__(self) -> None:
        _seal(self, contour=(None, 2), inner=(None, 2), outer=(None, 2))


def _frozen(mapping: Mapping[str, Any]) -> Mapping[str, Any]:
    return MappingProxyType(dict(mapping))


@dataclass(frozen=True, slots=True, eq=False)
class Measurement:
    """What was measured on one photo. A measure that could not be computed is absent."""

    quantities: Mapping[str, Quantity]  # by name, see terms.MEASURES
    spot_lab: tuple[float, float, float]
    skin_lab: tuple[float, float, float]
    colour_u: float  # [ΔE00] standard uncertainty of spot_lab against skin_lab
    notices: tuple[Notice, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "quantities", _frozen(self.quantities))


@dataclass(frozen=True, slots=True, eq=False)
class Sighting:
    """Something that was not there in the first photo, in the first photo's millimetres.

    ``kind`` is "new_spot", "margin_loss" or "one_sided". ``contour`` runs round it; ``evidence``
    holds the numbers that told it from hair, glint and shadow.
    """

    kind: str
    x_mm: float
    y_mm: float
    area_mm2: float
    area_u: float
    contour: Points
    evidence: Mapping[str, float]

    def __post_init__(self) -> None:
        _seal(self, contour=(None, 2))
        object.__setattr__(self, "evidence", _frozen(self.evidence))


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """Everything read from one photo; later stages are None where an earlier one could not go on."""

    photo: Photo
    sticker: Sticker | None = None
    calibration: Calibration | None = None
    circle: Circle | None = None
    overview: Scene | None = None  # wide and coarse: for finding the place again
    scene: Scene | None = None  # close and fine: for the border and its measures
    alignment: Alignment | None = None
    outline: Outline | None = None
    measurement: Measurement | None = None
    notices: tuple[Notice, ...] = ()
    sightings: tuple[Sighting, ...] = ()

    @property
    def usable(self) -> bool:
        """True when the photo gave a measurement and no notice asks for a retake."""
        retake = any(note.level == Level.RETAKE for note in self.notices)
        return self.measurement is not None and not retake


@dataclass(frozen=True, slots=True, eq=False)
class Visit:
    """The usable readings of one day, in order of time."""

    when: datetime
    readings: tuple[Reading, ...]
    answers: Mapping[str, str] = field(default_factory=dict)  # the keeper's hands-on answers


@dataclass(frozen=True, slots=True)
class Course:
    """The way a measure has taken up to a visit; relative measures on the natural logarithm.

    ``level`` is the visit's value minus the first visit's, both rulers fused; ``since_last`` its
    step from the visit before. ``smoothed`` is the chart's running mean difference from the
    baseline and ``limit`` what it must exceed to count as a change. ``rate`` is the slope of the
    line through the last year of visits, with its 95 % interval [1/day].
    """

    level: float
    level_u: float
    since_last: float
    since_last_u: float
    smoothed: float
    limit: float
    rate: float
    rate_low: float
    rate_high: float


@dataclass(frozen=True, slots=True)
class Change:
    """One measure of one visit against the baseline.

    Relative measures are compared on the natural logarithm: ``difference`` is then log(ratio).
    """

    measure: str
    visit: int  # index into Series.visits
    difference: float
    u: float
    low: float
    high: float
    smallest_detectable: float
    verdict: Verdict
    course: Course | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """A registered statement that applies to this series, with its evidence."""

    key: str
    level: Level
    visit: int
    says: str
    do: str
    vet: str
    could_be: tuple[str, ...]
    evidence: Mapping[str, float | str]


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """The visits of one site, what changed and what is said about it."""

    site: Site | None
    readings: tuple[Reading, ...]  # every photo, usable or not, in order of time
    visits: tuple[Visit, ...]
    changes: Mapping[str, tuple[Change, ...]]  # by measure, one per visit after the baseline
    findings: tuple[Finding, ...]
