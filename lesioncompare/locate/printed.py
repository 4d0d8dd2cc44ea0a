"""The printed sticker in a photo: found, laid over as a whole, checked, and its greys read."""

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.design import SIZES_MM, ladder, paper
from lesioncompare.errors import StickerError
from lesioncompare.locate.fit import fit
from lesioncompare.locate.laid import Fit
from lesioncompare.locate.search import candidates, square_px
from lesioncompare.records import RgbImage, Sticker
from lesioncompare.science.colour import srgb_to_linear
from lesioncompare.settings import Settings

# Set on phantoms and on pictures of other fiducials, which reach 0.79 and 0.7, 1.46 together
AGREEMENT = 0.75  # [1] share of the design's edges that must be seen
MODULES = 0.6  # [1] share of the fiducial's white modules that must be seen
TOGETHER = 1.55  # [1] both shares together
CONTRAST = 0.3  # [1] ink must be this much darker than paper
SIDE_SEEN = 0.25  # [1] share of each side of the frame that must be seen
READ_SIDE = 160  # [px] grid on which the greys are read
PATCH_CORE = 0.6  # [1] inner share of a patch's side that is read
FLOOR_U_PX = 0.02  # [px] what the fit's own statistics do not know of
GREYS_ALIKE = 0.8  # [1] rank correlation of greys seen with greys printed
GREYS_APART = 0.5  # [1] the darkest is at most so light beside paper; printed it is 0.03


def locate_printed(rgb: RgbImage, settings: Settings) -> Sticker:
    """The one whole printed sticker in the photo.

    Raises
    ------
    StickerError
        When there is none, more than one, or it is not wholly in the picture.
    """
    for stage in candidates(rgb):
        found = [
            (candidate.id, laid)
            for candidate in stage
            if (laid := fit(rgb, candidate.id, candidate.to_px)) and _is_sticker(laid)
        ]
        found = _distinct(found)
        if len(found) > 1:  # a pattern may pass for the fiducial, not for the greys
            found = [one for one in found if _in_order(_greys(rgb, one[1], 1.0))] or found
        if len(found) > 1:
            raise StickerError(
                f"{len(found)} reference stickers are in the photo.",
                "Leave only one beside the spot and take the photo again.",
            )
        if found:
            return _read(rgb, *found[0], settings)
    raise StickerError(
        "No whole reference sticker was found in the photo.",
        "Lay it flat and uncovered beside the spot, in even light, and take the photo again "
        "square on and a little nearer.",
    )


def _is_sticker(laid: Fit) -> bool:
    seen = laid.agreement > AGREEMENT and laid.modules > MODULES
    return seen and laid.agreement + laid.modules > TOGETHER and laid.contrast > CONTRAST


def _distinct(found: list[tuple[int, Fit]]) -> list[tuple[int, Fit]]:
    """One fit for each place, the one that agrees best."""
    kept: list[tuple[int, Fit]] = []
    for sticker_id, laid in sorted(found, key=lambda pair: -pair[1].agreement):
        x, y = square_px(laid.to_px, 0.5).mean(axis=0).tolist()
        taken = (square_px(other.to_px, 0.5).astype(np.float32) for _, other in kept)
        if all(cv2.pointPolygonTest(corners, (x, y), measureDist=False) < 0 for corners in taken):
            kept.append((sticker_id, laid))
    return kept


def _read(rgb: RgbImage, sticker_id: int, laid: Fit, settings: Settings) -> Sticker:
    """The record of a sticker, once it is known to be whole and its greys are in order."""
    corners = laid.corners_px
    height, width = rgb.shape[:2]
    if np.any(corners < -1) or np.any(corners > (width, height)):
        raise StickerError(
            "The reference sticker is cut off at the edge of the photo.",
            "Take the photo again with the whole sticker in the picture.",
        )
    if laid.weakest_side < SIDE_SEEN:
        raise StickerError(
            "One side of the reference sticker is cut off or covered.",
            "Use a whole sticker, hold the fur off it and take the photo again.",
        )
    size_mm = SIZES_MM[sticker_id] * settings.print_scale
    greys = _greys(rgb, laid, size_mm)
    if not _in_order(greys):
        raise StickerError(
            "The greys of the reference sticker are covered or washed out.",
            "Take the photo again without glare or anything lying on the sticker.",
        )
    to_mm = np.diag([size_mm, size_mm, 1.0]) @ np.linalg.inv(laid.to_px)
    u_px = float(np.hypot(FLOOR_U_PX, laid.corner_u_px))
    return Sticker("printed", sticker_id, size_mm, corners, to_mm / to_mm[2, 2], u_px, greys)


def _greys(rgb: RgbImage, laid: Fit, size_mm: float) -> NDArray[np.float64]:
    """Ladder rows (n, 6): x_mm, y_mm, nominal reflectance, linear R, G, B as seen."""
    corners = laid.corners_px
    longest = float(np.hypot(*(np.roll(corners, 1, axis=0) - corners).T).max())
    fine = max(1, round(longest / READ_SIDE))
    rows = []
    for patch in (*ladder(), *paper()):
        middle, half = np.array([patch.x, patch.y]), patch.side * PATCH_CORE / 2
        low, high = (np.round((middle + off) * READ_SIDE).astype(int) for off in (-half, half))
        colour = _typical(_upright(rgb, laid, low, high, fine).reshape(-1, 3))
        rows.append([*(middle - 0.5) * size_mm, patch.reflectance, *colour])
    return np.array(rows)


def _upright(
    rgb: RgbImage, laid: Fit, low: NDArray[np.int64], high: NDArray[np.int64], fine: int
) -> NDArray[np.float32]:
    """A part of the sticker's grid in linear light, each cell the mean of ``fine`` squared."""
    columns, rows = high - low
    x, y = (
        (np.arange(a * fine, b * fine) + 0.5) / (READ_SIDE * fine) - 0.5
        for a, b in zip(low, high, strict=True)
    )
    across, down = np.meshgrid(x, y)
    at = laid.place(np.column_stack([across.ravel(), down.ravel()]))
    limit = np.array(rgb.shape[1::-1])
    corner = np.clip(np.floor(at.min(axis=0)).astype(int) - 1, 0, limit - 1)
    end = np.clip(np.ceil(at.max(axis=0)).astype(int) + 2, corner + 1, limit)
    part = srgb_to_linear(rgb[corner[1] : end[1], corner[0] : end[0]])
    x, y = (at - corner).astype(np.float32).T.reshape(2, *across.shape)
    linear = cv2.remap(part, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return cv2.resize(linear, (int(columns), int(rows)), interpolation=cv2.INTER_AREA)


def _typical(colours: NDArray[np.float32]) -> NDArray[np.float64]:
    """Mean colour (3,) of those near the median: a whisker or a speck does not count."""
    median = np.median(colours, axis=0)
    away = np.abs(colours - median).max(axis=1)
    near = away <= 3 * np.median(away) + 1e-6
    return np.asarray(colours[near].mean(axis=0), np.float64)


def _in_order(greys: NDArray[np.float64]) -> bool:
    """Whether the printed greys come out apart and in their order, each taken from both rows.

    Correlation of ranks (Spearman 1904); equal greys do not occur among means.
    """
    printed = np.unique(greys[:, 2])
    seen = [greys[greys[:, 2] == reflectance, 3:].mean() for reflectance in printed]
    ranks = np.argsort(np.argsort(seen))
    in_order = np.corrcoef(np.arange(len(printed)), ranks)[0, 1] >= GREYS_ALIKE
    return bool(in_order and seen[0] < GREYS_APART * seen[-1])
