"""Fur, loose hair and whiskers, laid anew for every photograph.

Strands are drawn with anti-aliased lines on a canvas of limited size, as colour already multiplied
by cover, and then laid over the linear picture.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.phantom.atlas import Atlas, at_points
from lesioncompare.phantom.camera import View
from lesioncompare.phantom.fields import Field
from lesioncompare.phantom.sites import Plan
from lesioncompare.phantom.sites.base import COAT

Array = NDArray[np.float64]
CANVAS_PX = 2000  # [px] longer side of the drawing canvas
DENSITY = 9.0  # [1/mm²] strands that show in full fur
MOST = 24000  # strands drawn at most; thicker ones when the picture is wide
WIDTH_MM = 0.085  # [mm] a tuft's strand
KNOTS = 6
SHIFT = 4  # sub-pixel bits of the line drawing
SLABS = 36  # from the far end of the coat to the near


@dataclass(frozen=True, slots=True, eq=False)
class Strands:
    """Strands as knots in the picture (n, KNOTS, 2) [px], brightness (n,) and width [px]."""

    knots: Array
    bright: Array
    width_px: float


def draw_coat(  # noqa: PLR0913
    picture: Field,
    rng: np.random.Generator,
    view: View,
    atlas: Atlas,
    plan: Plan,
    coat: str,
    loose: float,
    px_per_mm: float,
) -> None:
    """Lay fur and loose hairs over a linear picture (h, w, 3), in place."""
    height, width = picture.shape[:2]
    scale = min(1.0, CANVAS_PX / max(height, width))
    canvas = np.zeros((round(height * scale), round(width * scale), 4), np.uint8)
    colour = COAT[coat]
    strands = _fur(rng, view, atlas, plan, (width, height), px_per_mm, scale)
    drawn = _draw(canvas, strands, colour)
    for extra in (_fringe(rng, view, plan, px_per_mm, scale), _loose(rng, view, loose, px_per_mm, scale)):
        drawn |= _draw(canvas, extra, colour)
    if drawn:
        lay_over(picture, canvas)


def _fur(rng, view, atlas, plan, size_px, px_per_mm, scale) -> Strands:
    """Strands rooted where the skin carries fur."""
    width, height = size_px
    reach = plan.hair_mm * px_per_mm
    area_mm2 = (width + 2 * reach) * (height + 2 * reach) / px_per_mm**2
    wanted = DENSITY * area_mm2
    count = int(min(wanted, MOST))
    pixels = rng.uniform((-reach, -reach), (width + reach, height + reach), (count, 2))
    roots = view.to_skin(pixels, rounds=4)
    density = at_points(atlas, atlas.skin.fur, roots)
    keep = (rng.random(count) < density) & (np.abs(roots) < 100).all(axis=1)
    roots, density = roots[keep], density[keep]
    heading = plan.flow(roots) + rng.normal(0, 0.22, len(roots))
    length = plan.hair_mm * rng.uniform(0.5, 1.1, len(roots)) * (0.25 + 0.75 * density)
    thick = WIDTH_MM * np.sqrt(max(wanted / MOST, 1.0)) * px_per_mm * scale
    order = np.argsort(-np.hypot(roots[:, 0], roots[:, 1]))
    return _grow(rng, view, roots[order], heading[order], length[order], thick, scale)


def _fringe(rng, view, plan, px_per_mm, scale) -> Strands:
    """Short hairs that stand over the edge of an ear."""
    if plan.fringe is None:
        return Strands(np.zeros((0, KNOTS, 2)), np.zeros(0), 1.0)
    rows = plan.fringe(rng, 900)
    length = rng.gamma(4.0, 0.35, len(rows))
    thick = 0.6 * WIDTH_MM * px_per_mm * scale
    return _grow(rng, view, rows[:, :2], rows[:, 2], length, thick, scale)


def _loose(rng, view, loose, px_per_mm, scale) -> Strands:
    """A few long hairs that happen to lie over the bare skin."""
    count = rng.poisson(5 * loose)
    roots = view.rest_origin + rng.normal(0, 8.0, (count, 2))
    heading, length = rng.uniform(0, 2 * np.pi, count), rng.uniform(3.0, 9.0, count)
    return _grow(rng, view, roots, heading, length, 0.055 * px_per_mm * scale, scale)


def _grow(rng, view, roots, heading, length, thick, scale) -> Strands:
    """Strands from root, heading [rad] and length [mm], bending and lifting off the skin."""
    count = len(roots)
    share = np.linspace(0, 1, KNOTS)
    bend = rng.normal(0, 0.35, count)
    turn = heading[:, None] + bend[:, None] * share
    steps = length[:, None] / (KNOTS - 1) * np.stack([np.cos(turn), np.sin(turn)], axis=0)
    paths = np.cumsum(steps, axis=2) - steps[..., :1]
    points = roots[:, None, :] + np.moveaxis(paths, 0, 2)
    lift = (rng.uniform(0.05, 0.16, count) * length)[:, None] * np.sin(share * 2.2)
    knots = view.to_px(points.reshape(-1, 2), lift.ravel()).reshape(count, KNOTS, 2)
    bright = np.clip(rng.normal(0.86, 0.13, count), 0.45, 1.15)
    return Strands((knots + 0.5) * scale - 0.5, bright, thick)


def _draw(canvas: NDArray[np.uint8], strands: Strands, colour: Field) -> bool:
    """Draw strands from first to last; True when there was one."""
    if not len(strands.knots):
        return False
    shades = np.array([0.55, 0.68, 0.8, 0.92, 1.05])
    near = np.abs(strands.bright[:, None] - shades).argmin(axis=1)
    fixed = np.clip(np.round(strands.knots * 2**SHIFT), -(2**19), 2**19).astype(np.int32)
    full, thin = max(round(strands.width_px), 1), min(max(strands.width_px, 0.25), 1.0)
    for slab in np.array_split(np.arange(len(fixed)), SLABS):
        for tone, shade in enumerate(shades):
            lines = fixed[slab[near[slab] == tone]]
            if not len(lines):
                continue
            for first, dim in ((0, 0.72), (2, 1.0)):
                code = 255 * np.sqrt(np.clip(colour * shade * dim, 0, 1)) * thin
                paint = (*code.tolist(), 255.0 * thin)
                cv2.polylines(canvas, list(lines[:, first:]), False, paint, full, cv2.LINE_AA, SHIFT)
    return True


def lay_over(picture: Field, canvas: NDArray[np.uint8]) -> None:
    """Blend a canvas (square-root coded colour times cover, cover) over a linear picture."""
    height, width = picture.shape[:2]
    soft = cv2.GaussianBlur(canvas[..., 3], (0, 0), 4.0)
    if canvas.shape[:2] != (height, width):
        canvas = cv2.resize(canvas, (width, height), interpolation=cv2.INTER_LINEAR)
        soft = cv2.resize(soft, (width, height), interpolation=cv2.INTER_LINEAR)
    rows = np.flatnonzero(soft.any(axis=1))
    if not len(rows):
        return
    for top in range(int(rows[0]), int(rows[-1]) + 1, 256):  # strips keep memory low
        strip = slice(top, min(top + 256, int(rows[-1]) + 1))
        cover = canvas[strip, :, 3].astype(np.float32) / 255
        code = canvas[strip, :, :3].astype(np.float32) / 255
        colour = code * code / np.maximum(cover, 1 / 255)[..., None]
        shadow = 1 - 0.3 * soft[strip].astype(np.float32) / 255
        keep = ((1 - cover) * shadow)[..., None]
        picture[strip] = picture[strip] * keep + colour


def draw_whiskers(  # noqa: PLR0913
    picture: Field,
    rng: np.random.Generator,
    view: View,
    count: int,
    px_per_mm: float,
) -> None:
    """Thick white hairs that cross the picture above skin and sticker, in place."""
    height, width = picture.shape[:2]
    canvas = np.zeros((height, width, 4), np.uint8)
    for _ in range(count):
        start = rng.uniform((0.1 * width, 0.1 * height), (0.9 * width, 0.9 * height))
        heading = rng.uniform(0, 2 * np.pi)
        share = np.linspace(-1, 1, 40)
        bow = rng.normal(0, 0.12)
        length = rng.uniform(0.35, 0.8) * width
        along = np.array([np.cos(heading), np.sin(heading)])
        side = np.array([-along[1], along[0]])
        path = start + length * (share[:, None] * along + bow * (share**2)[:, None] * side)
        fixed = np.round(path * 2**SHIFT).astype(np.int32)[:, None]
        for piece in range(4):
            thick = max(round(0.20 * px_per_mm * (1 - 0.2 * piece)), 1)
            part = fixed[piece * 10 : piece * 10 + 11]
            cv2.polylines(canvas, [part], False, (236, 233, 226, 255), thick, cv2.LINE_AA, SHIFT)
    lay_over(picture, canvas)
