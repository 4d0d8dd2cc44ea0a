"""The nasal planum from the front: leather of small cobbles, nostrils, the groove between them."""

import numpy as np

from lesioncompare.phantom.fields import Field, Grid, blend, cells, noise, rough, step
from lesioncompare.phantom.sites.base import (
    Array,
    Plan,
    Skin,
    coat_pattern,
    edge_of_fur,
    light,
    tint,
)
from lesioncompare.phantom.subject import Subject

PINK = light(208, 146, 136)
HOLE = light(30, 13, 11)
TOP, BOTTOM = -8.5, 8.0  # [mm] upper edge and lower end of the planum at the midline
NOSTRIL = (7.6, 2.2)  # [mm] middle of the left nostril


def _planum(u: Field, v: Field) -> Field:
    """Signed distance, roughly, inwards from the edge of the bare skin [mm]."""
    across = np.abs(u)
    upper = v - (TOP + across**2 / 46)
    side = 12.6 - across - np.maximum(v - 1.5, 0) * 0.95 - 0.02 * np.maximum(-v - 2, 0) ** 2
    lower = BOTTOM + 1.5 - v - 0.1 * across
    ends = np.stack([upper, side * 0.8, lower])
    return -np.log(np.exp(np.minimum(-1.4 * ends, 60)).sum(axis=0)) / np.float32(1.4)


def _nostril(u: Field, v: Field) -> Field:
    """How far inside a nostril: 1 in the hole, 0 at its edge, comma-shaped."""
    x, y = np.abs(u) - NOSTRIL[0], v - NOSTRIL[1]
    turn = 0.5
    a, b = x * np.cos(turn) + y * np.sin(turn), -x * np.sin(turn) + y * np.cos(turn)
    hole = 1 - np.sqrt((a / 2.7) ** 2 + ((b + 0.09 * a * a) / 1.5) ** 2)
    slit = 1 - np.sqrt(((x - 3.0) / 2.6) ** 2 + ((y + 0.2 + 0.28 * (x - 1.0) ** 2) / 0.55) ** 2)
    return np.maximum(hole, slit * 0.6)


def paint(subject: Subject, grid: Grid) -> Skin:
    """The layers of a nose on ``grid``."""
    u, v = grid.u, grid.v
    rng = np.random.default_rng([subject.seed, 3])
    bend_u, bend_v = (axis + 0.35 * rough(rng, grid, 3.0, 2) for axis in (u, v))
    gap, value = cells(rng, grid, bend_u, bend_v, 0.62)
    cobble = step(gap, 0.0, 0.42)
    edge = _planum(u, v) + 0.22 * rough(rng, grid, 2.5, 3)
    planum = step(edge, -0.7, 0.6)
    inside = _nostril(u, v) - 1.5 * step(edge, 0.9, -0.4)  # the slit ends where fur begins
    hole = step(inside, -0.05, 0.32)
    rim = np.exp(-(((inside + 0.3) / 0.3) ** 2))
    groove = np.exp(-((u / 0.38) ** 2)) * step(v, 1.0, 4.0)
    albedo = tint(subject, PINK, grid)
    albedo *= (1 - 0.16 * (1 - cobble) + 0.07 * (value - 0.5))[..., None]
    albedo *= np.exp(-(0.35 * groove + 0.3 * rim)[..., None] * [0.6, 1.0, 0.95])
    albedo = blend(albedo, np.broadcast_to(HOLE, albedo.shape), hole)
    coat = coat_pattern(subject, grid)
    albedo = edge_of_fur(subject, albedo, step(edge, 0.5, -1.3), coat)
    relief = 0.055 * cobble * (0.6 + 0.8 * value) + 0.05 * rough(rng, grid, 1.8, 2)
    relief += 0.006 * noise(rng, grid, 0.14)
    sunk = 0.4 * groove + 0.6 * step(inside, -0.8, 0.4)
    height = relief * planum - sunk + 0.25 * step(edge, -2.5, 0.8)
    fur = step(edge, 0.55, -1.2) * (1 - hole)
    bare = step(edge, 0.5, 1.0) * step(inside, -0.3, -0.5) * (1 - step(groove, 0.2, 0.5))
    gloss = planum * (0.5 + 0.3 * cobble) * (1 - 0.7 * hole)
    return Skin(albedo, height, gloss, fur, bare, np.zeros_like(u), coat)


def _flow(points: Array) -> Array:
    """Hair runs up the bridge and outwards and down over the muzzle."""
    up = np.clip((-points[:, 1] - 3) / 8, 0, 1)
    outward = np.arctan2(points[:, 1] + 1.0, points[:, 0] * 1.2)
    bridge = np.arctan2(points[:, 1] - 25, points[:, 0] * 0.7)
    blend_x = up * np.cos(bridge) + (1 - up) * np.cos(outward)
    blend_y = up * np.sin(bridge) + (1 - up) * np.sin(outward)
    return np.arctan2(blend_y, blend_x)


def plan(subject: Subject) -> Plan:
    """The lie of the nose."""
    del subject
    holes = {
        "nostril_left": (NOSTRIL[0], NOSTRIL[1], 2.2),
        "nostril_right": (-NOSTRIL[0], NOSTRIL[1], 2.2),
    }
    return Plan(20.0, 26.0, (0.0, -1.0), -90.0, 60.0, 5.0, 2, _flow, holes)
