"""Colour and surface measures of a spot with their error components."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.measure.colour import contrast_measures, mix_u, variegation
from lesioncompare.measure.regions import SAMPLE_PX, Regions, sample
from lesioncompare.measure.surface import gloss_measures, tissue_measures, unevenness
from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import LinearImage, Scene
from lesioncompare.science import budget
from lesioncompare.science.surface import matt_light, shine
from lesioncompare.terms import MEASURES

SMOOTH_MM = 0.06  # [mm] noise of single pixels is not surface
SECTORS = 8  # [1] of the ring of skin
FEWEST_SECTORS = 3  # [1] for a covariance
LEAST_SECTOR_PX = 12  # [px]
DARKEST = 1e-3  # [1] reflectance
LEAST_SKIN_U = 1e-4  # [1] keeps the sensitivities finite on perfectly even skin
# [unit of the measure] scatter between photos of one unchanged spot that a single photo cannot
# know of: light from another side, other glints, other hair. Learnt from phantoms photographed
# three times each.
REPEAT_U = {
    "contrast_de00": 0.7,
    "density_red": 0.015,
    "density_green": 0.015,
    "density_blue": 0.015,
    "darkness": 0.015,
    "redness": 0.020,
    "variegation": 0.6,
    "raw_red_fraction": 0.02,
    "crust_fraction": 0.02,
    "broken_pigment": 0.05,
    "glint_fraction": 0.02,
    "roughness": 0.010,
}
# [1] reflectance that damp skin mirrors everywhere, spot and all; no photo shows it apart from the
# skin's own light, and every photo of a spot has it. Root mean square of the 0 to 0.03 of phantoms
SHEEN_U = 0.018
REPEAT_SHARE = 0.4  # [1] and of a share f of the spot, so much of f (1 - f); the same photos
REPEAT_MIX = 0.2  # [1] of the variegation itself: shine varies it too
SHARES = {"raw_red_fraction", "crust_fraction", "broken_pigment", "glint_fraction"}


@dataclass(frozen=True, slots=True, eq=False)
class Skin:
    """Skin beside the spot: reflectance (3,), and covariance (3, 3) of its natural logarithm.

    ``white`` is without shine, ``usual`` the median as it is seen.
    """

    white: LinearImage
    usual: LinearImage
    covariance: NDArray[np.float64]

    @property
    def u(self) -> NDArray[np.float64]:
        """Relative standard uncertainty per channel, shape (3,) [1]."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))


def skin_beside(scene: Scene, regions: Regions) -> Skin:
    """The skin beside the spot, and how unsure it is as a reference.

    Notes
    -----
    The covariance is that of the mean of the ring's sectors: what skin and light differ from side
    to side, they may differ under the spot.
    """
    where = np.flatnonzero(regions.skin)
    where = where[:: max(1, len(where) // (2 * SAMPLE_PX))]
    rows, columns = np.unravel_index(where, regions.skin.shape)
    row, column = (axis.mean() for axis in np.nonzero(regions.inside))
    turn = np.arctan2(rows - row, columns - column) / (2 * np.pi) + 0.5
    sector = np.floor(turn * SECTORS).astype(int) % SECTORS
    light = np.log(np.maximum(scene.linear[rows, columns], DARKEST))
    parts = [light[sector == s] for s in range(SECTORS)]
    middles = [np.median(part, axis=0) for part in parts if len(part) >= LEAST_SECTOR_PX]
    if len(middles) < FEWEST_SECTORS:
        spread = np.diag(light.var(axis=0))
    else:
        spread = np.cov(np.array(middles).T) / len(middles)
    usual = np.median(scene.linear[rows, columns], axis=0)
    return Skin(regions.white, usual, spread + LEAST_SKIN_U**2 * np.eye(3))


def look_quantities(
    scene: Scene, regions: Regions, skin: Skin, border_u_mm: float
) -> dict[str, Quantity]:
    """Colour and surface measures with their error components.

    Parameters
    ----------
    scene, regions, skin
        The neighbourhood of the spot, what its pixels show, and the skin to compare it with.
    border_u_mm
        How far the border may lie from where it was drawn [mm].
    """
    sigma = max(0.3, SMOOTH_MM / scene.pitch_mm)
    light = np.asarray(cv2.GaussianBlur(scene.linear, (0, 0), sigma), np.float32)
    uneven = unevenness(scene, regions)

    def measured(shift_mm: float) -> dict[str, float]:
        core = regions.core(shift_mm)
        spot = sample(light, core)
        return {
            **_against(spot, matt_light(spot), skin),
            "variegation": variegation(spot),
            **gloss_measures(uneven, regions, core, shift_mm),
        }

    best, deeper, shallower = (measured(shift) for shift in (0.0, border_u_mm, -border_u_mm))
    spot = sample(light, regions.core())
    veiled = spot + np.float32(shine(spot))
    shiny = _against(veiled, matt_light(veiled), skin)
    damp = contrast_measures(matt_light(spot + np.float32(SHEEN_U)), skin.white)
    against_skin = {
        "skin": _skin_u(spot, skin),
        "shine": {name: abs(value - best[name]) for name, value in shiny.items()},
        "sheen": {name: abs(value - best[name]) for name, value in damp.items()},
        "mix": mix_u(spot, skin.white),
    }
    return {
        name: Quantity(
            value,
            MEASURES[name].unit,
            (
                Component("border", abs(deeper[name] - shallower[name]) / 2),
                *(
                    Component(part, u[name], common=part == "sheen")
                    for part, u in against_skin.items()
                    if name in u
                ),
                Component("repeat", _repeat_u(name, value)),
            ),
        )
        for name, value in best.items()
    }


def _repeat_u(name: str, value: float) -> float:
    """Standard uncertainty of a measure from what differs between photos."""
    grown = REPEAT_SHARE * value * (1 - value) if name in SHARES else 0.0
    grown = REPEAT_MIX * value if name == "variegation" else grown
    return float(np.hypot(REPEAT_U[name], grown))


def _against(spot: LinearImage, matt: LinearImage, skin: Skin) -> Mapping[str, float]:
    """The measures that compare the spot, and what of it is without shine, with the skin."""
    return {**contrast_measures(matt, skin.white), **tissue_measures(spot, skin.usual)}


def _skin_u(spot: LinearImage, skin: Skin) -> dict[str, float]:
    """Standard uncertainty of each comparison from that of the skin."""
    matt = matt_light(spot)
    names = list(_against(spot, matt, skin))

    def compared(log_change: NDArray[np.float64]) -> list[float]:
        lighter = np.exp(log_change).astype(np.float32)
        other = replace(skin, white=skin.white * lighter, usual=skin.usual * lighter)
        return list(_against(spot, matt, other).values())

    slopes = budget.sensitivities(compared, np.zeros(3), skin.u)
    variance = np.diag(budget.combine(slopes, skin.covariance))
    return dict(zip(names, np.sqrt(np.maximum(variance, 0)).tolist(), strict=True))
