"""Colour measures: the spot against the skin beside it."""

from collections.abc import Mapping

import numpy as np

from lesioncompare.records import LinearImage
from lesioncompare.science.colour import delta_e00, linear_to_lab, luminance
from lesioncompare.science.surface import density_over, redness

CHANNELS = ("density_red", "density_green", "density_blue")


def contrast_measures(linear: LinearImage, white: LinearImage) -> Mapping[str, float]:
    """How the middle of a spot differs from the skin beside it.

    Parameters
    ----------
    linear
        Reflectance of the spot's pixels, shape (n, 3) [1].
    white
        Reflectance of the skin beside it, shape (3,) [1].
    """
    spot = np.median(linear, axis=0)
    density = density_over(spot, white)
    dark = np.log10(luminance(white) / np.maximum(luminance(spot), 1e-3))
    return {
        "contrast_de00": float(delta_e00(linear_to_lab(spot), linear_to_lab(white))),
        **{name: float(value) for name, value in zip(CHANNELS, density, strict=True)},
        "darkness": float(dark),
        "redness": float(redness(density)),
    }


def variegation(linear: LinearImage) -> float:
    """Median colour difference of a spot's pixels (n, 3) to their own middle [ΔE00]."""
    lab = linear_to_lab(linear)
    middle = np.broadcast_to(linear_to_lab(np.median(linear, axis=0)), lab.shape)
    return float(np.median(delta_e00(lab, middle)))
