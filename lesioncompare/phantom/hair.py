"""Fur, loose hair and whiskers, laid anew for every photograph.

Strands are one-pixel anti-aliased lines on a canvas of limited size, drawn as square-root coded
colour times cover, and then laid over the linear picture.
"""

from dataclasses import dataclass
from itertools import product

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.phantom.atlas import Atlas, at_points
from lesioncompare.phantom.camera import View
from lesioncompare.phantom.fields import Field, look_up
from lesioncompare.phantom.lighting import form_light
from lesioncompare.phantom.shot import Lamp
from lesioncompare.phantom.sites import Plan
from lesioncompare.phantom.sites.base import COAT

Array = NDArray[np.float64]
CANVAS_PX_MM = 17.0  # [px/mm] finest scale hair is drawn at: one hair a pixel
CANVAS_PX = 2400  # [px] longest side of the canvas
DENSITY = 15.0  # [1/mm²] strands that show in full fur, at CANVAS_PX_MM
MOST = 42000  # strands drawn at most
THIN = 0.2  # [1] density under which hair is fine and half transparent
TUFT_MM = 1.6  # [mm] strands rooted this near to each other lean together
LOOSE_MM, WHISKER_MM = 0.05, 0.17  # [mm] how thick a loose hair and a whisker's root are
KNOTS = 6
SHIFT = 4  # sub-pixel bits of the line drawing
TILE = 128  # [px] side of the pieces in which hair is laid over the picture
SLABS = 30  # from the far end of the coat to the near
SHADES = np.array([0.4, 0.55, 0.7, 0.82, 0.94, 1.06])  # [1] of the coat's colour
# knots from, knots to, brightness and cover of the pieces of a strand, root first
PIECES = ((0, 4, 0.78, 0.85), (2, 5, 0.92, 0.9), (3, 6, 1.02, 0.7))


@dataclass(frozen=True, slots=True, eq=False)
class Strands:
    """Strands as knots on the canvas (n, KNOTS, 2) [px], brightness (n,) [1], cover factor."""

    knots: Array
    bright: Array
    cover: float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Easel:
    """What hair is drawn with: the view, the size of the picture, and the canvas's scale."""

    rng: np.random.Generator
    view: View
    width: int
    height: int
    px_per_mm: float
    lamp: Lamp

    @property
    def scale(self) -> float:
        """Canvas pixels for one of the picture [1]."""
        wish = min(1.0, CANVAS_PX_MM / self.px_per_mm)
        return min(wish, CANVAS_PX / max(self.width, self.height))

    def canvas(self) -> NDArray[np.uint8]:
        """An empty canvas."""
        size = (round(self.height * self.scale), round(self.width * self.scale), 4)
        return np.zeros(size, np.uint8)


def draw_coat(picture: Field, easel: Easel, atlas: Atlas, plan: Plan, coat: str) -> None:
    """Lay fur over a linear picture (h, w, 3), in place."""
    canvas = easel.canvas()
    for strands in (*_fur(easel, atlas, plan), _fringe(easel, plan)):
        _draw(canvas, strands, COAT[coat])
    lay_over(picture, canvas)


def _fur(easel: Easel, atlas: Atlas, plan: Plan) -> tuple[Strands, Strands]:
    """Fine hair on thinly haired skin, and strands of full fur, far ones first."""
    rng, scale = easel.rng, easel.px_per_mm
    reach = plan.hair_mm * scale
    area_mm2 = (easel.width + 2 * reach) * (easel.height + 2 * reach) / scale**2
    wanted = DENSITY * area_mm2 * min(1.0, scale * easel.scale / CANVAS_PX_MM) ** 2
    count = int(min(wanted, MOST))
    low, high = np.full(2, -reach), np.array([easel.width, easel.height]) + reach
    roots = _seen_skin(easel.view, low, high, rng.uniform(0, 1, (count, 2)))
    density = at_points(atlas, atlas.skin.fur, roots)
    keep = rng.random(count) < density
    roots, density = roots[keep], density[keep]
    lean, shade = _tufts(rng, roots)
    shade = shade * at_points(atlas, atlas.skin.coat, roots)
    heading = plan.flow(roots) + lean + rng.normal(0, 0.10, len(roots))
    length = plan.hair_mm * rng.uniform(0.6, 1.1, len(roots)) * (0.3 + 0.7 * density)
    order = np.argsort(-np.hypot(roots[:, 0], roots[:, 1]))
    grown = _grow(easel, roots[order], heading[order], length[order])
    lit = shade * form_light(easel.view, easel.lamp, roots)
    bright, thin = grown.bright * lit[order], density[order] < THIN
    return (
        Strands(grown.knots[thin], bright[thin], 0.45),
        Strands(grown.knots[~thin], bright[~thin]),
    )


def _seen_skin(view: View, low: Array, high: Array, places: Array) -> Array:
    """Skin points seen at relative places (n, 2) of a box in the picture, to about 0.1 mm."""
    count = 48
    x, y = np.meshgrid(np.linspace(low[0], high[0], count), np.linspace(low[1], high[1], count))
    grid = view.to_skin(np.column_stack([x.ravel(), y.ravel()]), rounds=12)
    layers = grid.reshape(count, count, 2).astype(np.float32)
    at = places.T * (count - 1)
    return np.column_stack([look_up(layers[..., i].copy(), *at) for i in (0, 1)]).astype(float)


def _tufts(rng: np.random.Generator, roots: Array) -> tuple[Array, Array]:
    """Lean [rad] and brightness [1] that neighbouring strands share."""
    side = 96
    leans = rng.normal(0, 0.30, (side, side)).astype(np.float32)
    shades = rng.normal(1.0, 0.10, (side, side)).astype(np.float32)
    if not len(roots):
        return np.zeros(0), np.ones(0)
    x, y = (roots / TUFT_MM + side / 2).T
    lean, shade = (look_up(field, x, y, cv2.BORDER_WRAP) for field in (leans, shades))
    return lean.astype(float), shade.astype(float)


def _fringe(easel: Easel, plan: Plan) -> Strands:
    """Short hairs that stand over the edge of an ear."""
    if plan.fringe is None:
        return Strands(np.zeros((0, KNOTS, 2)), np.zeros(0))
    rows = plan.fringe(easel.rng, 2200)
    length = easel.rng.gamma(4.0, 0.32, len(rows))
    return _grow(easel, rows[:, :2], rows[:, 2], length)


def _grow(easel: Easel, roots: Array, heading: Array, length: Array) -> Strands:
    """Strands from root, heading [rad] and length [mm], bending and lifting off the skin."""
    rng, count = easel.rng, len(roots)
    share = np.linspace(0, 1, KNOTS)
    turn = heading[:, None] + rng.normal(0, 0.30, count)[:, None] * share
    steps = length[:, None] / (KNOTS - 1) * np.stack([np.cos(turn), np.sin(turn)])
    paths = np.cumsum(steps, axis=2) - steps[..., :1]
    points = roots[:, None, :] + np.moveaxis(paths, 0, 2)
    lift = (rng.uniform(0.04, 0.14, count) * length)[:, None] * np.sin(share * 2.2)
    seen = easel.view.to_px(points.reshape(-1, 2), lift.ravel()).reshape(count, KNOTS, 2)
    bright = np.clip(rng.normal(0.98, 0.10, count), 0.5, 1.2)
    return Strands((seen + 0.5) * easel.scale - 0.5, bright)


def _draw(canvas: NDArray[np.uint8], strands: Strands, colour: Field, thick: int = 1) -> None:
    """Draw strands from first to last, ``thick`` pixels wide."""
    fixed = np.clip(np.round(strands.knots * 2**SHIFT), -(2**18), 2**18).astype(np.int32)
    nearest = np.abs(strands.bright[:, None] - SHADES).argmin(axis=1)
    for slab in np.array_split(np.arange(len(fixed)), SLABS):
        for first, last, dim, cover in PIECES:
            for tone, shade in enumerate(SHADES):
                lines = fixed[slab[nearest[slab] == tone], first:last]
                share = cover * strands.cover
                code = 255 * share * np.sqrt(np.clip(colour * shade * dim, 0, 1))
                paint = (*code.tolist(), 255.0 * share)
                if not len(lines):
                    continue
                cv2.polylines(canvas, list(lines), False, paint, thick, cv2.LINE_AA, SHIFT)


def lay_over(picture: Field, canvas: NDArray[np.uint8]) -> None:
    """Blend a canvas (square-root coded colour times cover, cover) over a linear picture."""
    height, width = picture.shape[:2]
    soft = cv2.GaussianBlur(canvas[..., 3], (0, 0), 3.0)
    if canvas.shape[:2] != (height, width):
        canvas = cv2.resize(canvas, (width, height), interpolation=cv2.INTER_LINEAR)
        soft = cv2.resize(soft, (width, height), interpolation=cv2.INTER_LINEAR)
    for top, left in product(range(0, height, TILE), range(0, width, TILE)):
        tile = (slice(top, top + TILE), slice(left, left + TILE))
        if not soft[tile].any():
            continue
        cover = canvas[tile][..., 3].astype(np.float32) / 255
        code = canvas[tile][..., :3].astype(np.float32) / 255
        colour = code * code / np.maximum(cover, 1 / 255)[..., None]
        shadow = 1 - 0.25 * soft[tile].astype(np.float32) / 255
        picture[tile] = picture[tile] * ((1 - cover) * shadow)[..., None] + colour


def draw_strays(picture: Field, easel: Easel, coat: str, *, loose: float, whiskers: int) -> None:
    """Lay loose hairs and thick tapering whiskers over skin and sticker alike, in place."""
    canvas = np.zeros((easel.height, easel.width, 4), np.uint8)
    thick = max(round(LOOSE_MM * easel.px_per_mm), 1)
    _draw(canvas, _loose(easel, loose), COAT[coat], thick)
    for _ in range(whiskers):
        path = _whisker(easel)
        fixed = np.round(path * 2**SHIFT).astype(np.int32)[:, None]
        for piece in range(8):
            wide = max(round(WHISKER_MM * easel.px_per_mm * (1 - 0.115 * piece)), 1)
            part = fixed[piece * 5 : piece * 5 + 6]
            cv2.polylines(canvas, [part], False, (238, 235, 228, 255), wide, cv2.LINE_AA, SHIFT)
    lay_over(picture, canvas)


def _loose(easel: Easel, amount: float) -> Strands:
    """A few long hairs near the spot."""
    rng = easel.rng
    count = int(rng.poisson(5 * amount))
    roots = easel.view.rest_origin + rng.normal(0, 8.0, (count, 2))
    heading, length = rng.uniform(0, 2 * np.pi, count), rng.uniform(3.0, 9.0, count)
    strands = _grow(easel, roots, heading, length)
    return Strands(strands.knots / easel.scale, strands.bright, 0.7)


def _whisker(easel: Easel) -> Array:
    """The bow of a whisker that crosses the picture (41, 2) [px]."""
    rng, width, height = easel.rng, easel.width, easel.height
    start = rng.uniform((0.1 * width, 0.1 * height), (0.9 * width, 0.9 * height))
    heading = rng.uniform(0, 2 * np.pi)
    along = np.array([np.cos(heading), np.sin(heading)])
    side = np.array([-along[1], along[0]])
    share = np.linspace(-1, 1, 41)[:, None]
    length = rng.uniform(0.3, 0.7) * width
    return start + length * (share * along + rng.normal(0, 0.16) * share**2 * side)
