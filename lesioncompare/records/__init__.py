"""The nouns that pass between the stages: frozen, checked at birth, arrays read-only.

Conventions, said once. Points are (x, y); images are [row, column]; the origin is the centre of
the top-left pixel and y points down. ``_px`` is the upright photo as decoded; ``_mm`` is the plane
of that photo's own sticker, with the sticker's centre as origin, x along its upper edge to the
right and y down. A 3x3 matrix named ``a_to_b`` takes homogeneous points of frame a to frame b.
Reflectance is linear light, 1 for a perfect white.
"""

from lesioncompare.records.arrays import (
    LabImage,
    LinearImage,
    Mask,
    Matrix,
    Points,
    RgbImage,
)
from lesioncompare.records.bend import FLAT, Bend, gaussians
from lesioncompare.records.photo import (
    Calibration,
    Circle,
    Light,
    Notice,
    Photo,
    Scene,
    Seed,
    Sticker,
    StickerHint,
)
from lesioncompare.records.reading import (
    Alignment,
    Measurement,
    Outline,
    Reading,
    Sighting,
)
from lesioncompare.records.series import (
    Change,
    Course,
    Finding,
    Series,
    Visit,
)

__all__ = [
    "FLAT",
    "Alignment",
    "Bend",
    "Calibration",
    "Change",
    "Circle",
    "Course",
    "Finding",
    "LabImage",
    "Light",
    "LinearImage",
    "Mask",
    "Matrix",
    "Measurement",
    "Notice",
    "Outline",
    "Photo",
    "Points",
    "Reading",
    "RgbImage",
    "Scene",
    "Seed",
    "Series",
    "Sighting",
    "Sticker",
    "StickerHint",
    "Visit",
    "gaussians",
]
