"""The inner face of a pinna up to its tip: thin pink skin, vessels, a margin fringed with hair."""

import cv2
import numpy as np

from lesioncompare.phantom.fields import Field, Grid, noise, rough, step, vessels
from lesioncompare.phantom.sites.base import (
    Array,
    Plan,
    Skin,
    coat_pattern,
    edge_of_fur,
    light,
    sides,
    tint,
)
from lesioncompare.phantom.subject import Subject

PINK = light(224, 174, 158)
VESSEL = np.array([0.22, 0.60, 0.45], np.float32)  # [1] optical density
TIP_V = -11.0  # [mm]
TIP_ROUND, SPREAD = 4.2, 0.62  # [mm] radius at the tip, [1] slope of the sides
NOTCH_DOWN = 4.6  # [mm] below the tip, where the margin loses tissue
LUMPS = 0.10  # [1] how lumpy the missing piece is
LINE_PITCH = 0.05  # [mm] grid on which the true margin is followed


def margin_distance(u: Field, v: Field) -> Field:
    """Distance inwards from the whole ear's margin, first order [mm]."""
    down = v - TIP_V
    level = 2 * TIP_ROUND * down + (SPREAD * down) ** 2 - u * u
    slope = np.hypot(2 * TIP_ROUND + 2 * SPREAD**2 * down, 2 * u)
    return np.where(down > -6, level / np.maximum(slope, 2.0), -6.0 - np.abs(u)).astype(np.float32)


def _notch_at(subject: Subject) -> tuple[float, float]:
    """Point of the whole margin round which tissue goes missing [mm]."""
    across, _ = sides(subject)
    half = np.sqrt(2 * TIP_ROUND * NOTCH_DOWN + (SPREAD * NOTCH_DOWN) ** 2)
    return across * float(half), TIP_V + NOTCH_DOWN


def _lumpy(x: Field, y: Field, seed: int) -> Field:
    """Distance from the notch's middle in a measure that makes its edge lumpy [mm]."""
    return np.hypot(x, y) / (1 + LUMPS * np.sin(5 * np.arctan2(y, x) + seed))


def notch_distance(subject: Subject, u: Field, v: Field) -> Field:
    """Distance outwards from the missing piece of the margin [mm]; far where nothing is missing."""
    if not subject.margin_loss_mm2:
        return np.full_like(u, 99.0)
    x, y = _notch_at(subject)
    return _lumpy(u - x, v - y, subject.seed) - _notch_radius(subject)


def _notch_radius(subject: Subject) -> float:
    """Radius of the lumpy disc whose part on the ear has the missing area [mm]."""
    pitch = 0.02
    steps = np.arange(-8, 8, pitch)
    dx, dy = np.meshgrid(steps, steps)
    x, y = _notch_at(subject)
    size = _lumpy(dx, dy, subject.seed)[margin_distance(dx + x, dy + y) > 0]
    count = round(subject.margin_loss_mm2 / pitch**2)
    if count >= size.size / 2:
        raise ValueError("margin_loss_mm2 is more than this ear can lose")
    return float(np.partition(size, count)[count])


def paint(subject: Subject, grid: Grid) -> Skin:
    """The layers of an ear tip on ``grid``."""
    u, v = grid.u, grid.v
    across, _ = sides(subject)
    rng = np.random.default_rng([subject.seed, 4, round(across + 1)])
    gone = notch_distance(subject, u, v)
    edge = np.minimum(margin_distance(u, v), gone)
    present = step(edge, -0.06, 0.06)
    roots = np.column_stack(
        [rng.uniform(-9, 9, 7), rng.uniform(10, 20, 7), rng.normal(-np.pi / 2, 0.35, 7)]
    )
    blood = vessels(rng, grid, roots, width_mm=0.5, reach=24.0)
    albedo = tint(subject, PINK, grid)
    thin = np.exp(-np.maximum(edge, 0) / 1.3)
    healed = step(gone, 0.9, 0.1)
    red = 0.75 * blood[..., None] * VESSEL + thin[..., None] * [-0.06, 0.16, 0.14]
    albedo *= np.exp(-red - healed[..., None] * [0.05, 0.28, 0.25])
    creases = rough(rng, grid, 0.5, 3, (1.0, 0.3))
    height = 0.012 * creases + 0.08 * rough(rng, grid, 3.0, 2) + 0.006 * noise(rng, grid, 0.16)
    height += 0.06 * blood + 0.5 * np.exp(-(((edge - 0.4) / 0.5) ** 2))
    deep = step(v, 7.0, 26.0)
    coat = coat_pattern(subject, grid)
    albedo = edge_of_fur(subject, albedo, 0.8 * deep, coat)
    fur = (0.02 + 0.78 * deep**1.5 + 0.12 * step(edge, 1.6, 0.2)) * present
    bare = step(edge, 0.5, 0.9) * step(v, 14.0, 11.0)
    return Skin(albedo, height, np.full_like(u, 0.16), fur, bare, 1 - present, coat)


def margin_outline(subject: Subject) -> Array:
    """The true margin of the ear as skin points (n, 2), along the tip from side to side [mm]."""
    left, top = -24.0, -14.0
    u, v = np.meshgrid(
        np.arange(left, -left, LINE_PITCH, dtype=np.float32),
        np.arange(top, 18, LINE_PITCH, dtype=np.float32),
    )
    present = np.minimum(margin_distance(u, v), notch_distance(subject, u, v)) > 0
    lines, _ = cv2.findContours(present.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    points = np.array([left, top]) + LINE_PITCH * max(lines, key=len)[:, 0].astype(float)
    return points[(points[:, 1] < 17.8) & (np.abs(points[:, 0]) < 23.8)]


def plan(subject: Subject) -> Plan:
    """The lie of the ear tip."""

    def flow(points: Array) -> Array:
        return np.arctan2(-1.0 + 0 * points[:, 0], points[:, 0] * 0.06)

    def fringe(rng: np.random.Generator, count: int) -> Array:
        line = margin_outline(subject)
        pick = rng.integers(2, len(line) - 2, count)
        root = line[pick] + rng.normal(0, 0.12, (count, 2))
        outward = line[pick] - np.array([0.0, 3.0])
        heading = np.arctan2(outward[:, 1] * 0.8 - 1.5, outward[:, 0])
        return np.column_stack([root, heading + rng.normal(0, 0.3, count)])

    return Plan(38.0, 60.0, (0.0, 2.0), 90.0, 40.0, 7.0, 0, flow, {}, fringe)
