"""The attached gum above a row of teeth: wet, smooth, vessels in the loose mucosa beyond."""

import numpy as np

from lesioncompare.phantom.fields import Field, Grid, blend, noise, rough, step, vessels
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

PINK = light(218, 148, 144)
MUCOSA = light(200, 112, 112)
VESSEL = np.array([0.12, 0.5, 0.42], np.float32)  # [1] optical density
MOUTH = light(52, 18, 19)
TEETH = (
    Tooth(-27.0, 3.2, 3.2),
    Tooth(-23.2, 3.4, 3.4),
    Tooth(-15.5, 7.4, 13.0, -1.0),
    Tooth(-6.4, 3.4, 2.6),
    Tooth(0.6, 7.6, 5.2, 0.4),
    Tooth(10.6, 10.2, 7.0, 0.8),
    Tooth(19.0, 4.6, 2.6),
)
COLLAR = 5.4  # [mm] where the gum ends between two teeth


def _collar(a: Field) -> Field:
    """Where the gum ends along the jaw: it draws back over each tooth [mm]."""
    edge = np.full_like(a, COLLAR)
    for tooth in TEETH:
        edge -= 0.24 * tooth.width**0.5 * np.exp(-(((a - tooth.at) / (0.42 * tooth.width)) ** 2))
    return edge


def _swell(a: Field) -> Field:
    """How far roots bulge the gum out [mm]."""
    swell = np.zeros_like(a)
    for tooth in TEETH:
        swell += 0.07 * tooth.width * np.exp(-(((a - tooth.at) / (0.5 * tooth.width)) ** 2))
    return swell


def paint(subject: Subject, grid: Grid) -> Skin:
    """The layers of a gum on ``grid``, teeth on the side of the bite."""
    across, down = sides(subject)
    bite = -down  # an upper tooth points down
    a, b = grid.u * np.float32(across), grid.v * np.float32(bite)
    rng = np.random.default_rng([subject.seed, 7, round(across + 1), round(bite + 1)])
    wave = 0.2 * rough(rng, grid, 3.0, 3)
    tooth = tooth_depth(TEETH, a, b - COLLAR + 0.6)
    inward = _collar(a) + wave - b
    gum = step(inward, -0.08, 0.12)
    loose = step(b + 3 * wave, -5.0, -9.0)
    heading = rng.normal(np.pi / 2, 0.6, 16)
    roots = np.column_stack(
        [
            rng.uniform(-22, 22, 16),
            bite * rng.uniform(-20, -14, 16),
            np.arctan2(bite * np.sin(heading), np.cos(heading)),
        ]
    )
    blood = vessels(rng, grid, roots, width_mm=0.26, reach=11.0)
    skin = tint(subject, PINK, grid)
    albedo = blend(skin, as_flesh(subject, skin, PINK, MUCOSA), 0.85 * loose)
    collar = np.exp(-((inward / 0.6) ** 2))
    red = 0.8 * blood[..., None] * VESSEL + collar[..., None] * [0.0, 0.14, 0.12]
    albedo *= np.exp(-red)
    shown = step(tooth, -0.05, 0.15)
    ivory = IVORY * (0.66 + 0.34 * step(tooth, 0, 1.6))[..., None]
    stain = 0.35 * np.exp(-np.maximum(-inward, 0) / 0.8) + 0.04 * rough(rng, grid, 1.5, 2)
    ivory = ivory * np.exp(-stain[..., None] * [0.25, 0.5, 0.9])
    behind = np.broadcast_to(MOUTH, albedo.shape)
    albedo = blend(blend(behind, ivory, shown), albedo, gum)
    lip = step(b + wave - a * a / 42, -17.0, -21.0)  # the lifted lip
    hidden = blend(albedo, np.broadcast_to(PINK, albedo.shape), lip)
    coat = coat_pattern(subject, grid)
    albedo = edge_of_fur(subject, hidden, lip, coat)
    fine = 0.004 * noise(rng, grid, 0.35) + 0.06 * rough(rng, grid, 2.2, 3)
    bulge = 0.45 * np.sqrt(np.clip(inward / 1.2, 0, 1)) + _swell(a) * step(b, -12.0, 4.0)
    fold = 0.10 * loose * rough(rng, grid, 2.4, 2, (0.35, 1.0))
    dome = (1.0 + 1.6 * np.sqrt(np.clip(tooth / 2.6, 0, 1))) * shown
    height = blend(dome - (1 - shown), fine + bulge + fold + 0.8, gum) * (1 - lip)
    gloss = blend(1.3 * shown + 0.05, 0.5 + 0.1 * loose, gum) * (1 - 0.8 * lip)
    bare = step(inward, 0.5, 0.9) * step(b, -13.0, -11.0) * (1 - step(np.abs(a), 20.0, 24.0))
    return Skin(albedo, height, gloss, step(lip, 0.3, 0.9), bare, np.zeros_like(a), coat)


def plan(subject: Subject) -> Plan:
    """The lie of the gum."""
    across, down = sides(subject)

    def flow(points: Array) -> Array:
        return np.arctan2(down * 1.0 + 0 * points[:, 0], points[:, 0] * 0.04)

    teeth = {"tooth": (across * 0.6, -down * 8.0, 1.5)}
    return Plan(22.0, 40.0, (0.0, 0.0), down * 90.0, 35.0, 5.0, 0, flow, teeth)
