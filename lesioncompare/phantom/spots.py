"""A spot's exact border, its cover, and what the skin looks like inside it."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import erf

from lesioncompare.phantom.fields import Field, Grid, blend, cells, noise, rough, step
from lesioncompare.phantom.subject import Spot

Array = NDArray[np.float64]
HARMONICS = np.arange(2, 17)  # lobes round the border
DIRECTIONS = 1440  # sampled directions round the border
PROFILE = 2.563  # [1] 10-90 % width of an error function in sigmas (2 * 1.2816)
# [1] optical density of a dense macule over skin in R, G, B: melanin absorbs blue more, but pink
# skin has less blue to lose; chosen to look right
MELANIN = np.array([1.72, 1.74, 1.66], np.float32)
BLOOD = np.array([0.10, 0.62, 0.52], np.float32)  # [1] the same for a reddened patch
RAW = np.array([0.42, 0.055, 0.045], np.float32)  # [1] reflectance of raw tissue
CRUST = np.array([0.27, 0.145, 0.07], np.float32)  # [1] dried serum
SCAB = np.array([0.085, 0.022, 0.016], np.float32)  # [1] dried blood


@dataclass(frozen=True, slots=True, eq=False)
class Border:
    """The border as radius [mm] over ``DIRECTIONS`` equal steps of direction from +x towards +y."""

    radius: Array
    slope: Array  # d radius / d direction


@lru_cache(maxsize=64)
def border(spot: Spot) -> Border:
    """The line of half cover, scaled so that the area it encloses is the spot's own."""
    rng = np.random.default_rng([spot.seed, 11])
    theta = np.linspace(0, 2 * np.pi, DIRECTIONS, endpoint=False)
    along = theta - np.radians(spot.turn_deg)
    long, short = spot.aspect**0.5, spot.aspect**-0.5
    ellipse = 1 / np.hypot(np.cos(along) / long, np.sin(along) / short)
    strength = HARMONICS**-1.7 * rng.rayleigh(1.0, len(HARMONICS))
    strength /= np.sqrt((strength**2).sum() / 2)
    phases = rng.uniform(0, 2 * np.pi, len(HARMONICS))
    wobble = np.cos(theta[:, None] * HARMONICS + phases) @ strength
    radius = ellipse * np.exp(spot.irregularity * wobble)
    area = np.pi * (radius**2).mean()
    radius *= np.sqrt(spot.rest_area_mm2 / area)
    spectrum = np.fft.rfft(radius) * 1j * np.arange(DIRECTIONS // 2 + 1)
    return Border(radius, np.fft.irfft(spectrum, DIRECTIONS))


def outline_mm(spot: Spot, count: int = 360) -> Array:
    """The border as ``count`` body-fixed skin points (n, 2), evenly spread in direction [mm]."""
    pick = np.linspace(0, DIRECTIONS, count, endpoint=False)
    theta = pick * 2 * np.pi / DIRECTIONS
    ring = np.append(border(spot).radius, border(spot).radius[0])
    radius = np.interp(pick, np.arange(DIRECTIONS + 1), ring)
    middle = np.array([spot.x_mm, spot.y_mm])
    return middle + radius[:, None] * np.column_stack([np.cos(theta), np.sin(theta)])


def reach_mm(spot: Spot) -> float:
    """Largest distance of the border from the spot's middle [mm]."""
    return float(border(spot).radius.max())


def inward(spot: Spot, u: Field, v: Field) -> Field:
    """Signed distance inwards from the border, first order (exact at the border) [mm]."""
    line = border(spot)
    x, y = u - np.float32(spot.x_mm), v - np.float32(spot.y_mm)
    place = np.mod(np.arctan2(y, x) * (DIRECTIONS / (2 * np.pi)), DIRECTIONS)
    low = np.minimum(place.astype(np.intp), DIRECTIONS - 1)
    share = (place - low).astype(np.float32)
    high = (low + 1) % DIRECTIONS
    radius32, slope32 = line.radius.astype(np.float32), line.slope.astype(np.float32)
    radius = radius32[low] * (1 - share) + radius32[high] * share
    slope = slope32[low] * (1 - share) + slope32[high] * share
    lean = radius / np.sqrt(radius**2 + slope**2)
    return (radius - np.sqrt(x * x + y * y)) * lean


def cover(spot: Spot, u: Field, v: Field) -> Field:
    """Share of the skin's light that comes from the spot: 1/2 on the border, erf across it."""
    sigma = spot.edge_mm / PROFILE
    return 0.5 + 0.5 * erf(inward(spot, u, v) / np.float32(sigma * 2**0.5)).astype(np.float32)


@dataclass(frozen=True, slots=True, eq=False)
class Inside:
    """What lies under full cover: reflectance, relief [mm] and gloss on the grid it was asked."""

    albedo: Field
    height: Field
    gloss: Field

    def __post_init__(self) -> None:
        for layer in ("albedo", "height", "gloss"):
            plain = np.ascontiguousarray(getattr(self, layer), np.float32)
            object.__setattr__(self, layer, plain)


def inside(spot: Spot, grid: Grid, skin: Field, gloss: Field, wet: float) -> Inside:
    """The spot's own surface on ``grid``, over skin of reflectance ``skin`` (h, w, 3).

    ``gloss`` is the skin's own; ``wet`` the subject's wetness, for an ulcer's.
    """
    rng = np.random.default_rng([spot.seed, 12])
    make = {"pigment": _pigment, "inflamed": _inflamed, "ulcer": _ulcer}[spot.kind]
    own = make(rng, spot, grid, skin, gloss)
    return replace(own, gloss=own.gloss * wet) if spot.kind == "ulcer" else own


def _pigment(rng: np.random.Generator, spot: Spot, grid: Grid, skin: Field, gloss: Field) -> Inside:
    density = 1 + 0.13 * rough(rng, grid, 0.9, 3) + 0.04 * noise(rng, grid, 0.12)
    deep = np.clip(density, 0.4, 1.6)[..., None] * (spot.contrast * MELANIN)
    return Inside(skin * np.exp(-deep), np.zeros_like(gloss), gloss)


def _inflamed(
    rng: np.random.Generator, spot: Spot, grid: Grid, skin: Field, gloss: Field
) -> Inside:
    density = 1 + 0.2 * rough(rng, grid, 1.3, 3)
    deep = np.clip(density, 0.2, 2)[..., None] * (spot.contrast * BLOOD)
    swell = 0.05 * step(inward(spot, grid.u, grid.v), -0.3, 0.8)
    return Inside(skin * np.exp(-deep), swell, gloss * np.float32(1.2))


def _ulcer(rng: np.random.Generator, spot: Spot, grid: Grid, skin: Field, gloss: Field) -> Inside:
    del gloss
    depth = inward(spot, grid.u, grid.v) / np.float32(spot.diameter_mm / 2)
    gap, _ = cells(rng, grid, grid.u, grid.v, 0.30)
    grain = step(gap, 0.0, 0.5)
    mottle = rough(rng, grid, 1.0, 4)
    crust = step(rough(rng, grid, 1.5, 4) + 0.7 * step(depth, 0.5, 0.0), 0.6, 1.0)
    scab = step(rough(rng, grid, 0.9, 3), 1.15, 1.5)
    left = 0.85 * step(rough(rng, grid, 1.1, 3) + 1.1 * step(depth, 0.35, 0.02), 1.2, 1.5)
    raw = RAW * (np.exp(0.22 * mottle) * (0.8 + 0.25 * grain))[..., None]
    tone = CRUST * np.exp(0.25 * rough(rng, grid, 0.35, 2))[..., None]
    albedo = blend(raw, tone, crust)
    albedo = blend(albedo, np.broadcast_to(SCAB, albedo.shape), scab)
    albedo = blend(albedo, skin * np.exp(-0.8 * MELANIN), left)
    albedo = skin * (albedo / np.maximum(skin, 1e-3)) ** np.float32(min(spot.contrast, 1.5))
    rim = np.exp(-(((depth - 0.03) / 0.16) ** 2))
    height = 0.08 * rim - 0.12 * step(depth, 0.0, 0.35) + 0.025 * grain
    height += 0.09 * crust + 0.035 * mottle * (0.5 + crust)
    shine = np.float32(1.1) * (1 - 0.92 * crust) * (1 - 0.5 * scab)
    return Inside(albedo, height, shine)
