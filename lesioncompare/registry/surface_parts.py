"""The parts of a surface that looks broken, and how they are weighed together."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt


@dataclass(frozen=True, slots=True)
class SurfacePart:
    """One part of the evidence: ``scale`` is the amount of it that weighs 1."""

    measure: str
    scale: float
    keeper: str


PARTS = (
    SurfacePart("raw_red_fraction", 0.03, "raw red"),
    SurfacePart("crust_fraction", 0.03, "crust-coloured"),
    SurfacePart("glint_fraction", 0.03, "wet"),
    SurfacePart("roughness", 0.03, "rough"),
    SurfacePart("broken_pigment", 0.20, "patchy"),
)
RELIEF = ("glint_fraction", "roughness")  # whole skin can be wet and rough: they weigh ...
MOST_RELIEF = 3.0  # ... no more than this together
TOLD = 0.5  # [1] weight from which a part is named
# [1] weight of a broken surface, chosen on phantoms: of 144 photos of pigmented and inflamed spots
# the heaviest weighs 3.5
BROKEN = 4.0
RULE = (
    "the square roots of "
    + ", ".join(f"{part.measure} over {part.scale:g}" for part in PARTS)
    + f" sum to {BROKEN:g} or more, {' and '.join(RELIEF)} counting {MOST_RELIEF:g} at most"
)


def weights(values: Mapping[str, float]) -> dict[str, float]:
    """What each part weighs [1], by measure; a measure that is missing weighs nothing.

    Notes
    -----
    The root makes the first trace of a part count more than its spread: the scatter of a share
    grows with its root (Freeman and Tukey 1950, doi:10.1214/aoms/1177729756, from memory). On
    phantoms it parted ulcers from other spots better than shares as they are or thresholds did.
    """
    return {p.measure: sqrt(max(values.get(p.measure, 0.0), 0.0) / p.scale) for p in PARTS}


def broken(values: Mapping[str, float]) -> float:
    """How much a surface looks broken, from its measures [1]; see ``BROKEN``."""
    weight = weights(values)
    relief = sum(weight[name] for name in RELIEF)
    return sum(weight.values()) - relief + min(relief, MOST_RELIEF)
