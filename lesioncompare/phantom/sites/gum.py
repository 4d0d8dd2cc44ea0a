"""The attached gum above a row of teeth: wet, smooth, vessels in the loose mucosa beyond."""

import numpy as np

from lesioncompare.phantom.fields import Grid, blend, noise, rough, step, vessels
from lesioncompare.phantom.sites.base import Array, Plan, Skin, light, sides, tint
from lesioncompare.phantom.sites.teeth import IVORY, tooth_row
from lesioncompare.phantom.subject import Subject

PINK = light(222, 142, 138)
MUCOSA = light(206, 104, 104)
VESSEL = np.array([0.15, 0.6, 0.5], np.float32)
DEEP = light(58, 16, 18)
SPACING, TALL = (7.0, 4.2, 9.0), (4.5, 3.0, 7.5)  # [mm]


def paint(subject: Subject, grid: Grid) -> Skin:
    """The layers of a gum on ``grid``, teeth on the side of the bite."""
    across, down = sides(subject)
    bite = -down  # an upper tooth points down
    a, b = grid.u * np.float32(across), grid.v * np.float32(bite)
    rng = np.random.default_rng([subject.seed, 7, round(across + 1), round(bite + 1)])
    wave = 0.2 * rough(rng, a, b, 3.0, 3)
    teeth = tooth_row(a, b - 5.4, spacing=SPACING, tall=TALL)
    collar = 5.0 + 1.1 * np.cos(2 * np.pi * (a + 3) / 6.7) * 0.6 + wave
    gum = step(collar - b, -0.08, 0.12)
    loose = step(b + wave * 2, -6.0, -8.5)
    albedo = tint(subject, PINK, grid)
    heading = rng.normal(np.pi / 2, 0.6, 16)
    roots = np.column_stack(
        [
            rng.uniform(-22, 22, 16),
            bite * rng.uniform(-20, -14, 16),
            np.arctan2(bite * np.sin(heading), np.cos(heading)),
        ]
    )
    blood = vessels(rng, grid, roots, width_mm=0.28, reach=11.0)
    red = tint(subject, MUCOSA, grid)
    albedo = blend(albedo, red, loose)
    albedo *= np.exp(-(blood * 0.8)[..., None] * VESSEL)
    edge_pink = np.exp(-(((collar - b) / 0.6) ** 2))
    albedo *= np.exp(-edge_pink[..., None] * np.array([0.0, 0.14, 0.12], np.float32))
    tooth = step(teeth, -0.05, 0.15) * (1 - gum)
    shade = 0.72 + 0.28 * step(teeth, 0, 1.1)
    ivory = IVORY * (shade * np.exp(-0.05 * noise(rng, a, b, 1.5)))[..., None]
    stain = np.exp(-np.maximum(b - collar, 0) / 0.7)
    ivory = ivory * np.exp(-stain[..., None] * np.array([0.1, 0.25, 0.5], np.float32))
    behind = np.broadcast_to(DEEP, albedo.shape)
    albedo = blend(blend(behind, ivory, tooth), albedo, gum)
    stipple = 0.010 * noise(rng, a, b, 0.3) + 0.05 * rough(rng, a, b, 1.6, 3)
    bulge = 0.5 * np.sqrt(np.clip((collar - b) / 1.2, 0, 1)) + 0.35 * np.cos(2 * np.pi * a / 6.7)
    dome = 1.0 + 1.4 * np.sqrt(np.clip(teeth / 2.2, 0, 1))
    height = blend(dome * tooth - 1.0 * (1 - tooth), stipple + bulge + 0.8, gum)
    gloss = blend(1.5 * tooth + 0.1, np.full_like(a, 1.0), gum)
    bare = step(collar - b, 0.4, 0.7) * step(b, -11.0, -9.0)
    return Skin(
        albedo,
        height,
        gloss,
        np.zeros_like(a),
        bare,
        np.zeros_like(a),
    )


def plan(subject: Subject) -> Plan:
    """The lie of the gum."""
    _, down = sides(subject)
    mouth = {"tooth": (0.0, -down * 8.0, 2.0)}
    return Plan(28.0, 40.0, (0.0, 0.0), down * 90.0, 35.0, 0.0, landmarks=mouth)
