"""The nasal planum from the front: leather of small cobbles, nostrils, the groove between them."""

import numpy as np

from lesioncompare.phantom.fields import Field, Grid, blend, cells, noise, rough, step
from lesioncompare.phantom.sites.base import COAT, Array, Plan, Skin, light, tint
from lesioncompare.phantom.subject import Subject

PINK = light(208, 136, 126)
HOLE = light(34, 14, 12)
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
    """How far inside a nostril: 1 in the hole, 0 outside, comma-shaped."""
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
    bend_u = u + 0.35 * rough(rng, u, v, 3.0, 2)
    bend_v = v + 0.35 * rough(rng, u, v, 3.0, 2)
    first, second, value = cells(rng, bend_u, bend_v, 0.62)
    gap = second - first
    cobble = step(gap, 0.0, 0.42)
    edge = _planum(u, v) + 0.25 * rough(rng, u, v, 2.0, 3)
    planum = step(edge, -0.5, 0.5)
    inside = _nostril(u, v)
    hole = step(inside, -0.05, 0.32)
    rim = np.exp(-(((inside + 0.25) / 0.28) ** 2))
    groove = np.exp(-((u / 0.38) ** 2)) * step(v, -0.5, 2.5)
    albedo = tint(subject, PINK, grid)
    albedo *= (1 - 0.20 * (1 - cobble) + 0.07 * (value - 0.5))[..., None]
    albedo *= (1 - 0.3 * groove - 0.22 * np.clip(rim, 0, 1))[..., None]
    albedo = blend(albedo, np.broadcast_to(HOLE, albedo.shape), hole)
    under = COAT[subject.coat] * np.float32(0.72) * np.exp(0.08 * noise(rng, u, v, 3.0))[..., None]
    fade = blend(albedo * np.float32(0.92), under, step(edge, -0.3, -2.5))
    albedo = blend(fade, albedo, planum)
    height = 0.085 * cobble * (0.7 + 0.6 * value) + 0.05 * rough(rng, u, v, 1.8, 2)
    height = height + 0.01 * noise(rng, u, v, 0.12) - 0.45 * groove - 0.55 * step(inside, -0.7, 0.4)
    height = height * planum + 0.3 * step(edge, -2.5, 0.8)
    fur = step(edge, 0.1, -1.4) * (1 - hole)
    bare = step(edge, 0.3, 0.8) * step(inside, -0.25, -0.45) * (1 - step(groove, 0.2, 0.5))
    gloss = (0.75 * planum * (0.55 + 0.45 * cobble) * (1 - 0.7 * hole)).astype(np.float32)
    return Skin(albedo, height, gloss, fur, bare, np.zeros_like(u))


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
    return Plan(20.0, 26.0, (0.0, -1.0), -90.0, 60.0, 5.0, _flow, holes)
