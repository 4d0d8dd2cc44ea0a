"""What was read from one photo."""

from collections.abc import Mapping
from dataclasses import dataclass

from lesioncompare.quantity import Quantity
from lesioncompare.records.arrays import (
    Matrix,
    Points,
    frozen,
    seal,
)
from lesioncompare.records.bend import FLAT, Bend
from lesioncompare.records.photo import Calibration, Circle, Notice, Photo, Scene, Sticker
from lesioncompare.terms import Level


@dataclass(frozen=True, slots=True, eq=False)
class Alignment:
    """How this photo's plane lies over the first photo's.

    ``to_first`` (a homography near the spot) takes this photo's millimetres to the first photo's,
    ``bend`` shifts them to where the skin is.
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
    bend: Bend = FLAT

    def __post_init__(self) -> None:
        seal(self, to_first=(3, 3))

    def onto_first(self, points: Points) -> Points:
        """Points (n, 2) of this photo's plane in the first photo's [mm]."""
        return self.bend.onto(self.to_first, points)

    def from_first(self, points: Points) -> Points:
        """Points (n, 2) of the first photo's plane in this photo's [mm]."""
        return self.bend.back(self.to_first, points)


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
        seal(self, contour=(None, 2), inner=(None, 2), outer=(None, 2))


@dataclass(frozen=True, slots=True, eq=False)
class Measurement:
    """What was measured on one photo. A measure that could not be computed is absent."""

    quantities: Mapping[str, Quantity]  # by name, see terms.MEASURES
    spot_lab: tuple[float, float, float]
    skin_lab: tuple[float, float, float]
    colour_u: float  # [ΔE00] standard uncertainty of spot_lab against skin_lab
    notices: tuple[Notice, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "quantities", frozen(self.quantities))


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
        seal(self, contour=(None, 2))
        object.__setattr__(self, "evidence", frozen(self.evidence))


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """Everything read from one photo; stages after one that could not go on are None."""

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
