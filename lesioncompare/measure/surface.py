"""Surface measures: the named parts that together make a surface look broken."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from lesioncompare.measure.regions import Regions, sample
from lesioncompare.records import LinearImage, Mask, Scene
from lesioncompare.science.colour import luminance
from lesioncompare.science.surface import density_over, redness, relief, spread, yellowness

# [1] limits on optical density over the skin beside the spot, chosen on phantoms
RAW_RED = 0.40  # redder than inflamed skin
RAW_RED_BESIDE = 0.20  # enough where the tissue is as red as flesh by itself, on red skin
FLESH_RED = 0.75  # log10 of red over green reflectance of raw flesh
RAW_YELLOW = 0.15  # yellower is crust or brown
RAW_DARK = 0.60  # red density; darker is a scab or pigment
CRUST_YELLOW = 0.12  # and yellower than it is dark, which no melanin is
PIGMENT_DARK = 0.25  # luminance density ...
PIGMENT_RED = 0.20  # ... redder is blood
BARE_DARK = 0.10  # luminance density of skin that has lost its pigment
BARE_RED = 0.30
BARE_COLOUR = 0.5  # [skin's red over its darkest channel] less is mirrored light, not bare skin
L_RANGE = 100.0  # [CIELAB] L* of white


def tissue_measures(linear: LinearImage, white: LinearImage) -> Mapping[str, float]:
    """Shares of a spot by what its colour looks like.

    Parameters
    ----------
    linear
        Reflectance of the spot's pixels, shape (n, 3) [1].
    white
        Usual reflectance of the skin beside it, shine and all, as the pixels have theirs, shape
        (3,) [1].

    Notes
    -----
    Blood absorbs green and blue but hardly red, melanin all three and blue the most, dried serum
    blue alone: raw tissue is red without being dark, crust is yellower than it is dark. Pigment
    is broken where pigmented and bare patches share the spot: twice the smaller of both shares.
    Light mirrored by pigment has no colour, which tells it from bare skin.
    """
    density = density_over(linear, white)
    red, yellow = redness(density), yellowness(density)
    dark = np.log10(luminance(white) / np.maximum(luminance(linear), 1e-3))
    flesh = np.log10(np.maximum(linear[:, 0], 1e-3) / np.maximum(linear[:, 1], 1e-3)) > FLESH_RED
    raw = (red > RAW_RED) | (flesh & (red > RAW_RED_BESIDE))
    raw &= (yellow < RAW_YELLOW) & (density[:, 0] < RAW_DARK)
    crust = (yellow > CRUST_YELLOW) & (yellow > dark)
    pigment = (dark > PIGMENT_DARK) & (red < PIGMENT_RED) & ~crust
    colour = linear[:, 0] - np.minimum(linear[:, 1], linear[:, 2])
    coloured = colour >= BARE_COLOUR * (white[0] - white[1:].min())
    bare = ((dark < BARE_DARK) & coloured) | (red > BARE_RED) | crust
    return {
        "raw_red_fraction": float(raw.mean()),
        "crust_fraction": float(crust.mean()),
        "broken_pigment": 2 * float(min(pigment.mean(), bare.mean())),
    }


def unevenness(scene: Scene, regions: Regions) -> NDArray[np.float32]:
    """Lightness of the surface on the scale of roughness, white being 1, shape (h, w) [1]."""
    lightness = np.ascontiguousarray(scene.lab[..., 0]) / np.float32(L_RANGE)
    return relief(lightness, scene.valid & ~regions.glint, scene.pitch_mm)


def gloss_measures(
    uneven: NDArray[np.float32], regions: Regions, core: Mask, shift_mm: float
) -> Mapping[str, float]:
    """Wet glints of the spot, and how much rougher it is than the skin beside it.

    Parameters
    ----------
    uneven
        From ``unevenness``, shape (h, w) [1].
    regions
        What the pixels show.
    core, shift_mm
        The spot's pixels without glints, and how much further off the border they lie [mm].
    """
    seen = regions.seen(shift_mm)
    rough, usual = (spread(sample(uneven, where)) for where in (core, regions.skin))
    return {
        "glint_fraction": float(regions.glint[seen].mean()),
        "roughness": float(np.sqrt(max(0.0, rough**2 - usual**2))),
    }
