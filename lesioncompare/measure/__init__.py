"""Size, border, colour and surface of an outlined spot, each with how wrong it may be."""

import numpy as np

from lesioncompare.measure.colour import variegation
from lesioncompare.measure.edge import edge_width
from lesioncompare.measure.form import form_quantities
from lesioncompare.measure.looks import Skin, look_quantities, skin_beside
from lesioncompare.measure.regions import close_by, find_regions, sample
from lesioncompare.quantity import Quantity
from lesioncompare.records import Calibration, LinearImage, Measurement, Notice, Outline, Scene
from lesioncompare.registry import notice
from lesioncompare.science import budget
from lesioncompare.science.colour import delta_e00, linear_to_lab
from lesioncompare.science.surface import matt_light, shine

HALF_EDGE_MM = 0.1  # [mm] half of a usual soft edge, kept off the spot's colour
SEEN_DE00 = 1.0  # [ΔE00] about the least difference that is seen side by side; CIE 142-2001
LIGHT_U_DE00 = 0.4  # [ΔE00] light from another side falls differently on spot and skin; phantoms
MIX_SHARE = 0.2  # [1] of its variegation, by which the middle of a spot is unsure; phantoms

__all__ = ["measure"]


def measure(scene: Scene, outline: Outline, calibration: Calibration) -> Measurement:
    """Everything that is measured on one photo of an outlined spot.

    Parameters
    ----------
    scene
        The neighbourhood of the spot on a millimetre grid.
    outline
        Its border.
    calibration
        Millimetres and light, with their errors.

    Returns
    -------
    Measurement
        Quantities by the names of ``terms.MEASURES``. A measure that cannot be computed is absent
        and a notice says why.

    Raises
    ------
    OutlineError
        When the border leaves no spot or no skin to be seen.
    """
    pixel_mm = max(calibration.mm_per_px, scene.pitch_mm)
    margin_mm = outline.border_u_mm + HALF_EDGE_MM
    scene, regions = close_by(scene, find_regions(scene, outline.contour, margin_mm))
    skin = skin_beside(scene, regions)
    pixels = sample(scene.linear, regions.core())
    spot = matt_light(pixels)
    quantities: dict[str, Quantity] = {
        **form_quantities(outline, calibration, pixel_mm),
        **look_quantities(scene, regions, skin, outline.border_u_mm),
    }
    notices: list[Notice] = []
    edge = edge_width(scene, regions, outline.contour, pixel_mm)
    if edge is None:
        notices.append(notice("edge_not_measured"))
    else:
        quantities["edge_width"] = edge
    contrast = quantities.get("contrast_de00")
    if contrast is not None and contrast.low < SEEN_DE00:
        notices.append(notice("hardly_a_spot"))
    return Measurement(
        quantities,
        _lab(spot),
        _lab(skin.white),
        _colour_u(spot, skin, pixels, calibration.light.residual_de00),
        tuple(notices),
    )


def _lab(linear: LinearImage) -> tuple[float, float, float]:
    """CIELAB of one reflectance (3,)."""
    lightness, a, b = linear_to_lab(linear)
    return float(lightness), float(a), float(b)


def _colour_u(spot: LinearImage, skin: Skin, pixels: LinearImage, residual_de00: float) -> float:
    """Standard uncertainty of the spot's colour against the skin's [ΔE00].

    What an unsure skin does to the spot's colour, what shine does, what the ladder left, and how
    loosely the middle of a spot of several colours sits.
    """
    here = linear_to_lab(spot)
    variances, axes = np.linalg.eigh(skin.covariance)
    moved = [spot * np.exp(change) for change in (axes * np.sqrt(np.maximum(variances, 0))).T]
    steps = [float(delta_e00(linear_to_lab(one), here)) for one in (*moved, spot + shine(pixels))]
    loose = MIX_SHARE * variegation(pixels)
    return budget.of_powers(np.ones(7), [*steps, loose, residual_de00, LIGHT_U_DE00])
