"""The whole drawn design laid over the photo by least squares, in linear light.

Every edge of the frame, the fiducial and the ticks pulls on one homography, so a whisker or a
nicked corner is outvoted. Light is taken out by a local fit of paper and ink, which follows soft
shadows; what disagrees gets no weight. Two nuisances are fitted along: the width of the blur, and
how far light has grown into dark (a camera's tone curve, clipped paper), which moves the two sides
of a line opposite ways and would otherwise shrink the fiducial.

References
----------
.. [1] Baker S, Matthews I (2004) Lucas-Kanade 20 years on: a unifying framework, Int J Comput
   Vis 56:221-255, doi 10.1023/B:VISI.0000011205.11775.fd (inverse compositional alignment).
.. [2] Beaton AE, Tukey JW (1974) The fitting of power series, Technometrics 16:147-185 (biweight).
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.locate.drawing import Drawing, Plane, drawn_design
from lesioncompare.locate.laid import CORNERS, FINE, FLAT, Fit, Laid, Round, bowed, reported
from lesioncompare.records import Matrix, Points, RgbImage
from lesioncompare.science.colour import luminance, srgb_to_linear
from lesioncompare.science.plane import apply_homography

COARSE = 64  # [px] side of the grid the design is first laid on
COARSE_BLUR = 2.5  # [px] on the coarse grid: about the width of the frame line
LARGEST_SIDE = 300  # [px] of the sticker in the picture it is fitted to
FIRST_BLUR = 2.0  # [px] on the fine grid
ROUNDS_COARSE, ROUNDS_FINE = 8, 30
PATIENCE, HOPELESS = 6, 0.2  # rounds after which so large a misfit [1] is given up
STILL = {COARSE: 0.3, FINE: 0.015}  # [px] of the grid: fitted once nothing moves further
RESTLESS = 0.15  # [px] of the grid: still moving so far after all rounds, it has slid off
BLUR_RANGE = (0.4, 5.0)  # [px] of the fine grid; the frame line is 6.7 wide
LEVELS_SIGMA = 0.09  # [side] neighbourhood in which paper and ink are taken as even
OUTLIER = 4.685  # [1] biweight cut-off in robust standard deviations, Beaton and Tukey 1974
LEAST_SPREAD = 0.02  # [1] of the contrast: residuals are never trusted to be smaller
LEAST_EDGE = 0.01  # [1/px] slope of the drawn light under which a pixel does not pull
BOW = slice(8, 12)  # where the bow stands among the unknowns
MOST_BOW = 0.2  # [1/side]
BOW_SD = 0.03  # [side] before looking: how far a sheet bends that is called flat


@dataclass(frozen=True, slots=True, eq=False)
class _Crop:
    """Linear luminance round the sticker; ``from_px`` takes photo pixels to its own."""

    light: Plane
    from_px: Matrix


def _crop(rgb: RgbImage, corners: Points) -> _Crop:
    """The photo round the sticker, at a whole fraction of its size if it is large there."""
    height, width = rgb.shape[:2]
    longest = float(np.hypot(*(np.roll(corners, 1, axis=0) - corners).T).max())
    times = max(1, round(longest / LARGEST_SIDE))
    room = 0.12 * longest + 4
    x0, y0 = np.maximum(np.floor(corners.min(axis=0) - room), 0).astype(int)
    x1, y1 = np.minimum(np.ceil(corners.max(axis=0) + room), (width, height)).astype(int)
    columns, rows = max(1, (x1 - x0) // times), max(1, (y1 - y0) // times)
    light = luminance(srgb_to_linear(rgb[y0 : y0 + rows * times, x0 : x0 + columns * times]))
    small = cv2.resize(light, (columns, rows), interpolation=cv2.INTER_AREA)
    shift = 0.5 / times - 0.5
    from_px = np.array(
        [[1 / times, 0, shift - x0 / times], [0, 1 / times, shift - y0 / times], [0, 0, 1.0]]
    )
    return _Crop(np.asarray(small, np.float32), from_px)


def fit(rgb: RgbImage, sticker_id: int, to_px: Matrix) -> Fit | None:
    """The design laid over the photo from a first guess; None when it slides off.

    Parameters
    ----------
    rgb
        Photo, shape (h, w, 3).
    sticker_id
        Which design.
    to_px
        First guess: centred sides to photo pixels, right to about 5 % of the side.
    """
    corners = apply_homography(to_px, CORNERS)
    crop = _crop(rgb, corners)
    if min(crop.light.shape) < 8:
        return None
    state = Laid(crop.from_px @ to_px, FLAT, COARSE_BLUR, 0.0)
    try:
        state, _ = _settle(crop, drawn_design(sticker_id, COARSE), state, ROUNDS_COARSE, free=8)
        state = Laid(state.to_picture, state.bow, FIRST_BLUR, 0.0)
        state, last = _settle(crop, drawn_design(sticker_id, FINE), state, ROUNDS_FINE, free=14)
    except np.linalg.LinAlgError:
        return None
    if last is None or not last.at_rest:
        return None
    return reported(sticker_id, crop.from_px, state, last)


def _settle(
    crop: _Crop, drawing: Drawing, state: Laid, rounds: int, *, free: int
) -> tuple[Laid, Round | None]:
    """Gauss-Newton rounds until nothing moves: the state and what the last round saw."""
    last: Round | None = None
    weight = drawing.usable.astype(np.float32)
    for turn in range(rounds):
        seen = _look(crop, drawing, state)
        columns, drawn, edge = _slopes(drawing, state)
        open_to = drawing.usable & (drawing.inset > (1.5 * state.blur + 1) / drawing.side)
        paper_ink = _levels(seen, drawn, weight * open_to)
        residual = (seen - paper_ink[0]) / paper_ink[1] - drawn
        spread = max(
            float(np.median(np.abs(residual[open_to & (edge > 0.02)]))) / 0.6745, LEAST_SPREAD
        )
        near = np.clip(1 - (residual / (OUTLIER * spread)) ** 2, 0, None)
        weight = (near**2 * open_to).astype(np.float32)
        pulls = np.flatnonzero((edge > LEAST_EDGE) & (weight > 0))
        step, normal = _solve(
            [column.ravel()[pulls] for column in columns[:free]],
            residual.ravel()[pulls],
            weight.ravel()[pulls],
            (spread / BOW_SD) ** 2,
            state.bow,
        )
        state = _moved(state, step)
        moving = float(np.abs(step[:6]).max()) * drawing.side
        still = moving < STILL[drawing.side]
        contrast = _contrast(paper_ink, open_to)
        last = Round(residual, weight, edge * open_to, contrast, moving < RESTLESS, normal, spread)
        if still or (drawing.side == FINE and turn >= PATIENCE and spread > HOPELESS):
            break
    return state, last


def _look(crop: _Crop, drawing: Drawing, state: Laid) -> Plane:
    """The photo as seen on the design's grid."""
    side = drawing.side
    at = bowed(np.column_stack([drawing.x.ravel(), drawing.y.ravel()]), state.bow)
    x, y = apply_homography(state.to_picture, at).astype(np.float32).T.reshape(2, side, side)
    seen = cv2.remap(crop.light, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    if side == COARSE:
        seen = cv2.GaussianBlur(seen, (0, 0), COARSE_BLUR / 2)
    return np.asarray(seen, np.float32)


def _slopes(drawing: Drawing, state: Laid) -> tuple[list[Plane], Plane, Plane]:
    """Derivatives of the drawn light by the fourteen unknowns, the drawn light, and its edges."""
    side, x, y = drawing.side, drawing.x, drawing.y
    plain = cv2.GaussianBlur(drawing.light, (0, 0), state.blur, borderType=cv2.BORDER_REPLICATE)
    across = cv2.Sobel(plain, cv2.CV_32F, 1, 0, ksize=1, scale=0.5, borderType=cv2.BORDER_REPLICATE)
    down = cv2.Sobel(plain, cv2.CV_32F, 0, 1, ksize=1, scale=0.5, borderType=cv2.BORDER_REPLICATE)
    edge = cv2.magnitude(across, down)
    wider = cv2.GaussianBlur(
        drawing.light, (0, 0), 1.1 * state.blur, borderType=cv2.BORDER_REPLICATE
    )
    drawn = plain + np.float32(state.growth) * edge
    across, down = across * side, down * side
    both = across * x + down * y
    odd = across * x - down * y
    columns = [across * x, across * y, across, down * x, down * y, down, -both * x, -both * y]
    columns += [across * y * y, down * x * x, odd * x, odd * y]
    return [*columns, edge, (wider - plain) / np.float32(0.1)], drawn, edge


def _levels(seen: Plane, drawn: Plane, weight: Plane) -> tuple[Plane, Plane]:
    """Ink level and the step from ink to paper at each place, by local weighted lines."""
    side = len(seen)
    less = side // 4
    light, design = weight * seen, weight * drawn
    sums = cv2.merge([weight, light, design, light * drawn, design * drawn])
    small = cv2.resize(sums, (less, less), interpolation=cv2.INTER_AREA)
    near = cv2.GaussianBlur(small, (0, 0), LEVELS_SIGMA * less, borderType=cv2.BORDER_REPLICATE)
    total = np.maximum(near[..., 0], 1e-6)
    mean_seen, mean_drawn = near[..., 1] / total, near[..., 2] / total
    both = near[..., 3] / total - mean_seen * mean_drawn
    spread = near[..., 4] / total - mean_drawn**2
    overall = float((both * total).sum() / max((spread * total).sum(), 1e-9))
    steady = 0.02  # [1] variance of drawn light under which the sticker's overall step is used
    step = (both + steady * overall) / (spread + steady)
    step = np.maximum(step, max(0.2 * overall, 1e-4))
    ink = mean_seen - step * mean_drawn
    size = (side, side)
    return (
        cv2.resize(ink, size, interpolation=cv2.INTER_LINEAR),
        cv2.resize(step.astype(np.float32), size, interpolation=cv2.INTER_LINEAR),
    )


def _contrast(paper_ink: tuple[Plane, Plane], where: NDArray[np.bool_]) -> float:
    """Paper minus ink over paper, at the median [1]."""
    ink, step = paper_ink[0][where], paper_ink[1][where]
    return float(np.median(step / np.maximum(ink + step, 1e-4)))


def _solve(
    columns: list[Plane],
    residual: Plane,
    weight: Plane,
    stiff: float,
    bow: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Weighted least-squares step and its normal matrix; a sheet resists being bent further."""
    matrix = np.stack(columns)
    weighted = matrix * weight
    # einsum, not BLAS: its threads cost more than these small sums when other work is running
    normal = np.einsum("in,jn->ij", weighted, matrix).astype(np.float64)
    pull = np.einsum("in,n->i", weighted, residual).astype(np.float64)
    if len(columns) > BOW.start:
        normal[BOW, BOW] += np.diag(np.full(4, stiff))
        pull[BOW] += stiff * bow  # a step of the drawing against the bow flattens it
    steadied = normal + np.diag(1e-6 * np.diag(normal) + 1e-9)
    return np.linalg.solve(steadied, pull), normal


def _moved(state: Laid, step: NDArray[np.float64]) -> Laid:
    """The state after a step, held to what a camera can do."""
    move = np.append(step[:8], 0.0).reshape(3, 3) + np.eye(3)
    to_picture = state.to_picture @ np.linalg.inv(move)
    to_picture /= to_picture[2, 2]
    if len(step) == BOW.start:
        return Laid(to_picture, state.bow, state.blur, state.growth)
    bow = np.clip(state.bow - step[BOW], -MOST_BOW, MOST_BOW)
    growth = float(np.clip(state.growth + step[12], -2, 2))
    blur = float(np.clip(state.blur * np.exp(np.clip(step[13], -0.7, 0.7)), *BLUR_RANGE))
    return Laid(to_picture, bow, blur, growth)
