"""Change of colour: of the spot, against the skin beside it, so that light cancels.

The spot's linear reflectance is scaled, channel by channel, by the ratio of the first photo's skin
to this photo's: what light, camera and calibration did to both is gone. Differences are CIEDE2000,
which is positive even without change: the noise expected in it is taken off, and the interval comes
from the noncentral chi-square law.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from skimage.color import lab2xyz, xyz2lab

from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import Measurement, Reading
from lesioncompare.registry.tolerances import COLOUR_OWN
from lesioncompare.science.colour import delta_e00
from lesioncompare.science.distance import true_distance

AXES = 3  # [1] axes of colour
# [1] axes over which the errors of two photos spread, most of them in lightness: the square of
# the sum of their variances over the sum of the squares, on phantoms 1.7 to 2.0
ERROR_AXES = 2
FROM_XYZ = np.linalg.inv(
    np.array(
        [
            [0.4123908, 0.3575843, 0.1804808],
            [0.2126390, 0.7151687, 0.0721923],
            [0.0193308, 0.1191948, 0.9505322],
        ]
    )
)  # [1] IEC 61966-2-1: XYZ to linear sRGB
DARKEST = 1e-3  # [1] least linear reflectance a ratio is taken of


def difference(one: ArrayLike, other: ArrayLike) -> float:
    """CIEDE2000 difference of two Lab colours [ΔE00]."""
    return float(delta_e00(one, other))


def _linear(lab: ArrayLike) -> NDArray[np.float64]:
    """Linear sRGB reflectance of a Lab colour, kept just above black."""
    xyz = lab2xyz(np.asarray(lab, float))
    return np.maximum(FROM_XYZ @ xyz, DARKEST)


def spot_as_at_first(first: Measurement, this: Measurement) -> NDArray[np.float64]:
    """Colour the spot would show, were the skin beside it as in the first photo.

    Parameters
    ----------
    first, this
        Measurements of the first photo and of this one.

    Returns
    -------
    NDArray[np.float64]
        Lab, shape (3,) [CIELAB].
    """
    light = _linear(first.skin_lab) / _linear(this.skin_lab)
    return xyz2lab(np.linalg.inv(FROM_XYZ) @ (_linear(this.spot_lab) * light))


def colour_change(first: Reading, reading: Reading) -> Quantity | None:
    """Change of the spot's colour since the first photo, light cancelled.

    Parameters
    ----------
    first, reading
        The first photo of the series and another one.

    Returns
    -------
    Quantity | None
        CIEDE2000 difference with the expected noise taken off, and its interval [ΔE00]; exactly
        0 for the first photo itself; None where a measurement is missing.
    """
    if first.measurement is None or reading.measurement is None:
        return None
    if reading is first:
        return Quantity(0.0, "ΔE00", (), interval=(0.0, 0.0))
    seen = difference(
        first.measurement.spot_lab, spot_as_at_first(first.measurement, reading.measurement)
    )
    both = np.hypot(first.measurement.colour_u, reading.measurement.colour_u)
    u = COLOUR_OWN * float(both) / np.sqrt(ERROR_AXES)
    value, low, high = true_distance(seen, u, ERROR_AXES)
    return Quantity(value, "ΔE00", (Component("colour", u),), interval=(low, high))
