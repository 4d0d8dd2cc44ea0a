"""The lower or upper lid: the wet margin beside the eye, thin-haired skin, then fur."""

from dataclasses import replace

import numpy as np

from lesioncompare.phantom.fields import Field, Grid, blend, cells, noise, rough, step
from lesioncompare.phantom.sites.base import (
    Array,
    Plan,
    Skin,
    as_flesh,
    coat_pattern,
    edge_of_fur,
    light,
    sides,
    tint,
)
from lesioncompare.phantom.subject import Subject

PINK = light(212, 160, 146)
RIM = light(194, 118, 110)
IRIS_IN, IRIS_OUT = light(190, 172, 84), light(108, 128, 66)
WHITE_OF_EYE = light(160, 140, 130)
EYE_V = -11.0  # [mm] middle of the eye


def _outside(a: Field, b: Field) -> Field:
    """Distance outwards from the opening between the lids [mm]."""
    near = b - (-4.4 - 6.0 * (a / 11.5) ** 2)
    far = (-18.0 + 6.8 * (a / 11.5) ** 2) - b
    return 0.9 * np.maximum(near, far)


def _eyeball(rng: np.random.Generator, grid: Grid, a: Field, b: Field) -> Field:
    """Colours of the eye."""
    x, y = a, b - EYE_V
    away, turn = np.hypot(x, y), np.arctan2(y, x)
    rays = replace(grid, u=turn * 9, v=away * 0.5)
    ray = noise(rng, rays, 0.6) + 0.5 * noise(rng, replace(rays, u=turn * 25), 0.6)
    iris = blend(
        np.broadcast_to(IRIS_IN, (*a.shape, 3)),
        np.broadcast_to(IRIS_OUT, (*a.shape, 3)),
        step(away, 3.0, 8.5),
    )
    iris = iris * np.exp(0.16 * ray)[..., None]
    slit = step(1 - np.sqrt((x / 2.1) ** 2 + (y / 7.2) ** 2), -0.04, 0.06)
    iris = iris * (1 - 0.985 * slit)[..., None]
    return blend(iris, np.broadcast_to(WHITE_OF_EYE, iris.shape), step(away, 9.2, 9.9))


def paint(subject: Subject, grid: Grid) -> Skin:
    """The layers of a lid on ``grid``."""
    across, down = sides(subject)
    a, b = grid.u * np.float32(across), grid.v * np.float32(down)
    rng = np.random.default_rng([subject.seed, 5, round(across + 1), round(down + 1)])
    wave = 0.12 * rough(rng, grid, 2.5, 3)
    outside = _outside(a, b) + wave
    lid = step(outside, -0.05, 0.08)
    rim = lid * step(outside, 1.5, 0.9)
    gap, _ = cells(rng, grid, a + 0.2 * wave, b * 1.6, 0.7)
    scale = step(gap, 0.0, 0.35)
    wrinkle = rough(rng, grid, 0.6, 3, (0.3, 1.0))
    skin = tint(subject, PINK, grid)
    albedo = skin * (0.92 + 0.08 * scale)[..., None]
    glands = np.exp(-(((outside - 0.55) / 0.14) ** 2)) * step(np.cos(a * 5.2 + wave), 0.75, 0.95)
    red = as_flesh(subject, skin, PINK, RIM) * (1 + 0.25 * glands)[..., None]
    albedo = blend(albedo, red, rim)
    coat = coat_pattern(subject, grid)
    albedo = edge_of_fur(subject, albedo, 0.9 * step(outside, 5.5, 11.0), coat)
    eye = _eyeball(rng, grid, a, b) * (0.35 + 0.65 * step(outside, 0.0, -2.6))[..., None]
    albedo = blend(eye, albedo, lid)
    relief = 0.03 * scale + 0.045 * wrinkle + 0.006 * noise(rng, grid, 0.14)
    relief += 0.12 * rough(rng, grid, 4.0, 2)
    height = relief * step(outside, 0.8, 1.8) - 0.6 * np.exp(-np.maximum(outside, 0) / 0.8)
    dome = 3.2 * np.sqrt(np.maximum(1 - (a**2 + (b - EYE_V) ** 2) / 15.0**2, 0.0))
    height = blend(dome, height, lid)
    fur = 0.97 * step(outside, 5.2, 10.5) + 0.02 * step(outside, 1.6, 3.0)
    bare = step(outside, 0.4, 0.7) * step(outside, 7.5, 6.5)
    gloss = blend(np.full_like(a, 1.6), 0.15 + 0.5 * rim, lid)
    return Skin(albedo, height, gloss, fur, bare, np.zeros_like(a), coat)


def plan(subject: Subject) -> Plan:
    """The lie of the lid."""
    across, down = sides(subject)

    def flow(points: Array) -> Array:
        return np.arctan2(points[:, 1] - down * EYE_V, points[:, 0] + across * 9.0)

    eye = {"pupil": (0.0, down * EYE_V, 2.0)}
    return Plan(26.0, 22.0, (0.0, 0.0), down * 90.0, 55.0, 5.5, 0, flow, eye)
