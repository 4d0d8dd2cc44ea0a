"""What a patch of skin looks like: optical density, hair, wet glints and roughness.

Reflectance is linear light, shape (h, w, 3). Everything is relative to the skin beside the spot, so
that exposure and the colour of the light cancel.
"""

from functools import reduce
from typing import TypeAlias

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from lesioncompare.science.colour import luminance

Field: TypeAlias = NDArray[np.float32]  # (h, w)
Linear: TypeAlias = NDArray[np.float32]  # (h, w, 3) or (n, 3)
Mask: TypeAlias = NDArray[np.bool_]  # (h, w)

DARKEST = 0.002  # [1] reflectance; a camera's black, keeps the logarithm finite
LEAST_SHINE = 0.007  # [1] reflectance; even a matt surface mirrors a little
SHINE_SHARE = 0.5  # [1] of the mirrored light found, its standard uncertainty
MATT_SHARE = 0.1  # [1] of a surface's pixels are taken to mirror next to nothing ...
DARK_SHARE = 0.05  # [1] ... and it is no darker than so many of them; all chosen on phantoms
LEAST_COLOUR = 0.3  # [1] of the usual colour; a pixel with less is all shine or noise
FAINT_COLOUR = 0.15  # [darkest channel] red above it, below which colour says nothing of shine
COARSE_MM = 0.05  # [mm] hair is looked for on this grid: half of a thin hair
HAIR_WIDTH_MM = 0.7  # [mm] wider than a whisker (0.1 to 0.3 mm) and its blur
HAIR_LENGTH_MM = 1.6  # [mm] straight and longer than a glint or a crease of skin
HAIR_RISE = 0.25  # [skin luminance] chosen on phantoms
HAIR_DIRECTIONS = 12  # [1] every 15 degrees
GLINT_WIDTH_MM = 0.6  # [mm] the widest glint of a wet surface; broader shine is light, not gloss
GLINT_RISE = 0.5  # [skin luminance] white light added on top; chosen on phantoms
# [1] wave number times sigma at which a Gaussian, and what it leaves, has half the power
KEPT_HALF = float(np.sqrt(np.log(2)))
LEFT_HALF = float(np.sqrt(-2 * np.log(1 - np.sqrt(0.5))))
BAND_MM = (0.2, 1.0)  # [mm] wavelengths that make a surface look rough at this scale


def density_over(linear: ArrayLike, reference: ArrayLike) -> NDArray[np.float32]:
    """Optical density above that of a reference, log10(reference / light), per channel [1].

    Parameters
    ----------
    linear
        Linear light, shape (..., 3) [1].
    reference
        Linear light of the reference, shape (3,) [1].

    Notes
    -----
    Density is -log10 R; its difference between two patches under one light does not depend on
    exposure nor, channel by channel, on white balance.
    """
    light = np.maximum(np.asarray(linear, np.float32), DARKEST)
    return np.log10(np.maximum(np.asarray(reference, np.float32), DARKEST) / light)


def matt_light(linear: Linear) -> Linear:
    """Reflectance of a surface under what shine lies over it, shape (3,) [1].

    Parameters
    ----------
    linear
        Reflectance of its pixels, shape (n, 3) [1].

    Notes
    -----
    Mirrored light only ever adds, and to all channels alike (dichromatic reflection, Shafer 1985,
    doi:10.1002/col.5080100409): red less the darkest channel is free of it, while the darkest
    channel as a share of that grows with it. The surface has the share of its least veiled tenth
    of pixels, and what the middle of all pixels lies above that is taken off. A surface without
    colour says nothing by this: there the darker half is looked at.
    """
    middle, mirrored, coloured = _veil(linear)
    darkest = reduce(np.minimum, linear.T)
    dark = np.median(linear[darkest <= np.median(darkest)], axis=0)
    matt = coloured * (middle - mirrored) + (1 - coloured) * dark
    return np.asarray(np.maximum(matt, DARKEST), np.float32)


def shine(linear: Linear) -> float:
    """Standard uncertainty of the mirrored light that ``matt_light`` takes off a surface [1].

    Of that light itself a share, and a least amount: even a matt surface mirrors a little. Seen
    on phantoms photographed twice.
    """
    _, mirrored, coloured = _veil(linear)
    return float(np.hypot(LEAST_SHINE, SHINE_SHARE * coloured * mirrored))


def _veil(linear: Linear) -> tuple[NDArray[np.float64], float, float]:
    """Middle of the pixels (3,), mirrored light in it, and how far its colour tells that [1]."""
    light = np.asarray(linear, np.float64)
    darkest = np.minimum(light[:, 1], light[:, 2])
    colour = light[:, 0] - darkest
    *middle, level, typical = _middle(np.column_stack([light, darkest, colour]))
    if typical <= DARKEST:
        return np.array(middle), 0.0, 0.0
    some = colour > LEAST_COLOUR * typical
    share = np.quantile(darkest[some] / colour[some], MATT_SHARE)
    mirrored = np.clip(level - share * typical, 0, level - np.quantile(darkest, DARK_SHARE))
    tells = (typical / max(level, DARKEST)) ** 2
    return np.array(middle), float(mirrored), tells / (tells + FAINT_COLOUR**2)


def _middle(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Mean of the middle half of each column, steadier than a median."""
    quarter = len(values) // 4
    return np.asarray(np.sort(values, axis=0)[quarter : len(values) - quarter].mean(axis=0))


def redness(density: ArrayLike) -> NDArray[np.float32]:
    """How much redder than the reference, green minus red density, shape (...) [1].

    Notes
    -----
    The erythema index of Diffey, Oliver & Farr (1984), Br J Dermatol 111:663-672, without its
    factor of 100; a camera's channels are broad, so only differences mean something.
    """
    values = np.asarray(density, np.float32)
    return np.asarray(values[..., 1] - values[..., 0])


def yellowness(density: ArrayLike) -> NDArray[np.float32]:
    """How much yellower than the reference, blue minus green density, shape (...) [1]."""
    values = np.asarray(density, np.float32)
    return np.asarray(values[..., 2] - values[..., 1])


def light_hairs(linear: Linear, pitch_mm: float, skin_luminance: float) -> Mask:
    """Where light hairs and whiskers cross the picture.

    Parameters
    ----------
    linear
        Reflectance, shape (h, w, 3) [1].
    pitch_mm
        Grid step [mm].
    skin_luminance
        Luminance of the bare skin [1].

    Notes
    -----
    Greyscale openings: what is narrower than a disc and yet holds a straight line (Soille 2003,
    Morphological Image Analysis, 2nd edition). Curls tighter than the line are missed.
    """
    height, width = linear.shape[:2]
    light, step = _shrunk(luminance(linear), pitch_mm)
    narrow = cv2.morphologyEx(light, cv2.MORPH_TOPHAT, _disc(HAIR_WIDTH_MM / step))
    length = HAIR_LENGTH_MM / step
    risen = (narrow > HAIR_RISE * skin_luminance).astype(np.uint8)
    hair = np.zeros_like(risen)
    for angle in np.arange(HAIR_DIRECTIONS) * np.pi / HAIR_DIRECTIONS:
        hair |= cv2.morphologyEx(risen, cv2.MORPH_OPEN, _line(length, angle))
    wide = cv2.dilate(hair, np.ones((3, 3), np.uint8))
    return np.asarray(cv2.resize(wide, (width, height), interpolation=cv2.INTER_NEAREST) > 0)


def glints(linear: Linear, pitch_mm: float, skin_luminance: float) -> Mask:
    """Where a wet surface mirrors the light: small spots of added white.

    Parameters
    ----------
    linear, pitch_mm, skin_luminance
        As for ``light_hairs``.

    Notes
    -----
    Mirrored light keeps the lamp's colour, so it raises the darkest channel as much as the others
    (dichromatic reflection, Shafer 1985, doi:10.1002/col.5080100409); a lighter patch of skin
    or red tissue does not.
    """
    whitish = cv2.min(cv2.min(linear[..., 0], linear[..., 1]), linear[..., 2])
    small, step = _shrunk(whitish, pitch_mm)
    under = cv2.morphologyEx(small, cv2.MORPH_OPEN, _disc(GLINT_WIDTH_MM / step))
    height, width = whitish.shape
    under = cv2.resize(under, (width, height), interpolation=cv2.INTER_LINEAR)
    return np.asarray(whitish - under > GLINT_RISE * skin_luminance)


def _shrunk(values: Field, pitch_mm: float) -> tuple[Field, float]:
    """The picture on a grid no finer than needed to tell hair and glints from broader light."""
    height, width = values.shape
    shrink = min(1.0, pitch_mm / COARSE_MM)
    size = (max(1, round(width * shrink)), max(1, round(height * shrink)))
    small = cv2.resize(values, size, interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.float32), pitch_mm / shrink


def _disc(diameter_px: float) -> NDArray[np.uint8]:
    """A round structuring element of odd size."""
    size = max(3, 2 * round(diameter_px / 2) + 1)
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size)))


def _line(length_px: float, angle_rad: float) -> NDArray[np.uint8]:
    """A straight structuring element of odd size."""
    half = max(1, round(length_px / 2))
    dx, dy = round(half * np.cos(angle_rad)), round(half * np.sin(angle_rad))
    element = np.zeros((2 * half + 1, 2 * half + 1), np.uint8)
    cv2.line(element, (half - dx, half - dy), (half + dx, half + dy), 1)
    return element


def relief(lightness: Field, usable: Mask, pitch_mm: float) -> Field:
    """Lightness between wavelengths of 0.2 and 1 mm, shape (h, w) [unit of the lightness].

    Parameters
    ----------
    lightness
        Lightness L*, whose steps look equal on dark and on light skin, shape (h, w).
    usable
        True where the surface is seen, shape (h, w); the rest is bridged from around it.
    pitch_mm
        Grid step [mm].

    Notes
    -----
    A difference of Gaussians whose half-power wavelengths are the ends of the band; the sum over
    usable pixels is divided by the sum of weights (normalised convolution, Knutsson & Westin
    1993, doi:10.1109/CVPR.1993.341081).
    """
    per_mm = 2 * np.pi * pitch_mm
    fine = _blurred(lightness, usable, KEPT_HALF * BAND_MM[0] / per_mm)
    coarse = _blurred(lightness, usable, LEFT_HALF * BAND_MM[1] / per_mm)
    return np.asarray(fine - coarse, np.float32)


def _blurred(values: Field, usable: Mask, sigma_px: float) -> Field:
    """Gaussian mean over usable pixels, shape (h, w)."""
    weight = usable.astype(np.float32)
    total = cv2.GaussianBlur(values * weight, (0, 0), max(sigma_px, 0.3))
    count = cv2.GaussianBlur(weight, (0, 0), max(sigma_px, 0.3))
    return np.asarray(total / np.maximum(count, 1e-3), np.float32)


def spread(values: NDArray[np.floating]) -> float:
    """Robust standard deviation: 1.4826 median absolute deviations."""
    return float(1.4826 * np.median(np.abs(values - np.median(values))))
