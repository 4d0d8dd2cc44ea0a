"""Size and border measures: everything that follows from the contour alone."""

from collections.abc import Mapping

import numpy as np

from lesioncompare.measure.doubt import border_u, doubt_of
from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import Calibration, Outline, Points
from lesioncompare.science import budget, shape
from lesioncompare.terms import MEASURES

LENGTH_POWER = {"mm²": 2, "mm": 1}  # how a size goes with the scale; forms do not
# [1] an error of tilt stretches one direction only, by twice its effect on the mean scale; a
# length in a random direction takes root mean square 2 cos² of it: 2 √(3/8)
TILT_ON_LENGTH = 1.2247
SLANTS = ((1.0, 0.0), (0.5**0.5, 0.5**0.5))  # any other is a mix of these two
STRAIGHT = {"longest_diameter", "perpendicular_diameter"}
PIXEL_AREA = 0.0728  # [px²/px] variance of a pixel count per length of border; Matérn 1960
END_PX = 0.41  # [px] two ends, each anywhere in its pixel: √(2/12)


def form_measures(contour: Points) -> dict[str, float]:
    """Every measure of a contour by name, lengths in its unit."""
    smoothed = shape.smooth(contour, shape.texture_scale(contour))
    along, across = shape.diameters(contour)
    return {
        "area": shape.area(contour),
        "longest_diameter": along,
        "perpendicular_diameter": across,
        "equivalent_diameter": shape.equivalent_diameter(contour),
        "perimeter": shape.perimeter(smoothed),
        "circularity": shape.circularity(contour),
        "solidity": shape.solidity(smoothed),
        "border_irregularity": shape.irregularity(contour),
        "asymmetry": shape.asymmetry(contour),
    }


def form_quantities(
    outline: Outline, calibration: Calibration, pixel_mm: float
) -> dict[str, Quantity]:
    """Size and border measures with their error components.

    Parameters
    ----------
    outline
        The border and its doubt.
    calibration
        Its relative scale components enter lengths once and areas twice.
    pixel_mm
        The coarser of the photo's pixel and the scene's grid step at the spot [mm].
    """
    values = form_measures(outline.contour)
    border = border_u(form_measures, doubt_of(outline))
    slant = _slant_u(outline.contour, values, calibration.scale_parts)
    pixels = _pixel_u(values, pixel_mm)
    return {
        name: Quantity(
            value,
            MEASURES[name].unit,
            (
                *(_scale(name, value, calibration.scale_parts) or (slant[name],)),
                Component("border", border[name]),
                *((Component("pixel", pixels[name]),) if name in pixels else ()),
            ),
            relative=MEASURES[name].relative,
        )
        for name, value in values.items()
    }


def _slant_u(
    contour: Points, values: Mapping[str, float], parts: tuple[Component, ...]
) -> dict[str, Component]:
    """What an unknown slant does to each measure, tried in two directions 45 degrees apart."""
    u = float(np.linalg.norm([part.u for part in parts if part.name == "tilt"]))
    changes = []
    for x, y in SLANTS:
        stretch = np.eye(2) + 2 * u * np.outer((x, y), (x, y))
        changes.append(form_measures(contour @ stretch))
    return {
        name: Component("tilt", float(np.sqrt(np.mean([(c[name] - v) ** 2 for c in changes]))))
        for name, v in values.items()
    }


def _scale(name: str, value: float, parts: tuple[Component, ...]) -> tuple[Component, ...]:
    """The scale's relative components as they enter one size; nothing for a form."""
    power = LENGTH_POWER.get(MEASURES[name].unit, 0)
    if power == 0:
        return ()
    return tuple(
        Component(
            part.name,
            value * budget.of_powers([power * _lean(name, part)], [part.u]),
            part.common,
        )
        for part in parts
    )


def _lean(name: str, part: Component) -> float:
    """How much more a straight length feels an error of tilt than the mean scale does."""
    return TILT_ON_LENGTH if part.name == "tilt" and name in STRAIGHT else 1.0


def _pixel_u(values: Mapping[str, float], pixel_mm: float) -> dict[str, float]:
    """Standard uncertainty from where the pixels happen to fall, for sizes."""
    area = float(np.sqrt(PIXEL_AREA * values["perimeter"] / pixel_mm)) * pixel_mm**2
    return {
        "area": area,
        "equivalent_diameter": area / values["area"] * values["equivalent_diameter"] / 2,
        **dict.fromkeys(STRAIGHT, END_PX * pixel_mm),
        "perimeter": END_PX * pixel_mm,
    }
