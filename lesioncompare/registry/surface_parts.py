"""The parts of a surface that looks broken, each with its own threshold."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SurfacePart:
    """One part of the evidence: present when over ``least``, or risen by ``rise`` since before."""

    measure: str
    least: float
    rise: float
    keeper: str


PARTS = (
    SurfacePart("raw_red_fraction", 0.03, 0.03, "raw red"),
    SurfacePart("crust_fraction", 0.03, 0.03, "crust-coloured"),
    SurfacePart("glint_fraction", 0.03, 0.03, "wet"),
    SurfacePart("roughness", 0.03, 0.015, "rough"),
    SurfacePart("broken_pigment", 0.20, 0.15, "patchy"),
)  # chosen on phantoms: 120 photos of pigmented, inflamed and ulcer-like spots of five sites
COLOURED = {"raw_red_fraction", "crust_fraction"}  # one of these must be among them
FEWEST = 3  # [1] parts that must be present at once
BROAD = 0.25  # [1] share of the spot that is raw or crust: enough by itself
RULE = (
    f"{FEWEST} or more of "
    + ", ".join(f"{part.measure} over {part.least:g}" for part in PARTS)
    + " (or half of that and risen by "
    + ", ".join(f"{part.rise:g}" for part in PARTS)
    + " over this spot's own past), raw red or crust among them; or "
    f"{100 * BROAD:.0f} % of the spot raw red or crust-coloured"
)
