"""The linear picture: skin, spots, hair, paper and light, put together."""

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.phantom import atlas as skins
from lesioncompare.phantom.atlas import Atlas
from lesioncompare.phantom.camera import View
from lesioncompare.phantom.fields import Field, Grid, blend, noise, square_grid, step
from lesioncompare.phantom.lighting import Lit, blocks, light_up, spread
from lesioncompare.phantom.shot import Lamp
from lesioncompare.phantom.spots import cover, inside, reach_mm
from lesioncompare.phantom.subject import Spot, Subject

Array = NDArray[np.float64]
PATCH_PITCH = 1 / 40  # [mm] grid inside a spot
FOCUS_MM = (9.0, 40.0)  # [mm] off the spot's depth: still sharp, fully blurred
STEP = 8  # [px] grid on which skin points are solved; smooth in between


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """A view, its light, and the skin coordinates seen at each pixel (h, w) [mm]."""

    view: View
    lamp: Lamp
    u: Field
    v: Field


def skin_map(view: View, width: int, height: int) -> tuple[Field, Field]:
    """Skin coordinates u and v [mm] seen at each pixel, each (height, width)."""
    wide = STEP * 4
    far_y, far_x = np.meshgrid(blocks(height, wide), blocks(width, wide), indexing="ij")
    rough = view.to_skin(np.column_stack([far_x.ravel(), far_y.ravel()]))
    rough_grid = rough.reshape(*far_x.shape, 2)
    y, x = np.meshgrid(blocks(height, STEP), blocks(width, STEP), indexing="ij")
    start = _lead(rough_grid, x.shape)
    fine = view.to_skin(np.column_stack([x.ravel(), y.ravel()]), start.reshape(-1, 2), rounds=1)
    full = spread(fine.reshape(*x.shape, 2), STEP, (height, width))
    return np.ascontiguousarray(full[..., 0]), np.ascontiguousarray(full[..., 1])


def blurred_share(seen: Seen) -> Field:
    """How far each pixel's skin lies out of focus: 0 at the spot's depth, 1 well off it."""
    view, block = seen.view, 16
    height, width = seen.u.shape
    rows, columns = (blocks(n, block).clip(0, n - 1).astype(int) for n in (height, width))
    picked = np.ix_(rows, columns)
    points = np.column_stack([seen.u[picked].ravel(), seen.v[picked].ravel()]).astype(float)
    depth = view.camera.depth(view.surface.place(points))
    depth -= view.camera.depth(view.frame.origin[None])[0]
    share = step(np.abs(depth), *FOCUS_MM).reshape(len(rows), len(columns))
    return spread(share, block, (height, width))


def _lead(rough: Array, shape: tuple[int, int]) -> Array:
    """The coarse solution at the finer grid, one fine block beyond each side."""
    rows, columns = rough.shape[:2]
    large = cv2.resize(rough, (columns * 4, rows * 4), interpolation=cv2.INTER_LINEAR)
    return large[3 : 3 + shape[0], 3 : 3 + shape[1]]


def skin_light(subject: Subject, seen: Seen) -> Field:
    """Light leaving bare skin without spots or hair, linear (h, w, 3)."""
    view, lamp, u, v = seen.view, seen.lamp, seen.u, seen.v
    fine, widest = skins.near(subject), skins.covering(subject, u, v)
    if widest is fine:
        return fine.sample(_leaving(fine, view, lamp), u, v)
    picture = widest.sample(_leaving(widest, view, lamp), u, v)
    x = (u - np.float32(fine.grid.corner[0])) / np.float32(fine.grid.pitch)
    y = (v - np.float32(fine.grid.corner[1])) / np.float32(fine.grid.pitch)
    cv2.remap(
        _leaving(fine, view, lamp),
        x,
        y,
        cv2.INTER_LINEAR,
        dst=picture,
        borderMode=cv2.BORDER_TRANSPARENT,
    )
    return picture


def _leaving(atlas: Atlas, view: View, lamp: Lamp) -> Field:
    lit = light_up(view, lamp, atlas.grid, atlas.skin.height, atlas.skin.gloss)
    return _radiance(atlas.skin.albedo, lit)


def _radiance(albedo: Field, lit: Lit) -> Field:
    return albedo * lit.shade[..., None] + lit.glint[..., None]


@dataclass(frozen=True, slots=True, eq=False)
class Patch:
    """The skin round one spot on its own grid: all reflectances, with and without this spot."""

    atlas: Atlas
    share: Field
    bare_albedo: Field
    albedo: Field


def spot_patch(subject: Subject, spot: Spot) -> Patch:
    """Reflectance, relief and gloss under a spot's full cover."""
    half = reach_mm(spot) + 3 * spot.edge_mm + 0.3
    grid = square_grid((spot.x_mm, spot.y_mm), half, PATCH_PITCH)
    under = skins.near(subject)
    albedo, height, gloss = (
        under.sample(layer, grid.u, grid.v)
        for layer in (under.skin.albedo, under.skin.height, under.skin.gloss)
    )
    own = inside(spot, grid, albedo, gloss, subject.wet)
    share = cover(spot, grid.u, grid.v)
    keep = 0.45 if spot.kind == "ulcer" else 1.0
    relief = height * (1 - (1 - keep) * share) + own.height
    skin = replace(under.skin, albedo=own.albedo, height=relief, gloss=own.gloss)
    return Patch(Atlas(grid, skin), share, albedo, own.albedo)


def add_spot(picture: Field, subject: Subject, spot: Spot, seen: Seen) -> None:
    """Mix a spot into the picture by its cover, in linear light, in place."""
    view, lamp, u, v = seen.view, seen.lamp, seen.u, seen.v
    half = reach_mm(spot) + 3 * spot.edge_mm + 0.2
    ring = np.linspace(0, 2 * np.pi, 72)
    edge = np.array([spot.x_mm, spot.y_mm]) + 1.5 * half * np.column_stack(
        [np.cos(ring), np.sin(ring)]
    )
    pixels = view.to_px(edge)
    x0, y0 = np.maximum(np.floor(pixels.min(axis=0)).astype(int), 0)
    x1, y1 = np.minimum(np.ceil(pixels.max(axis=0)).astype(int) + 1, u.shape[::-1])
    if x1 <= x0 or y1 <= y0:
        return
    box = (slice(y0, y1), slice(x0, x1))
    patch = spot_patch(subject, spot)
    light = patch.atlas.sample(_leaving(patch.atlas, view, lamp), u[box], v[box])
    share = cover(spot, u[box], v[box])
    picture[box] = blend(picture[box], light, share)


def add_background(picture: Field, rng: np.random.Generator, subject: Subject, seen: Seen) -> None:
    """Put a blurred room behind the body where the body has ended, in place."""
    u, v = seen.u, seen.v
    fine, widest = skins.near(subject), skins.covering(subject, u, v)
    absent = widest.sample(widest.skin.absent, u, v, cv2.BORDER_REPLICATE)
    if widest is not fine:
        on_fine = (np.abs(u) < skins.NEAR_HALF_MM) & (np.abs(v) < skins.NEAR_HALF_MM)
        absent = np.where(on_fine, fine.sample(fine.skin.absent, u, v), absent)
    if not absent.any():
        return
    height, width = u.shape
    block = 16
    y, x = np.meshgrid(blocks(height, block), blocks(width, block), indexing="ij")
    across, down = (axis.astype(np.float32) / np.float32(width) for axis in (x, y))
    wall = Grid(across, down, 0.01, (0.0, 0.0))
    base = rng.uniform(0.05, 0.3) * np.array([1.0, rng.uniform(0.8, 1.0), rng.uniform(0.6, 1.0)])
    hue = np.stack([0.12 * noise(rng, wall, 0.4) for _ in range(3)], axis=-1)
    tone = 0.5 * noise(rng, wall, 0.45) + 0.35 * noise(rng, wall, 0.22)
    far_room = spread(base * np.exp(hue + tone[..., None]), block, (height, width))
    picture[:] = blend(picture, far_room, absent)
