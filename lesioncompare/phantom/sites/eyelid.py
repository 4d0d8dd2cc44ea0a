"""The lower or upper lid: the wet margin beside the eye, thin-haired skin, then fur."""

import numpy as np

from lesioncompare.phantom.fields import Field, Grid, blend, cells, noise, rough, step
from lesioncompare.phantom.sites.base import COAT, Array, Plan, Skin, light, sides, tint
from lesioncompare.phantom.subject import Subject

PINK = light(212, 156, 142)
RIM = light(196, 112, 104)
IRIS_IN, IRIS_OUT = light(196, 178, 78), light(112, 136, 62)
SCLERA = light(206, 182, 172)
EYE_V = -11.0  # [mm] middle of the eye


def _lids(a: Field, b: Field) -> tuple[Field, Field]:
    """Distance below the near lid's edge, and above the far lid's edge [mm]."""
    near = b - (-4.4 - 6.0 * (a / 11.5) ** 2)
    far = (-18.0 + 6.8 * (a / 11.5) ** 2) - b
    return near * 0.9, far * 0.9


def _iris(rng: np.random.Generator, a: Field, b: Field) -> Field:
    """Colours of the eyeball."""
    x, y = a, b - EYE_V
    away, turn = np.hypot(x, y), np.arctan2(y, x)
    ray = noise(rng, turn * 9, away * 0.5, 0.6) + 0.5 * noise(rng, turn * 25, away * 0.4, 0.6)
    shade = blend(
        np.broadcast_to(IRIS_IN, (*a.shape, 3)),
        np.broadcast_to(IRIS_OUT, (*a.shape, 3)),
        step(away, 3.0, 8.5),
    )
    shade = shade * np.exp(0.16 * ray)[..., None]
    slit = step(1 - np.sqrt((x / 2.1) ** 2 + (y / 7.2) ** 2), -0.04, 0.06)
    shade = shade * (1 - 0.985 * slit)[..., None]
    ring = step(away, 9.2, 9.9)
    return blend(shade, np.broadcast_to(SCLERA * np.float32(0.6), shade.shape), ring)


def paint(subject: Subject, grid: Grid) -> Skin:
    """The layers of a lid on ``grid``."""
    across, down = sides(subject)
    a, b = grid.u * np.float32(across), grid.v * np.float32(down)
    rng = np.random.default_rng([subject.seed, 5, round(across + 1), round(down + 1)])
    wave = 0.12 * rough(rng, a, b, 2.5, 3)
    near, far = _lids(a, b)
    near, far = near + wave, far + wave
    outside = np.where((near > 0) | (far > 0), np.maximum(near, far), np.maximum(near, far))
    lid = step(outside, -0.05, 0.08)
    rim = lid * step(outside, 1.5, 0.9)
    first, second, _ = cells(rng, a + 0.2 * wave, b * 1.6, 0.7)
    scale = step(second - first, 0.0, 0.35)
    wrinkle = rough(rng, a * 0.22, b, 0.55, 3)
    albedo = tint(subject, PINK, grid) * (0.9 + 0.1 * scale)[..., None]
    red = tint(subject, RIM, grid)
    glands = np.exp(-(((outside - 0.55) / 0.14) ** 2)) * step(np.cos(a * 5.2 + wave), 0.75, 0.95)
    albedo = blend(albedo, red * (1 + 0.25 * glands)[..., None], rim)
    fur = step(outside, 6.5, 11.5) + 0.05 * step(outside, 1.6, 3.0)
    under = COAT[subject.coat] * np.float32(0.75)
    albedo = blend(albedo, np.broadcast_to(under, albedo.shape), 0.85 * step(outside, 7.5, 12.0))
    eye = _iris(rng, a, b) * (0.35 + 0.65 * step(outside, 0.0, -2.6))[..., None]
    albedo = blend(eye, albedo, lid)
    height = 0.05 * scale + 0.06 * wrinkle + 0.012 * noise(rng, a, b, 0.14)
    height = height * step(outside, 0.8, 1.8) - 0.8 * np.exp(-np.maximum(outside, 0) / 0.5)
    dome = 3.2 * np.sqrt(np.maximum(1 - (a**2 + (b - EYE_V) ** 2) / 15.0**2, 0.0))
    height = blend(dome, height, lid)
    gloss = blend(np.full_like(a, 1.6), 0.13 + 0.8 * rim, lid)
    bare = step(outside, 0.4, 0.7) * step(outside, 8.5, 7.5)
    return Skin(
        albedo,
        height,
        gloss,
        fur,
        bare,
        np.zeros_like(a),
    )


def plan(subject: Subject) -> Plan:
    """The lie of the lid."""
    across, down = sides(subject)

    def flow(points: Array) -> Array:
        return np.arctan2(points[:, 1] - down * EYE_V, points[:, 0] + across * 9.0)

    eye = {"pupil": (0.0, down * EYE_V, 2.0)}
    return Plan(26.0, 22.0, (0.0, 0.0), down * 90.0, 55.0, 5.5, flow, eye)
