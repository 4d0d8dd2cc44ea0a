"""The bare edge of a lip between fur and the wet inside of the mouth, with teeth in view."""

import numpy as np

from lesioncompare.phantom.fields import Grid, blend, cells, noise, rough, step
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
from lesioncompare.phantom.sites.teeth import IVORY, Tooth, tooth_depth
from lesioncompare.phantom.subject import Subject

PINK = light(206, 142, 132)
MUCOSA = light(200, 112, 108)
TONGUE = light(176, 96, 96)
OPEN_MM, CORNER_MM = 15.0, 27.0  # how far the mouth gapes, where its corners are
TEETH = (
    Tooth(-12.5, 3.0, 2.6, 0.4),
    Tooth(-9.0, 5.4, 7.5, 1.4),
    Tooth(3.0, 4.4, 3.0, 0.3),
    Tooth(9.5, 6.5, 4.6, 0.3),
    Tooth(17.0, 7.5, 5.0, 0.2),
)


def paint(subject: Subject, grid: Grid) -> Skin:
    """The layers of a lip on ``grid``."""
    across, down = sides(subject)
    a, b = grid.u * np.float32(across), grid.v * np.float32(down)
    rng = np.random.default_rng([subject.seed, 6, round(across + 1), round(down + 1)])
    bend = b - 0.5 * np.sin(a / 9) - np.minimum(a * a, 900) / 110 + 0.25 * rough(rng, grid, 4.0, 3)
    end = step(np.abs(a), 18.0, 32.0)  # towards the corners the lip is furred
    gap, value = cells(rng, grid, a * 1.1, bend * 0.8 + 0.15 * a, 0.75)
    scale = step(gap, 0.0, 0.3)
    crease = rough(rng, grid, 0.7, 3, (1.0, 0.3))
    skin = tint(subject, PINK, grid)
    albedo = skin * (0.92 + 0.08 * scale + 0.05 * (value - 0.5))[..., None]
    wet = step(bend, -4.0, -6.0)
    albedo = blend(albedo, as_flesh(subject, skin, PINK, MUCOSA), wet)
    beyond = -bend - 8.6 - OPEN_MM * (1 - np.minimum((a / CORNER_MM) ** 2, 1))  # upper lip [mm]
    gape = step(bend, -7.6, -9.0) * step(beyond, 0.2, -0.4)
    dim = 0.05 + 0.3 * step(bend, -12.0, -18.0)
    mouth = TONGUE * (dim * np.exp(0.15 * rough(rng, grid, 3.0, 3)))[..., None]
    albedo = blend(albedo, mouth, gape)
    tooth = tooth_depth(TEETH, a, -(bend + 8.6))
    shown = step(tooth, -0.05, 0.12) * step(bend, -7.9, -8.7)
    ivory = IVORY * (0.62 + 0.38 * step(tooth, 0, 1.2))[..., None]
    ivory = ivory * np.exp(-0.08 * step(bend, -10.5, -8.6))[..., None]
    albedo = blend(albedo, ivory, shown)
    fur = np.maximum(step(bend, 4.0, 7.0), end * step(bend, -6.0, -2.0))
    fur = np.maximum(np.maximum(fur, step(beyond, 0.8, 2.6)), step(np.abs(a), 23.0, 28.0))
    coat = coat_pattern(subject, grid)
    albedo = edge_of_fur(subject, albedo, fur, coat)
    dry = 0.03 * scale + 0.045 * crease + 0.006 * noise(rng, grid, 0.13)
    height = blend(dry, 0.02 * crease + 0.06 * rough(rng, grid, 1.6, 2), wet)
    height = height - 0.7 * step(bend, -7.0, -9.5) * step(beyond, 2.0, -4.0)
    height += 1.6 * shown * np.sqrt(np.clip(tooth / 1.6, 0, 1))
    height += 0.7 * np.exp(-(((bend + 4.0) / 2.4) ** 2)) + 0.08 * rough(rng, grid, 4.0, 2)
    gloss = 0.2 + 0.6 * wet * (1 - 0.8 * gape) * step(beyond, 0.0, -2.0) + 1.2 * shown
    bare = step(bend, -3.8, -3.2) * step(bend, 4.4, 3.6) * (1 - end)
    return Skin(albedo, height, gloss, fur, bare, np.zeros_like(a), coat)


def plan(subject: Subject) -> Plan:
    """The lie of the lip."""
    _, down = sides(subject)

    def flow(points: Array) -> Array:
        below = np.where(points[:, 1] * down > -9, 1.0, -1.0)
        return np.arctan2(down * below, points[:, 0] * 0.05 + 0.5)

    mouth = {"mouth": (0.0, down * -13.0, 2.0)}
    return Plan(30.0, 18.0, (0.0, 0.0), down * 90.0, 50.0, 6.0, 1, flow, mouth)
