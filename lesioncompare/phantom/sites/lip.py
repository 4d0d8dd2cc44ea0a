"""The bare edge of a lip between fur and the wet inside of the mouth, with teeth in view."""

import numpy as np

from lesioncompare.phantom.fields import Field, Grid, blend, cells, noise, rough, step
from lesioncompare.phantom.sites.base import COAT, Array, Plan, Skin, light, sides, tint
from lesioncompare.phantom.sites.teeth import IVORY, tooth_row
from lesioncompare.phantom.subject import Subject

PINK = light(206, 136, 126)
MUCOSA = light(204, 104, 100)
DEEP = light(66, 18, 18)


def paint(subject: Subject, grid: Grid) -> Skin:
    """The layers of a lip on ``grid``."""
    across, down = sides(subject)
    a, b = grid.u * np.float32(across), grid.v * np.float32(down)
    rng = np.random.default_rng([subject.seed, 6, round(across + 1), round(down + 1)])
    bend = b - 0.5 * np.sin(a / 9) - a * a / 160 + 0.2 * rough(rng, a, b, 3.0, 3)
    first, second, value = cells(rng, a * 1.1, bend * 0.8 + 0.15 * a, 0.75)
    scale = step(second - first, 0.0, 0.3)
    crease = rough(rng, a, bend * 0.25, 0.7, 3)
    albedo = tint(subject, PINK, grid) * (0.9 + 0.1 * scale + 0.05 * (value - 0.5))[..., None]
    wet = step(bend, -4.2, -5.6)
    albedo = blend(albedo, tint(subject, MUCOSA, grid), wet)
    gape = step(bend, -8.2, -9.4)
    teeth = tooth_row(a, -(bend + 8.6), spacing=(5.2, 3.4, 6.5), tall=(5.0, 2.6, 8.0))
    back = np.broadcast_to(DEEP, albedo.shape) * np.exp(0.2 * crease)[..., None]
    albedo = blend(albedo, back, gape)
    ivory = IVORY * np.exp(-0.06 * np.maximum(noise(rng, a, b, 1.5), 0))[..., None]
    tooth = step(teeth, 0.0, 0.12)
    albedo = blend(albedo, ivory * (0.75 + 0.25 * step(teeth, 0, 0.7))[..., None], tooth)
    under = COAT[subject.coat] * np.float32(0.74)
    albedo = blend(albedo, np.broadcast_to(under, albedo.shape), 0.9 * step(bend, 4.8, 8.0))
    dry = 0.05 * scale + 0.06 * crease + 0.01 * noise(rng, a, b, 0.13)
    height = blend(dry, 0.03 * crease + 0.05 * rough(rng, a, b, 1.2, 2), wet)
    height = height - 1.0 * gape + 1.5 * np.sqrt(np.maximum(np.minimum(teeth, 1.2), 0))
    height += 0.7 * np.exp(-(((bend + 4.0) / 2.2) ** 2))
    gloss = 0.22 + 1.0 * wet * (1 - gape) + 1.2 * tooth
    fur = step(bend, 4.2, 7.0)
    bare = step(bend, -4.0, -3.6) * step(bend, 4.4, 3.8)
    return Skin(
        albedo,
        height,
        gloss,
        fur,
        bare,
        np.zeros_like(a),
    )


def plan(subject: Subject) -> Plan:
    """The lie of the lip."""
    _, down = sides(subject)

    def flow(points: Array) -> Array:
        return np.arctan2(down * 1.0 + 0 * points[:, 0], points[:, 0] * 0.05 + 0.5)

    mouth = {"mouth": (0.0, down * -13.0, 2.0)}
    return Plan(30.0, 18.0, (0.0, 0.0), down * 90.0, 50.0, 6.0, flow, mouth)
