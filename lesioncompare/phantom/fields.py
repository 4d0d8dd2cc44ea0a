"""Random fields that are fixed functions of skin millimetres, so that any grid sees the same skin.

References
----------
.. [1] Perlin K (1985) An image synthesizer, Computer Graphics 19:287-296, doi 10.1145/325165.325247
.. [2] Worley S (1996) A cellular texture basis function, SIGGRAPH 96:291-294,
   doi 10.1145/237170.237267
"""

from dataclasses import dataclass
from typing import TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

Field: TypeAlias = NDArray[np.floating]  # float32 in all that is kept
Squeeze = tuple[float, float]
EVEN: Squeeze = (1.0, 1.0)
LATTICE = 128  # lattice side; fields repeat after LATTICE times their grain
COARSEST = 2.0  # [1] grain over pitch below which a field is left out, so that it cannot alias


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Sampling points: square grid of skin millimetres, ``u`` and ``v`` of shape (h, w)."""

    u: Field
    v: Field
    pitch: float  # [mm]
    corner: tuple[float, float]  # u, v of the first sample [mm]

    def to_grid(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Column and row of skin points (n, 2)."""
        return (points - np.asarray(self.corner)) / self.pitch


def square_grid(centre: tuple[float, float], half_mm: float, pitch: float) -> Grid:
    """A grid of (2 half / pitch + 1)² points round ``centre``."""
    count = round(2 * half_mm / pitch) + 1
    steps = (np.arange(count) * pitch - half_mm).astype(np.float32)
    u, v = np.meshgrid(steps + np.float32(centre[0]), steps + np.float32(centre[1]))
    return Grid(u, v, pitch, (centre[0] - half_mm, centre[1] - half_mm))


def noise(rng: np.random.Generator, grid: Grid, grain_mm: float, squeeze: Squeeze = EVEN) -> Field:
    """Smooth noise of about unit variance whose blobs are ``grain_mm`` across.

    Zero where the grid is too coarse to show it. ``squeeze`` shortens the blobs along u and v.
    """
    lattice = rng.standard_normal((LATTICE, LATTICE)).astype(np.float32)
    turn = rng.uniform(0, 2 * np.pi) if squeeze == EVEN else 0.0
    if grain_mm < COARSEST * grid.pitch:
        return np.zeros_like(grid.u)
    cos, sin = np.cos(turn) / grain_mm, np.sin(turn) / grain_mm
    x = cv2.addWeighted(grid.u, cos * squeeze[0], grid.v, sin * squeeze[1], LATTICE / 2)
    y = cv2.addWeighted(grid.v, cos * squeeze[1], grid.u, -sin * squeeze[0], LATTICE / 2)
    sampled = cv2.remap(lattice, x, y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_WRAP)
    return sampled * np.float32(1.19)  # makes up for what the interpolation averages away


def rough(
    rng: np.random.Generator, grid: Grid, grain_mm: float, octaves: int, squeeze: Squeeze = EVEN
) -> Field:
    """Sum of ``octaves`` noises, each half as wide and 0.6 as strong, of about unit variance."""
    total, power, strength = np.zeros_like(grid.u), 0.0, 1.0
    for _ in range(octaves):
        total += np.float32(strength) * noise(rng, grid, grain_mm, squeeze)
        power += strength**2
        grain_mm, strength = grain_mm / 2, strength * 0.6
    return total / np.float32(np.sqrt(power))


def cells(
    rng: np.random.Generator, grid: Grid, u: Field, v: Field, grain_mm: float
) -> tuple[Field, Field]:
    """Scattered polygons: distance to the nearest wall, and a value of each polygon's own.

    The distance is second minus first nearest point in units of ``grain_mm``; the value is uniform
    on 0 to 1. Both are typical constants where the grid is too coarse to show polygons.
    """
    count = 64
    jitter = rng.uniform(0.1, 0.9, (count, count, 2)).astype(np.float32)
    value = rng.random((count, count)).astype(np.float32)
    if grain_mm < COARSEST * grid.pitch:
        return np.full_like(u, 0.35), np.full_like(u, 0.5)
    x, y = u / np.float32(grain_mm) + count / 2, v / np.float32(grain_mm) + count / 2
    column, row = np.floor(x), np.floor(y)
    j, i = column.astype(np.int32), row.astype(np.int32)
    x -= column
    y -= row
    first, second = np.full_like(u, 9.0), np.full_like(u, 9.0)
    owner = np.zeros_like(u)
    for dy in (-1, 0, 1):
        for dx in (-1, 0, 1):
            flat = np.mod(i + dy, count) * count + np.mod(j + dx, count)
            ex = jitter[..., 0].ravel()[flat] + (dx - x)
            ey = jitter[..., 1].ravel()[flat] + (dy - y)
            away = ex * ex + ey * ey
            nearer = away < first
            second = np.minimum(second, np.maximum(first, away))
            owner[nearer] = value.ravel()[flat[nearer]]
            first = np.minimum(first, away)
    return np.sqrt(second) - np.sqrt(first), owner


def look_up(layer: Field, x: Field, y: Field, border: int = cv2.BORDER_REPLICATE) -> Field:
    """``layer`` at columns x and rows y, each (n,), bilinear, shape (n,)."""
    row = 1024  # the interpolation takes no more than 32767 rows
    pad = -len(x) % row
    columns, rows = (np.pad(axis.astype(np.float32), (0, pad)).reshape(-1, row) for axis in (x, y))
    found = cv2.remap(layer, columns, rows, cv2.INTER_LINEAR, borderMode=border)
    return found.ravel()[: len(x)]


def step(x: Field, low: float, high: float) -> Field:
    """Smooth rise from 0 at ``low`` to 1 at ``high`` (falls where high < low)."""
    t = np.clip((np.asarray(x, np.float32) - np.float32(low)) / np.float32(high - low), 0, 1)
    return t * t * (3 - 2 * t)


def blend(first: Field, second: Field, share: Field) -> Field:
    """``first`` where ``share`` is 0, ``second`` where it is 1; colours broadcast over share."""
    if first.ndim == 3 and share.ndim == 2:
        share = share[..., None]
    return first + (second - first) * share


def _wander(
    rng: np.random.Generator, start: NDArray[np.float64], heading: float, length: float
) -> NDArray[np.float64]:
    """A winding path of 0.4 mm steps."""
    count = max(int(length / 0.4), 3)
    bend = np.cumsum(rng.normal(0, 0.16, count)) + rng.normal(0, 0.02)
    turns = heading + bend
    return start + 0.4 * np.cumsum(np.column_stack([np.cos(turns), np.sin(turns)]), axis=0)


def vessels(
    rng: np.random.Generator,
    grid: Grid,
    roots: NDArray[np.float64],
    *,
    width_mm: float,
    reach: float,
) -> Field:
    """How much vessel shows, 0 to 1: trees that branch from ``roots`` rows of u, v, heading."""
    shift, size = 4, grid.u.shape
    canvas = np.zeros(size, np.uint8)
    twigs = [(row[:2], row[2], reach, width_mm) for row in roots]
    while twigs:
        start, heading, length, width = twigs.pop()
        path = _wander(rng, start, heading, length * rng.uniform(0.7, 1.2))
        pixels = np.round(grid.to_grid(path) * 2**shift).astype(np.int32)
        thick = width / grid.pitch
        shade = int(np.clip(255 * min(thick, 1.0), 20, 255))
        cv2.polylines(
            canvas, [pixels[:, None]], False, shade, max(round(thick), 1), cv2.LINE_AA, shift
        )
        if length > reach / 5:
            for fork in rng.integers(len(path) // 4, len(path), 2):
                aside = heading + rng.choice((-1, 1)) * rng.uniform(0.4, 1.0)
                twigs.append((path[fork], aside, length * 0.6, width * 0.68))
    soft = max(0.35 * width_mm / grid.pitch, 0.4)
    return cv2.GaussianBlur(canvas, (0, 0), soft).astype(np.float32) / 255
