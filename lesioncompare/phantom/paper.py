"""The printed reference sticker: where it lies beside the spot, and how it looks there."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.design import SIZES_MM, draw_sticker
from lesioncompare.phantom.camera import View
from lesioncompare.phantom.fields import Field
from lesioncompare.phantom.sites import Plan
from lesioncompare.science.colour import srgb_to_linear

Array = NDArray[np.float64]
GAP_MM = (3.0, 12.0)  # [mm] bare skin left between spot and sticker
TRIES = 60  # places tried before the picture is called too small
INK = 0.03  # [1] reflectance of printed black; the darkest grey of the ladder
TEXTURES_PX = (320, 640, 1280)  # [px] sides at which a sticker is drawn


@dataclass(frozen=True, slots=True, eq=False)
class Paper:
    """A sticker in space. ``corners`` (4, 3) of the printed edges, upper left first, clockwise.

    ``margin_mm`` is the white paper left beyond each printed edge: top, right, bottom, left.
    """

    sticker_id: int
    corners: Array
    normal: Array
    margin_mm: Array
    cut: float

    def corners_px(self, view: View) -> Array:
        """Where the printed corners lie in the picture (4, 2) [px]."""
        return view.camera.project(self.corners)


def lay(  # noqa: PLR0913
    rng: np.random.Generator,
    view_of: Callable[[Array], View],
    plan: Plan,
    *,
    sticker_id: int,
    reach_mm: float,
    gap_mm: float | None,
    height_mm: float,
    tilt_deg: float,
    cut: float,
    size_px: tuple[int, int],
) -> tuple[Paper, View]:
    """A sticker beside the spot such that both are in the picture, and the view that shows them.

    Raises
    ------
    ValueError
        When the picture is too small at this scale to hold both.
    """
    side = SIZES_MM[sticker_id]
    margin = rng.uniform(0.1, 0.5, 4)
    tilt_way = rng.uniform(0, 2 * np.pi)
    wish = np.radians(plan.sticker_deg)
    for attempt in range(TRIES):
        loosen = attempt / TRIES
        spread = np.radians(plan.sticker_spread_deg) * (1 + 3 * loosen)
        way, turn = wish + rng.uniform(-spread, spread), rng.uniform(0, 2 * np.pi)
        drawn = GAP_MM[0] + (GAP_MM[1] - GAP_MM[0]) * (1 - loosen) * rng.random()
        gap = gap_mm if gap_mm is not None else drawn
        support = side / 2 * (abs(np.cos(way - turn)) + abs(np.sin(way - turn)))
        away = reach_mm + gap + support
        middle = away * np.array([np.cos(way), np.sin(way)])
        view = view_of(_between(middle, reach_mm, side))
        paper = _paper(view, sticker_id, middle, turn, height_mm, tilt_deg, tilt_way, margin, cut)
        if _in_picture(paper.corners_px(view), size_px) and _spot_in(view, reach_mm, size_px):
            return paper, view
    raise ValueError("the picture is too small to hold spot and sticker at this scale")





def _between(middle: Array, reach: float, side: float) -> Array:
    """Middle of what spot and sticker span together (2,) in the spot's plane [mm]."""
    length = float(np.hypot(*middle))
    return middle / length * (length + side / 2 - reach) / 2


def _paper(view, sticker_id, middle, turn, height_mm, tilt_deg, tilt_way, margin, cut) -> Paper:
    frame, half = view.frame, SIZES_MM[sticker_id] / 2
    right = np.cos(turn) * frame.right + np.sin(turn) * frame.down
    down = -np.sin(turn) * frame.right + np.cos(turn) * frame.down
    hinge = np.cos(tilt_way) * frame.right + np.sin(tilt_way) * frame.down
    angle = np.radians(tilt_deg)
    right, down, out = (_rotated(axis, hinge, angle) for axis in (right, down, frame.out))
    centre = frame.place(middle[None], height_mm)[0]
    signs = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half
    corners = centre + signs[:, :1] * right + signs[:, 1:] * down
    return Paper(sticker_id, corners, out, margin, cut)


def _rotated(vector: Array, axis: Array, angle: float) -> Array:
    """Rodrigues' rotation."""
    turned = vector * np.cos(angle) + np.cross(axis, vector) * np.sin(angle)
    return turned + axis * (axis @ vector) * (1 - np.cos(angle))


def _in_picture(points: Array, size_px: tuple[int, int], border: float = 14.0) -> bool:
    low, high = points.min(axis=0), points.max(axis=0)
    return bool((low > border).all() and (high < np.asarray(size_px) - border).all())


def _spot_in(view: View, reach: float, size_px: tuple[int, int]) -> bool:
    ring = np.linspace(0, 2 * np.pi, 24)
    edge = 1.25 * reach * np.column_stack([np.cos(ring), np.sin(ring)])
    return _in_picture(view.camera.project(view.frame.place(edge)), size_px, 4.0)


@lru_cache(maxsize=8)
def _texture(sticker_id: int, side_px: int) -> Field:
    """Reflectance of the print, with printed black not quite black."""
    return np.maximum(srgb_to_linear(draw_sticker(sticker_id, side_px)), np.float32(INK))


def put(picture: Field, paper: Paper, view: View, shade: float, shadow_px: Array) -> None:
    """Draw the sticker, with its soft shadow, into a linear picture (h, w, 3) in place."""
    texture, home = _sheet(paper, view)
    inner = paper.corners_px(view)
    matrix = cv2.getPerspectiveTransform(home.astype(np.float32), inner.astype(np.float32))
    rows, columns = texture.shape
    sheet = np.array([[0, 0], [columns, 0], [columns, rows], [0, rows]], float) - 0.5
    seen = cv2.perspectiveTransform(sheet[None], matrix)[0]
    height, width = picture.shape[:2]
    room = 60
    x0, y0 = np.maximum(np.floor(seen.min(axis=0)).astype(int) - room, 0)
    x1, y1 = np.minimum(np.ceil(seen.max(axis=0)).astype(int) + room, (width, height))
    box = picture[y0:y1, x0:x1]
    fine = 3  # samples a pixel along each axis
    scale = np.array([[fine, 0, (fine - 1) / 2 - fine * x0], [0, fine, (fine - 1) / 2 - fine * y0]])
    lift = np.vstack([scale, [0, 0, 1]]) @ matrix
    size = ((x1 - x0) * fine, (y1 - y0) * fine)
    both = np.dstack([texture, np.ones_like(texture)])
    large = cv2.warpPerspective(both, lift, size, flags=cv2.INTER_LINEAR)
    small = cv2.resize(large, (x1 - x0, y1 - y0), interpolation=cv2.INTER_AREA)
    cover = small[..., 1:]
    dark = cv2.GaussianBlur(np.ascontiguousarray(cover[..., 0]), (0, 0), 9.0)
    move = np.array([[1, 0, shadow_px[0]], [0, 1, shadow_px[1]]], np.float32)
    dark = cv2.warpAffine(dark, move, (x1 - x0, y1 - y0))
    box *= (1 - 0.38 * dark)[..., None]
    box *= 1 - cover
    box += small[..., :1] * np.float32(shade)


def _sheet(paper: Paper, view: View) -> tuple[Field, Array]:
    """The cut sheet as a texture, and where the printed corners lie on it [px]."""
    side_mm = SIZES_MM[paper.sticker_id]
    corners = paper.corners_px(view)
    seen = max(np.hypot(*(corners[i] - corners[(i + 1) % 4])) for i in range(4))
    side_px = next((size for size in TEXTURES_PX if size >= seen), TEXTURES_PX[-1])
    px_mm = side_px / side_mm
    top, right, bottom, left = np.round(paper.margin_mm * px_mm).astype(int)
    print_ = _texture(paper.sticker_id, side_px)
    sheet = np.pad(print_, ((top, bottom), (left, right)), constant_values=1.0)
    home = np.array([[0, 0], [side_px, 0], [side_px, side_px], [0, side_px]], float) - 0.5
    home += (left, top)
    if paper.cut:
        sheet = sheet[:, : round(left + side_px * (1 - paper.cut))]
    return np.ascontiguousarray(sheet), home
