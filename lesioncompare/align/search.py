"""Where the first photo's spot may be in this photo: every place, every turn."""

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import fft

from lesioncompare.align.channels import Field, FloatImage
from lesioncompare.records import Circle, Matrix

RADIUS_MM = 8.0  # [mm] of skin round the spot that is looked for
TURNS = 60  # one each 6°: 0.4 mm at the rim, about the finest mottle kept
LEAST_SHARE = 0.25  # [1] of the patch that must be skin in this photo
KEPT = 4  # hypotheses
APART_MM = 1.0  # [mm] two hypotheses nearer than this and ...
APART_DEG = 12.0  # [°] ... turned by less than this are one

Guess = tuple[float, float, int, int]  # score, turn [°], row, column


def hypotheses(first: Field, this: Field, circle: Circle) -> list[Matrix]:
    """The turns and places at which this photo looks most like the first, best first.

    Each is a turn and shift from this photo's millimetres to the first photo's. The score is the
    masked normalised correlation of Padfield 2012 (10.1109/TIP.2011.2181402), with weights for
    masks, over both channels at once.
    """
    side = int(2 * RADIUS_MM / this.pitch_mm) | 1
    seen = _seen(this)
    skin, values = seen.weight, cv2.split(seen.values)
    size = [fft.next_fast_len(length + side // 2, real=True) for length in skin.shape]
    power = skin * (values[0] ** 2 + values[1] ** 2)
    planes = np.stack([skin * values[0], skin * values[1], skin, power])
    room = (side // 2, 0)  # so that a place is that of the patch's middle, not of its corner
    planes_ = fft.rfft2(np.pad(planes, ((0, 0), room, room)), size)
    stack = cv2.merge([*(part * first.weight for part in cv2.split(first.values)), first.weight])
    centre = np.array([[1, 0, circle.x], [0, 1, circle.y], [0, 0, 1.0]])
    centre = np.linalg.inv(first.to_mm) @ centre
    found: list[Guess] = []
    for degrees in np.arange(TURNS) * (360 / TURNS):
        patch = _patch(stack, centre @ turn(degrees), this.pitch_mm, side)
        score = _score(patch, planes_, size)[: skin.shape[0], : skin.shape[1]]
        found += [(s, degrees, row, column) for s, row, column in _tops(score)]
    return _distinct(sorted(found, reverse=True), seen, circle)


def _seen(field: Field) -> Field:
    """The part of a field that holds skin: the rest would only be transformed in vain."""
    left, top, width, height = cv2.boundingRect((field.weight > 0).astype(np.uint8))
    part = np.s_[top : top + max(height, 8), left : left + max(width, 8)]
    origin = (
        field.origin_mm[0] + left * field.pitch_mm,
        field.origin_mm[1] + top * field.pitch_mm,
    )
    return Field(field.values[part], field.weight[part], origin, field.pitch_mm)


def turn(degrees: float) -> Matrix:
    """A turn about the origin."""
    matrix = np.eye(3)
    matrix[:2] = cv2.getRotationMatrix2D((0, 0), -degrees, 1.0)
    return matrix


def _patch(stack: FloatImage, to_first: Matrix, pitch: float, side: int) -> FloatImage:
    """The first photo's skin round the spot as this photo would show it: (3, side, side)."""
    edge = -(side - 1) / 2 * pitch
    grid = np.array([[pitch, 0, edge], [0, pitch, edge], [0, 0, 1.0]])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    cut = cv2.warpAffine(stack, (to_first @ grid)[:2], (side, side), flags=flags)
    steps = edge + np.arange(side) * pitch
    return np.moveaxis(cut, -1, 0) * (np.hypot(steps[:, None], steps) <= RADIUS_MM)


def _score(patch: FloatImage, planes_: NDArray[np.complex64], size: list[int]) -> FloatImage:
    """Correlation with the patch's middle at each pixel, less where little of it is seen."""
    whole = max(float(patch[2].sum()), 1e-3)
    one_, two_, skin_ = np.conj(fft.rfft2(patch, size))
    shown_ = planes_[0] * one_ + planes_[1] * two_, planes_[2] * skin_, planes_[3] * skin_
    cross, seen, power = fft.irfft2(np.stack(shown_), size)
    share = seen / whole
    power *= seen * (float((patch[:2] ** 2).sum()) / whole)
    score = cross * np.sqrt(np.clip(share, 0, 1) / np.maximum(power, 1e-3))
    score[share < LEAST_SHARE] = -1
    return score


def _tops(score: FloatImage) -> list[tuple[float, int, int]]:
    """The few highest local maxima as score, row, column."""
    ridge = cv2.dilate(score, np.ones((3, 3)))
    rows, columns = np.unravel_index(np.argpartition(score.ravel(), -6)[-6:], score.shape)
    places = zip(rows.tolist(), columns.tolist(), strict=True)
    return [(float(score[r, c]), r, c) for r, c in places if score[r, c] >= ridge[r, c]]


def _distinct(found: list[Guess], this: Field, circle: Circle) -> list[Matrix]:
    """The best guesses that differ by more than the search's own steps."""
    kept: list[tuple[float, float, float]] = []
    guesses: list[Matrix] = []
    for _, degrees, row, column in found:
        x = this.origin_mm[0] + column * this.pitch_mm
        y = this.origin_mm[1] + row * this.pitch_mm
        if len(guesses) < KEPT and not any(
            np.hypot(x - a, y - b) < APART_MM
            and abs((degrees - other + 180) % 360 - 180) < APART_DEG
            for a, b, other in kept
        ):
            kept.append((x, y, degrees))
            matrix = turn(degrees)
            matrix[:2, 2] = np.array([circle.x, circle.y]) - matrix[:2, :2] @ [x, y]
            guesses.append(matrix)
    return guesses
