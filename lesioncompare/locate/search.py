"""Where a printed sticker may lie: squares in a reduced photo that look like the design.

Whiskers and hairs are thinner than the modules of the fiducial: an opening and a closing of the
grey picture wipe them off before it is cut at its local mean. The hull of each blob is fitted with
a quadrilateral, which is then read as the fiducial or as the frame, and compared with the drawn
designs in all four turns. Nothing is decoded bit by bit, so a covered module costs little.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.design import (
    FRAME_INSET,
    FRAME_WIDTH,
    MARKER_SIDE,
    SIZES_MM,
    draw_sticker,
)
from lesioncompare.records import Matrix, Points, RgbImage

Grey = NDArray[np.uint8]

# [px] longest side of the reduced photo, kernel wiping off hairs, first closing or opening;
# tried in turn until something is found
STAGES = (
    (1400, 7, False),
    (1400, 3, False),
    (1400, 11, False),
    (1400, 11, True),
    (1400, 5, True),
    (2800, 5, False),
    (2800, 1, False),
)
WINDOW = 91  # [px] neighbourhood whose mean tells dark from light
STEP = 8  # [code] light is lighter than that mean by no less than minus this
LEAST_SIDE = 15  # [px] of a blob's bounding box
SAMPLES = 32  # grid on which a candidate is compared with the designs
HALF = 0.47  # [side] half the compared square: inside the printed edges
LIKENESS = 0.45  # [1] correlation with a design from which a candidate is looked at closely
MOST = 4  # candidates looked at closely in one stage
OUTDONE = 0.7  # [1] of the best one's likeness: less is not looked at beside it
# [side] half sides of what a blob may be: the fiducial, the paper inside the frame, the frame
ROLES = (MARKER_SIDE / 2, 0.5 - FRAME_INSET - FRAME_WIDTH / 2, 0.5 - FRAME_INSET + FRAME_WIDTH / 2)
UNIT_SQUARE = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], np.float32)


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """A place that looks like sticker ``id``; ``to_px`` takes centred sides to photo pixels."""

    id: int
    to_px: Matrix
    likeness: float

    @property
    def corners_px(self) -> Points:
        """Printed corners (4, 2), upper left first, clockwise [px]."""
        return square_px(self.to_px, 0.5)


def square_px(to_px: Matrix, half: float) -> Points:
    """Corners (4, 2) of a centred square of the design in the photo [px]."""
    corners = cv2.perspectiveTransform(half * UNIT_SQUARE[None].astype(np.float64), to_px)[0]
    return np.asarray(corners, np.float64)


def candidates(rgb: RgbImage) -> Iterator[list[Candidate]]:
    """Places worth a closer look, best first, one list for each stage of the search."""
    reduced: dict[int, Grey] = {}
    for longest, kernel, closing_first in STAGES:
        times = max(1, -(-max(rgb.shape[:2]) // longest))
        if times not in reduced:
            reduced[times] = _reduce(rgb, times)
        grey = reduced[times]
        quads = _quads(_without_hairs(grey, kernel, closing_first))
        found = (_compare(grey, quad) for quad in quads)
        yield _distinct([_enlarge(c, times) for c in found if c and c.likeness > LIKENESS])


def _reduce(rgb: RgbImage, times: int) -> Grey:
    """Grey photo at a whole fraction of its size, by area averaging."""
    height, width = (side // times for side in rgb.shape[:2])
    grey = cv2.cvtColor(rgb[: height * times, : width * times], cv2.COLOR_RGB2GRAY)
    return np.asarray(cv2.resize(grey, (width, height), interpolation=cv2.INTER_AREA), np.uint8)


def _enlarge(candidate: Candidate, times: int) -> Candidate:
    """The candidate in pixels of the full photo."""
    shift = (times - 1) / 2
    full = np.array([[times, 0, shift], [0, times, shift], [0, 0, 1.0]])
    return Candidate(candidate.id, full @ candidate.to_px, candidate.likeness)


def _without_hairs(grey: Grey, kernel: int, closing_first: bool) -> Grey:
    """The picture without light and dark lines thinner than the kernel."""
    if kernel < 2:
        return grey
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (kernel, kernel))
    order = (
        [cv2.MORPH_CLOSE, cv2.MORPH_OPEN] if closing_first else [cv2.MORPH_OPEN, cv2.MORPH_CLOSE]
    )
    for operation in order:
        grey = np.asarray(cv2.morphologyEx(grey, operation, disc), np.uint8)
    return grey


def _quads(grey: Grey) -> list[NDArray[np.float32]]:
    """Convex quadrilaterals (4, 2) that the hulls of light and dark blobs come near to."""
    light = cv2.adaptiveThreshold(
        grey, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY, WINDOW, STEP
    )
    outlines, _ = cv2.findContours(light, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
    quads = []
    for outline in outlines:
        if len(outline) < 4:
            continue
        _, _, width, height = cv2.boundingRect(outline)
        if min(width, height) < LEAST_SIDE or width * height > 0.8 * grey.size:
            continue
        quad = _quad_round(cv2.convexHull(outline))
        if quad is not None:
            quads.append(quad)
    return quads


def _quad_round(hull: NDArray[np.int32]) -> NDArray[np.float32] | None:
    """The quadrilateral through a hull's four longest sides, clockwise, if it fits the hull."""
    around = cv2.arcLength(hull, True)
    area = cv2.contourArea(hull)
    if area < 0.03 * around**2:  # a square has 1/16
        return None
    corners = cv2.approxPolyDP(hull, 0.025 * around, True)[:, 0].astype(float)
    if not 4 <= len(corners) <= 9:
        return None
    following = corners[[*range(1, len(corners)), 0]]
    lengths = np.hypot(*(following - corners).T)
    longest = np.sort(np.argsort(-lengths)[:4])
    quad = _meeting(corners[longest], following[longest])
    if quad is None:
        return None
    sides = np.hypot(*(quad[[1, 2, 3, 0]] - quad).T)
    fits = cv2.isContourConvex(quad) and cv2.contourArea(quad) < 1.4 * area
    if not fits or sides.max() > 3.5 * sides.min() or sides.min() < LEAST_SIDE / 2:
        return None
    return quad if cv2.contourArea(quad, oriented=True) > 0 else quad[::-1].copy()


def _meeting(starts: NDArray[np.float64], ends: NDArray[np.float64]) -> NDArray[np.float32] | None:
    """Where each of four lines (4, 2), (4, 2) meets the one before it; None for parallel ones.

    Written out: ``numpy.cross`` takes ten times as long on so few numbers.
    """
    a, b = starts[:, 1] - ends[:, 1], ends[:, 0] - starts[:, 0]
    c = starts[:, 0] * ends[:, 1] - ends[:, 0] * starts[:, 1]
    before = [3, 0, 1, 2]
    weight = a[before] * b - b[before] * a
    if np.any(np.abs(weight) < 1e-9):
        return None
    x, y = b[before] * c - c[before] * b, c[before] * a - a[before] * c
    return np.asarray(np.column_stack([x / weight, y / weight]), np.float32)


@lru_cache(maxsize=1)
def _designs() -> tuple[NDArray[np.float32], tuple[tuple[int, int], ...]]:
    """Each design in each turn as a unit vector (12, n), and its id and number of quarter turns."""
    fine = 12 * SAMPLES
    rows, names = [], []
    for sticker_id in SIZES_MM:
        whole = draw_sticker(sticker_id, round(fine / (2 * HALF))).astype(np.float32)
        inset = (len(whole) - fine) // 2
        blurred = cv2.GaussianBlur(whole, (0, 0), fine / 80)[inset:, inset:][:fine, :fine]
        small = cv2.resize(blurred, (SAMPLES, SAMPLES), interpolation=cv2.INTER_AREA)
        for turns in range(4):
            row = np.rot90(small, turns).ravel()
            rows.append((row - row.mean()) / np.linalg.norm(row - row.mean()))
            names.append((sticker_id, turns))
    return np.array(rows, np.float32), tuple(names)


def _compare(grey: Grey, quad: NDArray[np.float32]) -> Candidate | None:
    """What the quadrilateral resembles most; None where there is no contrast."""
    designs, names = _designs()
    pitch = 2 * HALF / SAMPLES
    grid = np.array([[pitch, 0, pitch / 2 - HALF], [0, pitch, pitch / 2 - HALF], [0, 0, 1]])
    best: Candidate | None = None
    for half in ROLES:
        to_px = cv2.getPerspectiveTransform(np.float32(half) * UNIT_SQUARE, quad)
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        seen = cv2.warpPerspective(
            grey, to_px @ grid, (SAMPLES, SAMPLES), flags=flags, borderMode=cv2.BORDER_REPLICATE
        )
        row = seen.astype(np.float32).ravel() - np.float32(seen.mean())
        size = float(np.linalg.norm(row))
        if size < 3 * SAMPLES:  # [code] three codes of contrast
            continue
        alike = designs @ (row / size)
        which = int(alike.argmax())
        if best is None or alike[which] > best.likeness:
            sticker_id, turns = names[which]
            best = Candidate(sticker_id, to_px @ _quarter_turns(turns), float(alike[which]))
    return best


def _quarter_turns(turns: int) -> Matrix:
    """Centred sides of the upright design to those of the picture turned by ``rot90``."""
    cosine, sine = ((1, 0), (0, -1), (-1, 0), (0, 1))[turns]
    return np.array([[cosine, -sine, 0], [sine, cosine, 0], [0, 0, 1.0]])


def _distinct(found: list[Candidate]) -> list[Candidate]:
    """The best candidate of each place, best first."""
    kept: list[Candidate] = []
    for candidate in sorted(found, key=lambda c: -c.likeness):
        middle = candidate.corners_px.mean(axis=0).astype(np.float32)
        if all(
            cv2.pointPolygonTest(k.corners_px.astype(np.float32), middle.tolist(), False) < 0
            for k in kept
        ):
            kept.append(candidate)
    return [c for c in kept[:MOST] if c.likeness > OUTDONE * kept[0].likeness]
