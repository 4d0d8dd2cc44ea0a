"""The printed reference sticker: where it lies beside the spot, and how it looks there."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.design import SIZES_MM, draw_sticker
from lesioncompare.phantom.camera import Frame, View, turned
from lesioncompare.phantom.fields import Field
from lesioncompare.phantom.sites import Plan
from lesioncompare.science.colour import srgb_to_linear

Array = NDArray[np.float64]
GAP_MM = (3.0, 12.0)  # [mm] bare skin left between spot and sticker
TRIES = 90  # places tried before the picture is called too small
MARGIN_MM = (0.1, 0.5)  # [mm] white paper left round the print by scissors
INK = 0.03  # [1] reflectance of printed black; the darkest grey of the ladder
SHADOW, SHADOW_PX, SHADOW_ROOM_PX = 0.38, 9.0, 60  # [1] depth, [px] softness, [px] room for it
TEXTURES_PX = (256, 448, 800, 1280)  # [px] sides at which a sticker is drawn


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sticker about to be laid; see ``Shot`` for what the fields mean."""

    sticker_id: int
    gap_mm: float | None
    height_mm: float
    tilt_deg: float
    cut: float


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """What a sticker must keep to.

    The spot's reach, circles (x, y, radius) of the spot's plane that are taken, and the picture.
    """

    reach_mm: float
    taken: Array  # (n, 3) [mm]
    size_px: tuple[int, int]


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """How a sheet lies in the spot's plane: middle (2,) [mm], turn, and the line it tilts about."""

    middle: Array
    turn: float  # [rad]
    hinge: float  # [rad]


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


def lay(
    rng: np.random.Generator,
    look: Callable[[Array], View],
    plan: Plan,
    sheet: Sheet,
    room: Room,
) -> tuple[Paper, View]:
    """A sticker beside the spot such that both are in the picture, and the view that shows them.

    ``look`` gives the view whose middle is a point (2,) of the spot's plane.

    Raises
    ------
    ValueError
        When the picture is too small at this scale to hold both.
    """
    side = SIZES_MM[sheet.sticker_id]
    margin, hinge = rng.uniform(*MARGIN_MM, 4), rng.uniform(0, 2 * np.pi)
    for attempt in range(TRIES):
        loosen = attempt / TRIES
        spread = np.radians(plan.sticker_spread_deg) * (1 + 3 * loosen)
        way = np.radians(plan.sticker_deg) + rng.uniform(-spread, spread)
        turn = rng.uniform(0, 2 * np.pi)
        drawn = GAP_MM[0] + (GAP_MM[1] - GAP_MM[0]) * (1 - loosen) * rng.random()
        gap = drawn if sheet.gap_mm is None else sheet.gap_mm
        support = side / 2 * (abs(np.cos(way - turn)) + abs(np.sin(way - turn)))
        middle = (room.reach_mm + gap + support) * np.array([np.cos(way), np.sin(way)])
        clear = np.hypot(*(room.taken[:, :2] - middle).T) > room.taken[:, 2] + side * 0.75
        if not clear.all() and attempt < TRIES * 2 / 3:
            continue
        view = look(_between(middle, room.reach_mm, side))
        paper = _paper(view.frame, sheet, Pose(middle, turn, hinge), margin)
        if _inside(paper.corners_px(view), room.size_px) and _spot_inside(view, room):
            return paper, view
    raise ValueError("the picture is too small to hold spot and sticker at this scale")


def _between(middle: Array, reach: float, side: float) -> Array:
    """Middle of what spot and sticker span together (2,) in the spot's plane [mm]."""
    length = float(np.hypot(*middle))
    return middle / length * (length + side / 2 - reach) / 2


def _paper(frame: Frame, sheet: Sheet, pose: Pose, margin: Array) -> Paper:
    """The sheet in space: turned in the spot's plane, raised, then tilted about a line in it."""
    half = SIZES_MM[sheet.sticker_id] / 2
    turn, hinge = pose.turn, pose.hinge
    right = np.cos(turn) * frame.right + np.sin(turn) * frame.down
    down = -np.sin(turn) * frame.right + np.cos(turn) * frame.down
    line = np.cos(hinge) * frame.right + np.sin(hinge) * frame.down
    right, down, out = (
        turned(axis, line, np.radians(sheet.tilt_deg)) for axis in (right, down, frame.out)
    )
    centre = frame.place(pose.middle[None], sheet.height_mm)[0]
    signs = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half
    corners = centre + signs[:, :1] * right + signs[:, 1:] * down
    return Paper(sheet.sticker_id, corners, out, margin, sheet.cut)


def _inside(points: Array, size_px: tuple[int, int], border: float = 14.0) -> bool:
    low, high = points.min(axis=0), points.max(axis=0)
    return bool((low > border).all() and (high < np.asarray(size_px) - border).all())


def _spot_inside(view: View, room: Room) -> bool:
    ring = np.linspace(0, 2 * np.pi, 24)
    edge = 1.25 * room.reach_mm * np.column_stack([np.cos(ring), np.sin(ring)])
    return _inside(view.camera.project(view.frame.place(edge)), room.size_px, 4.0)


@lru_cache(maxsize=8)
def _texture(sticker_id: int, side_px: int) -> Field:
    """Reflectance of the print, with printed black not quite black."""
    return np.maximum(srgb_to_linear(draw_sticker(sticker_id, side_px)), np.float32(INK))


def put(picture: Field, paper: Paper, view: View, shade: float, shadow_px: Array) -> None:
    """Draw the sticker, with its soft shadow, into a linear picture (h, w, 3) in place."""
    texture, home = _sheet(paper, view)
    matrix = cv2.getPerspectiveTransform(
        home.astype(np.float32), paper.corners_px(view).astype(np.float32)
    )
    rows, columns = texture.shape
    outer = np.array([[0, 0], [columns, 0], [columns, rows], [0, rows]], float) - 0.5
    seen = cv2.perspectiveTransform(outer[None], matrix)[0]
    height, width = picture.shape[:2]
    x0, y0 = np.maximum(np.floor(seen.min(axis=0)).astype(int) - SHADOW_ROOM_PX, 0)
    x1, y1 = np.minimum(np.ceil(seen.max(axis=0)).astype(int) + SHADOW_ROOM_PX, (width, height))
    size = (int(x1 - x0), int(y1 - y0))
    fine = 3  # samples a pixel along each axis
    middle = (fine - 1) / 2
    zoom = np.array([[fine, 0, middle - fine * x0], [0, fine, middle - fine * y0], [0, 0, 1]])
    both = np.dstack([texture, np.ones_like(texture)])
    large = cv2.warpPerspective(both, zoom @ matrix, (size[0] * fine, size[1] * fine))
    small = cv2.resize(large, size, interpolation=cv2.INTER_AREA)
    cover = small[..., 1:]
    move = np.array([[1, 0, shadow_px[0]], [0, 1, shadow_px[1]]])
    dark = cv2.warpAffine(cv2.GaussianBlur(cover[..., 0].copy(), (0, 0), SHADOW_PX), move, size)
    box = picture[y0:y1, x0:x1]
    box *= (1 - SHADOW * dark)[..., None]
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
