"""What of skin stays the same when the light, the hair and the place of the sticker do not.

Two optical densities carry it: darkness (pigment) and redness (blood). A sum of densities turns
light into an added, slowly varying field, which a band-pass removes; dividing by the local spread
then gives a faint mottle the same say as a black spot.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.records import Matrix, Points, Scene

FloatImage = NDArray[np.float32]

DARKNESS = np.array([0.3, 0.4, 0.3], np.float32)  # [1] weights of the densities of R, G, B
GLINT_DENSITY = 0.12  # [1] darker than this in every channel is no glint; white paper is 0.05
GLINT_REDNESS = 0.06  # [1] a glint has the colour of the light, skin is redder
FINEST_MM = 0.1  # [mm] finer than this nothing of skin stays the same
HAIR_WIDTH_MM = 0.8  # [mm] side of the median that a hair, at most 0.3 mm wide, cannot move
HAIR_NEAR_MM = 1.2  # [mm] sd of the surroundings that a hair stands out from
NOISE_DENSITY = 0.006  # [1] spread about the median below which nothing counts as hair
COARSE_SIGMA_PX = 2.5  # [px] a Gaussian this wide is as good on a coarser grid
FAINT_DENSITY = 0.004  # [1] local spread under which a channel says nothing


@dataclass(frozen=True, slots=True)
class Field:
    """Two channels of skin with their weights on a millimetre grid.

    ``values`` (h, w, 2) are darkness and redness; ``weight`` (h, w) is 0 where there is no skin to
    see and 1 where it is clear.
    """

    values: FloatImage
    weight: FloatImage
    origin_mm: tuple[float, float]
    pitch_mm: float

    @property
    def to_mm(self) -> Matrix:
        """Matrix from (column, row) to millimetres."""
        (x, y), pitch = self.origin_mm, self.pitch_mm
        return np.array([[pitch, 0, x], [0, pitch, y], [0, 0, 1.0]])


def densities(scene: Scene) -> Field:
    """Darkness and redness of a scene as optical densities, glints and hairs weighed away."""
    linear, valid, times = scene.linear, scene.valid.astype(np.float32), 1
    if scene.pitch_mm < FINEST_MM:
        times = round(FINEST_MM / scene.pitch_mm)
        linear, valid = _blocks(linear, times), _blocks(valid, times)
    density = -np.log10(np.clip(linear, 0.01, 1.2))
    darkness = density @ DARKNESS
    redness = density[..., 1] - density[..., 0]
    weight = cv2.erode((valid > 0.99).astype(np.float32), np.ones((3, 3)))
    glint = (darkness < GLINT_DENSITY) & (np.abs(redness) < GLINT_REDNESS)
    weight *= 1 - cv2.dilate(glint.astype(np.uint8), np.ones((3, 3)))
    pitch, shift = times * scene.pitch_mm, (times - 1) / 2 * scene.pitch_mm
    weight *= _bare(darkness, weight, pitch)
    origin = (scene.origin_mm[0] + shift, scene.origin_mm[1] + shift)
    return Field(np.dstack([darkness, redness]), weight, origin, pitch)


def _blocks(image: FloatImage, times: int) -> FloatImage:
    """Means of whole blocks of ``times`` by ``times`` pixels."""
    rows, columns = (side // times for side in image.shape[:2])
    part = image[: rows * times, : columns * times]
    return cv2.resize(part, (columns, rows), interpolation=cv2.INTER_AREA)


def _bare(darkness: FloatImage, weight: FloatImage, pitch_mm: float) -> FloatImage:
    """1 on skin, near 0 on a hair: what departs from the median around it."""
    coded = np.clip(darkness * 200, 0, 255).astype(np.uint8)
    side = max(3, round(HAIR_WIDTH_MM / pitch_mm) | 1)
    off = np.abs(cv2.medianBlur(coded, side).astype(np.float32) / 200 - np.minimum(darkness, 1.27))
    # what is usual nearby: mottled skin departs more than smooth skin, a lone hair more than both
    size = off.shape[::-1]
    times = max(1, int(HAIR_NEAR_MM / pitch_mm / 3))
    small = cv2.resize(
        np.dstack([off * weight, weight]),
        [max(4, side // times) for side in size],
        interpolation=cv2.INTER_AREA,
    )
    total = cv2.GaussianBlur(small, (0, 0), HAIR_NEAR_MM / pitch_mm / times)
    usual = cv2.resize(total[..., 0] / (total[..., 1] + 1e-3), size)
    spread = np.maximum(1.25 * usual, NOISE_DENSITY)
    return 1 / (1 + (off / (3 * spread)) ** 4)


def coarsen(field: Field, pitch_mm: float) -> Field:
    """Weighted block means near the wanted pitch; the field itself if that is no coarser."""
    height, width = field.weight.shape
    small = [max(8, round(side * field.pitch_mm / pitch_mm)) for side in (width, height)]
    if small[0] >= width or small[1] >= height:
        return field
    weight = cv2.resize(field.weight, small, interpolation=cv2.INTER_AREA)
    share = 1 / (weight + 1e-4)
    values = cv2.merge(
        [
            cv2.resize(part * field.weight, small, interpolation=cv2.INTER_AREA) * share
            for part in cv2.split(field.values)
        ]
    )
    pitch = field.pitch_mm * width / small[0]
    shift = (pitch - field.pitch_mm) / 2
    origin = (field.origin_mm[0] + shift, field.origin_mm[1] + shift)
    return Field(values, weight, origin, pitch)


def near(field: Field, middle: tuple[float, float], half_mm: float) -> Field:
    """The square part of a field round a place, as far as there is one."""
    cut, origin = [], []
    for axis, side in ((0, field.weight.shape[1]), (1, field.weight.shape[0])):
        at, half = (middle[axis] - field.origin_mm[axis]) / field.pitch_mm, half_mm / field.pitch_mm
        low = min(max(round(at - half), 0), side - 8)
        cut.append(slice(low, max(round(at + half), low + 8)))
        origin.append(field.origin_mm[axis] + low * field.pitch_mm)
    part = (cut[1], cut[0])
    return Field(field.values[part], field.weight[part], (origin[0], origin[1]), field.pitch_mm)


def without(field: Field, contour: Points, grow_mm: float) -> Field:
    """The field with nothing left inside a contour and within a distance of it."""
    hole = np.zeros(field.weight.shape, np.uint8)
    grid = (contour - field.origin_mm) / field.pitch_mm
    cv2.fillPoly(hole, [np.round(grid * 16).astype(np.int32)], 1, shift=4)
    side = 2 * max(1, round(grow_mm / field.pitch_mm)) + 1
    hole = cv2.dilate(hole, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side)))
    return Field(field.values, field.weight * (hole == 0), field.origin_mm, field.pitch_mm)


def band(field: Field, fine_mm: float, wide_mm: float) -> Field:
    """The channels between two scales, with local mean 0 and local spread 1.

    ``fine_mm`` and ``wide_mm`` are the standard deviations of the Gaussians that bound the band.
    Means count each pixel by its weight (normalised convolution, Knutsson & Westin 1993).
    """
    values, weight, pitch = field.values, field.weight, field.pitch_mm
    fine = values
    if fine_mm > 0.3 * pitch:
        fine, _ = _mean(values, weight, fine_mm / pitch)
    coarse, near = _mean(values, weight, wide_mm / pitch)
    part = fine - coarse
    power, _ = _mean(part**2, weight, 1.2 * wide_mm / pitch)
    part = np.clip(part / np.sqrt(power + FAINT_DENSITY**2), -3, 3)
    return Field(part, weight * (near > 0.15), field.origin_mm, pitch)


def _mean(image: FloatImage, weight: FloatImage, sigma_px: float) -> tuple[FloatImage, FloatImage]:
    """Gaussian mean of (h, w, 2) that counts each pixel by its weight, and the mean weight.

    A wide one is taken on a coarser grid: nothing in it is finer.
    """
    first, second = cv2.split(image)
    stack = cv2.merge([first * weight, second * weight, weight])
    size = weight.shape[::-1]
    times = max(1.0, sigma_px / COARSE_SIGMA_PX)
    if times > 1:
        less = [max(1, round(side / times)) for side in size]
        stack = cv2.resize(stack, less, interpolation=cv2.INTER_AREA)
    total = cv2.GaussianBlur(stack, (0, 0), sigma_px / times, borderType=cv2.BORDER_CONSTANT)
    if times > 1:
        total = cv2.resize(total, size, interpolation=cv2.INTER_LINEAR)
    first, second, near = cv2.split(total)
    share = 1 / (near + 1e-4)
    return cv2.merge([first * share, second * share]), near
