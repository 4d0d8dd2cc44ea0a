"""The inner face of a pinna up to its tip: thin pink skin, vessels, a margin fringed with hair."""

import cv2
import numpy as np

from lesioncompare.phantom.fields import Field, Grid, blend, noise, rough, step, vessels
from lesioncompare.phantom.sites.base import COAT, Array, Plan, Skin, light, sides, tint
from lesioncompare.phantom.subject import Subject

PINK = light(226, 172, 156)
VESSEL = np.array([0.30, 0.75, 0.55], np.float32)  # [1] optical density
TIP_V = -11.0  # [mm]
TIP_ROUND, SPREAD = 4.2, 0.62  # [mm] radius at the tip, [1] slope of the sides
NOTCH = (4.6, -0.35)  # [mm], [rad] where on the margin tissue goes missing


def margin_distance(u: Field, v: Field) -> Field:
    """Distance inwards from the whole ear's margin, first order [mm]."""
    down = v - TIP_V
    level = 2 * TIP_ROUND * down + (SPREAD * down) ** 2 - u * u
    slope = np.hypot(2 * TIP_ROUND + 2 * SPREAD**2 * down, 2 * u)
    return np.where(down > -6, level / np.maximum(slope, 2.0), -6.0 - np.abs(u)).astype(np.float32)


def _margin_u(v: float) -> float:
    down = v - TIP_V
    return float(np.sqrt(2 * TIP_ROUND * down + (SPREAD * down) ** 2))


def notch_distance(subject: Subject, u: Field, v: Field) -> Field:
    """Distance outwards from the missing piece of the margin [mm]; far where nothing is missing."""
    if not subject.margin_loss_mm2:
        return np.full_like(u, 99.0)
    across, _ = sides(subject)
    middle_v = TIP_V + NOTCH[0]
    x, y = u - across * _margin_u(middle_v), v - middle_v
    lumps = 1 + 0.10 * np.sin(5 * np.arctan2(y, x) + subject.seed)
    radius = _notch_radius(subject.margin_loss_mm2, subject.seed, across)
    return (np.hypot(x, y) - radius * lumps).astype(np.float32)


def _notch_radius(area_mm2: float, seed: int, across: float) -> float:
    """Radius of the lumpy disc whose part on the ear has ``area_mm2``, by bisection [mm]."""
    steps = np.arange(-8, 8, 0.02, dtype=np.float32)
    dx, dy = np.meshgrid(steps, steps)
    middle_v = TIP_V + NOTCH[0]
    on_ear = margin_distance(dx + np.float32(across * _margin_u(middle_v)), dy + middle_v) > 0
    size = (np.hypot(dx, dy) / (1 + 0.10 * np.sin(5 * np.arctan2(dy, dx) + seed)))[on_ear]
    count = area_mm2 / 0.02**2
    if count >= size.size / 2:
        raise ValueError("margin_loss_mm2 is more than this ear can lose")
    return float(np.partition(size, round(count))[round(count)])


def paint(subject: Subject, grid: Grid) -> Skin:
    """The layers of an ear tip on ``grid``."""
    u, v = grid.u, grid.v
    across, _ = sides(subject)
    rng = np.random.default_rng([subject.seed, 4, round(across + 1)])
    whole = margin_distance(u, v)
    edge = np.minimum(whole, notch_distance(subject, u, v))
    present = step(edge, -0.06, 0.06)
    roots = np.column_stack(
        [rng.uniform(-9, 9, 7), rng.uniform(10, 20, 7), rng.normal(-np.pi / 2, 0.35, 7)]
    )
    blood = vessels(rng, grid, roots, width_mm=0.5, reach=24.0)
    albedo = tint(subject, PINK, grid)
    albedo *= np.exp(-(0.75 * blood)[..., None] * VESSEL)
    thin = np.exp(-np.maximum(edge, 0) / 1.3)
    albedo *= np.exp(thin[..., None] * np.array([0.06, -0.16, -0.14], np.float32))
    healed = step(notch_distance(subject, u, v), 0.9, 0.1)
    albedo *= np.exp(-healed[..., None] * np.array([0.05, 0.28, 0.25], np.float32))
    creases = rough(rng, u + 0.25 * v, v * 0.2, 0.5, 3)
    height = 0.02 * creases + 0.10 * rough(rng, u, v, 3.0, 2) + 0.012 * noise(rng, u, v, 0.16)
    height += 0.10 * blood + 0.5 * np.exp(-(((edge - 0.4) / 0.5) ** 2))
    deep = step(v, 8.0, 30.0)
    under = COAT[subject.coat] * np.float32(0.8)
    albedo = blend(albedo, np.broadcast_to(under, albedo.shape), 0.6 * deep)
    fur = (0.035 + 0.5 * deep + 0.10 * step(edge, 2.5, 0.3)) * present
    bare = step(edge, 0.5, 0.9) * step(v, 16.0, 12.0)
    gloss = np.full_like(u, 0.14)
    return Skin(
        albedo, height, gloss, fur, bare, 1 - present
    )


def margin_outline(subject: Subject) -> Array:
    """The true margin of the ear as skin points (n, 2), along the tip from side to side [mm]."""
    steps = np.arange(-24, 24, 0.05, dtype=np.float32)
    u, v = np.meshgrid(steps, np.arange(-14, 18, 0.05, dtype=np.float32))
    edge = np.minimum(margin_distance(u, v), notch_distance(subject, u, v))
    lines, _ = cv2.findContours(
        (edge > 0).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE
    )
    line = max(lines, key=len)[:, 0].astype(float)
    points = np.array([steps[0], -14.0]) + 0.05 * line
    return points[(points[:, 1] < 17.8) & (np.abs(points[:, 0]) < 23.8)]


def plan(subject: Subject) -> Plan:
    """The lie of the ear tip."""

    def flow(points: Array) -> Array:
        return np.arctan2(-1.0 + 0 * points[:, 0], points[:, 0] * 0.06)

    def fringe(rng: np.random.Generator, count: int) -> Array:
        line = margin_outline(subject)
        pick = rng.integers(2, len(line) - 2, count)
        root = line[pick] + rng.normal(0, 0.12, (count, 2))
        out = line[pick] - np.array([0.0, 3.0])
        heading = np.arctan2(out[:, 1] * 0.8 - 1.0, out[:, 0]) + rng.normal(0, 0.3, count)
        return np.column_stack([root, heading])

    return Plan(38.0, 60.0, (0.0, 2.0), 90.0, 40.0, 6.0, flow, {}, fringe)
