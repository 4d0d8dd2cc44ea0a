"""How much of each measure is worth a word: thresholds used by the charts and by the findings."""

from dataclasses import dataclass
from math import inf, log


@dataclass(frozen=True, slots=True)
class Tolerance:
    """What a measure does without any change of the spot, in its unit (sizes: of the logarithm).

    ``floor`` is the smallest change worth a word. ``own`` is the share of a photo's stated error
    that differs between photos of one spot; the rest, how evenly its skin is coloured, say, stays
    the same and cancels. ``between_u`` differs from visit to visit (light, pose, skin, hair) and
    no repeat on the day averages it out. ``hopeless`` is the change a visit must be able to show,
    or it cannot tell.
    """

    floor: float
    own: float
    between_u: float
    hopeless: float = inf


STRETCH_U = 0.01  # [1] of lengths: skin is pulled a little differently at every visit
COLOUR_OWN = 0.55  # [1] the same share of ``Measurement.colour_u``
TOLERANCES = {
    "area": Tolerance(log(1.10), 0.7, 2 * STRETCH_U, log(2)),
    "longest_diameter": Tolerance(log(1.05), 0.7, STRETCH_U, log(2)),
    "perpendicular_diameter": Tolerance(log(1.05), 0.7, STRETCH_U, log(2)),
    "equivalent_diameter": Tolerance(log(1.05), 0.7, STRETCH_U, log(2)),
    "perimeter": Tolerance(log(1.05), 0.7, STRETCH_U, log(2)),
    "circularity": Tolerance(0.05, 0.7, 0.02),
    "solidity": Tolerance(0.03, 0.7, 0.01),
    "border_irregularity": Tolerance(0.03, 0.7, 0.01),
    "edge_width": Tolerance(0.15, 0.8, 0.02),
    "asymmetry": Tolerance(0.05, 0.7, 0.02),
    "contrast_de00": Tolerance(3.0, 1.0, 1.5),
    "density_red": Tolerance(0.05, 0.6, 0.02),
    "density_green": Tolerance(0.05, 0.5, 0.03),
    "density_blue": Tolerance(0.05, 0.5, 0.03),
    "darkness": Tolerance(0.05, 0.5, 0.03),
    "redness": Tolerance(0.04, 0.5, 0.015),
    "variegation": Tolerance(2.0, 1.0, 0.5),
    "raw_red_fraction": Tolerance(0.10, 1.0, 0.03),
    "crust_fraction": Tolerance(0.10, 1.0, 0.02),
    "glint_fraction": Tolerance(0.05, 1.0, 0.02),
    "roughness": Tolerance(0.02, 1.0, 0.004),
    "broken_pigment": Tolerance(0.10, 0.6, 0.03),
    "colour_de00": Tolerance(4.0, COLOUR_OWN, 0.5),
}  # learnt from phantoms unchanged between visits, see docs/operating_point.md
FAST_GROWTH = log(1.5)  # [1] log area over the baseline; common practice, no source
FAST_DAYS = 120.0  # [days] an area that doubles sooner grows fast; common practice, no source
