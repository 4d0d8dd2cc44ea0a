"""A square neighbourhood of a photo on a millimetre grid, in steady colour."""

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.records import Calibration, Circle, Light, Mask, Matrix, Photo, Scene, Sticker
from lesioncompare.science.colour import linear_to_lab, straightened
from lesioncompare.science.plane import apply_homography, local_scale

Axis = NDArray[np.float64]

STICKER_MARGIN_MM = 0.8  # [mm] round the sticker: cut paper, its shadow, blur
FINEST_MM, COARSEST_MM = 0.02, 0.05  # [mm] pitch of a close-up: a 3 mm spot has 60 px or more
ROOM_FACTOR, ROOM_MM = 2.2, 9.0  # skin round the spot: times its radius, or beyond its edge [mm]
LARGEST_SIDE = 700  # [px] of a close-up, for speed
WIDE_HALF_MM = 45.0  # [mm] half width of an overview, where the photo goes as far
WIDE_PITCH_MM = 0.15  # [mm] finest pitch of an overview
WIDE_SIDE = 600  # [px] of an overview
FAR_SIDES = 2.0  # [sticker sides] beyond which the gradient of light is held
LEAST_LIGHT = 0.2  # [1] of the light on the sticker: less is not divided by


def take_scene(  # noqa: PLR0913  three records and the three numbers of a grid
    photo: Photo,
    sticker: Sticker,
    calibration: Calibration,
    *,
    centre_mm: tuple[float, float],
    half_width_mm: float,
    pitch_mm: float,
) -> Scene:
    """The square neighbourhood of a place in the sticker's plane, area-averaged once.

    Parameters
    ----------
    photo, sticker, calibration
        What is known of the photo so far.
    centre_mm
        Middle of the square, in the sticker's millimetres [mm].
    half_width_mm
        Half its side [mm].
    pitch_mm
        Grid step [mm].
    """
    side = 2 * round(half_width_mm / pitch_mm) + 1
    reach = (side - 1) / 2 * pitch_mm
    origin = (centre_mm[0] - reach, centre_mm[1] - reach)
    grid_to_mm = np.array([[pitch_mm, 0, origin[0]], [0, pitch_mm, origin[1]], [0, 0, 1]])
    to_px = _mm_to_px(calibration) @ grid_to_mm
    steps = pitch_mm * np.arange(side, dtype=np.float64)
    along = (origin[0] + steps, origin[1] + steps)
    linear = _averaged(photo, to_px, side, _reflectances(calibration.light))
    linear *= cv2.merge([_evened(calibration.light, along, sticker.size_mm)] * 3)
    linear = np.maximum(linear, 0, out=linear)
    valid = _inside(photo, to_px, side) & ~_on_sticker(sticker, along)
    return Scene(linear, linear_to_lab(linear), valid, origin, pitch_mm)


def close_up(photo: Photo, sticker: Sticker, calibration: Calibration, circle: Circle) -> Scene:
    """The spot with enough skin round it to align and to judge, as fine as the photo is."""
    half = max(ROOM_FACTOR * circle.radius, circle.radius + ROOM_MM)
    pitch = min(max(calibration.mm_per_px, FINEST_MM), COARSEST_MM)
    pitch = max(pitch, 2 * half / LARGEST_SIDE)
    return take_scene(
        photo,
        sticker,
        calibration,
        centre_mm=(circle.x, circle.y),
        half_width_mm=half,
        pitch_mm=pitch,
    )


def overview(photo: Photo, sticker: Sticker, calibration: Calibration) -> Scene:
    """The wide surroundings of sticker and spot, coarse: for finding the place again."""
    height, width = photo.rgb.shape[:2]
    rim = np.array([[0, 0], [width - 1, 0], [width - 1, height - 1], [0, height - 1.0]])
    far = apply_homography(calibration.px_to_mm, rim)
    half = min(WIDE_HALF_MM, float(np.abs(far).max()))
    pitch = max(WIDE_PITCH_MM, 2 * half / WIDE_SIDE)
    return take_scene(
        photo, sticker, calibration, centre_mm=(0.0, 0.0), half_width_mm=half, pitch_mm=pitch
    )


def _mm_to_px(calibration: Calibration) -> Matrix:
    """Millimetres to pixels, with positive weight on the sticker's side of the horizon."""
    matrix = np.linalg.inv(calibration.px_to_mm)
    return np.asarray(matrix / matrix[2, 2])


def _averaged(
    photo: Photo, to_px: Matrix, side: int, light_of: NDArray[np.float32]
) -> NDArray[np.float32]:
    """Light (side, side, 3) of the photo on the grid, each cell the mean of what it covers.

    A photo much finer than the grid is first brought near it in code values, whole blocks at a
    time: that saves a floating copy of the photo and differs from a linear mean by less than the
    noise.
    """
    height, width = photo.rgb.shape[:2]
    corners = np.array([[0, 0], [side - 1, 0], [side - 1, side - 1], [0, side - 1.0]])
    seen = apply_homography(to_px, corners)
    step_px = float(local_scale(to_px, [[side / 2, side / 2]])[0])
    times = max(1, int(step_px))
    room = 2 * times + 2
    x0, y0 = np.clip(np.floor(seen.min(axis=0)).astype(int) - room, 0, (width - 1, height - 1))
    x1, y1 = np.clip(np.ceil(seen.max(axis=0)).astype(int) + room, 1, (width, height))
    columns, rows = max((x1 - x0) // times, 1), max((y1 - y0) // times, 1)
    part = photo.rgb[y0 : y0 + rows * times, x0 : x0 + columns * times]
    if times > 1:
        part = cv2.resize(part, (int(columns), int(rows)), interpolation=cv2.INTER_AREA)
    light = cv2.LUT(part, light_of)
    fine = max(1, int(np.ceil(1.2 * step_px / times - 0.3)))
    shift, step, back = 0.5 / times - 0.5, 1 / fine, 0.5 / fine - 0.5
    from_px = np.array(
        [[1 / times, 0, shift - x0 / times], [0, 1 / times, shift - y0 / times], [0, 0, 1]]
    )
    finer = np.array([[step, 0, back], [0, step, back], [0, 0, 1]])
    large = cv2.warpPerspective(
        light,
        from_px @ to_px @ finer,
        (side * fine, side * fine),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    if fine > 1:
        large = cv2.resize(large, (side, side), interpolation=cv2.INTER_AREA)
    return np.asarray(large, np.float32)


def _reflectances(light: Light) -> NDArray[np.float32]:
    """Reflectance of each code value in each channel, at the sticker's middle, (1, 256, 3)."""
    straight = straightened(light.bend)[None, :, None]
    return np.asarray((straight - light.offset) / light.gain, np.float32)


def _evened(light: Light, along: tuple[Axis, Axis], size_mm: float) -> NDArray[np.float32]:
    """What makes up for the fall of light from the sticker's middle, (side, side) [1]."""
    far = FAR_SIDES * size_mm
    x, y = (np.clip(axis, -far, far).astype(np.float32) for axis in along)
    gx, gy = light.gradient.astype(np.float32)
    return 1 / np.maximum(gx * x[None, :] + (1 + gy * y)[:, None], np.float32(LEAST_LIGHT))


def _inside(photo: Photo, to_px: Matrix, side: int) -> Mask:
    """Where the grid lies inside the photo: ahead of the camera and within its four sides."""
    height, width = photo.rgb.shape[:2]
    x, y, weight = to_px
    at = np.arange(side, dtype=np.float64)
    within = np.ones((side, side), bool)
    for a, b, c in (weight, x, y, (width - 1) * weight - x, (height - 1) * weight - y):
        within &= np.greater_equal.outer(b * at + c, -a * at)
    return within


def _on_sticker(sticker: Sticker, along: tuple[Axis, Axis]) -> Mask:
    """Where the grid lies on the sticker or close round it."""
    half = sticker.size_mm / 2 + STICKER_MARGIN_MM
    x, y = along
    if sticker.kind == "round":
        return np.asarray(np.hypot(x[None, :], y[:, None]) < half)
    return np.asarray((np.abs(x) < half)[None, :] & (np.abs(y) < half)[:, None])
