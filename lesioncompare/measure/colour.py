"""Colour measures: the spot against the skin beside it."""

from collections.abc import Mapping

import numpy as np

from lesioncompare.records import LinearImage
from lesioncompare.science.colour import delta_e00, linear_to_lab, luminance
from lesioncompare.science.surface import density_over, redness

CHANNELS = ("density_red", "density_green", "density_blue")


def contrast_measures(spot: LinearImage, white: LinearImage) -> Mapping[str, float]:
    """How the middle of a spot differs from the skin beside it.

    Parameters
    ----------
    spot, white
        Reflectance of spot and skin without shine, shape (3,) each [1].
    """
    density = density_over(spot, white)
    dark = np.log10(luminance(white) / np.maximum(luminance(spot), 1e-3))
    return {
        "contrast_de00": float(delta_e00(linear_to_lab(spot), linear_to_lab(white))),
        **{name: float(value) for name, value in zip(CHANNELS, density, strict=True)},
        "darkness": float(dark),
        "redness": float(redness(density)),
    }


def mix_u(linear: LinearImage, white: LinearImage) -> Mapping[str, float]:
    """Standard uncertainty of the densities from which pixels happen to be seen [1].

    A median sits loosely in a spot of several colours: half of what it moves when a tenth of the
    pixels, at one end or at the other, is hidden.
    """
    density = density_over(linear, white)
    dark = np.log10(luminance(white) / np.maximum(luminance(linear), 1e-3))
    low, high = np.quantile(
        np.column_stack([density, dark, redness(density)]), [0.45, 0.55], axis=0
    )
    names = (*CHANNELS, "darkness", "redness")
    return dict(zip(names, ((high - low) / 2).tolist(), strict=True))


def variegation(linear: LinearImage) -> float:
    """Mean colour difference of a spot's pixels (n, 3) to their own middle [ΔE00]."""
    lab = linear_to_lab(linear)
    middle = np.broadcast_to(linear_to_lab(np.median(linear, axis=0)), lab.shape)
    return float(delta_e00(lab, middle).mean())
