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
    masks; two channels ride as real and imaginary part of one image through one transform.
    """
    side = int(2 * RADIUS_MM / this.pitch_mm) | 1
    centre = np.array([[1, 0, circle.x], [0, 1, circle.y], [0, 0, 1.0]])
    size = fft.next_fast_len(max(this.weight.shape) + side // 2)
    skin, values = this.weight, this.values
    power = skin * (values[..., 0] ** 2 + values[..., 1] ** 2)
    image_ = _ahead(_packed(values) * skin, size)
    skin_ = _ahead(np.asarray(skin + 1j * power, np.complex64), size)
    stack = np.dstack([first.values * first.weight[..., None], first.weight])
    found: list[Guess] = []
    for degrees in np.arange(TURNS) * (360 / TURNS):
        to_first = np.linalg.inv(first.to_mm) @ centre @ turn(degrees)
        patch = _patch(stack, to_first, this.pitch_mm, side)
        score = _score(patch, image_, skin_, this.weight.shape)
        found += [(s, degrees, row, column) for s, row, column in _tops(score)]
    return _distinct(sorted(found, reverse=True), this, circle)


def turn(degrees: float) -> Matrix:
    """A turn about the origin."""
    matrix = np.eye(3)
    matrix[:2] = cv2.getRotationMatrix2D((0, 0), -degrees, 1.0)
    return matrix


def _packed(values: FloatImage) -> NDArray[np.complex64]:
    return values[..., 0] + 1j * values[..., 1]


def _ahead(image: NDArray[np.complex64] | FloatImage, size: int) -> NDArray[np.complex64]:
    return fft.fft2(image.astype(np.complex64), (size, size))


def _patch(stack: FloatImage, to_first: Matrix, pitch: float, side: int) -> Field:
    """The first photo's skin round the spot, weighed, as this photo would show it."""
    edge = -(side - 1) / 2 * pitch
    grid = np.array([[pitch, 0, edge], [0, pitch, edge], [0, 0, 1.0]])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    cut = cv2.warpAffine(stack, (to_first @ grid)[:2], (side, side), flags=flags)
    steps = edge + np.arange(side) * pitch
    cut *= (np.hypot(steps[:, None], steps) <= RADIUS_MM)[..., None]
    return Field(cut[..., :2], cut[..., 2], (edge, edge), pitch)


def _score(
    patch: Field,
    image_: NDArray[np.complex64],
    skin_: NDArray[np.complex64],
    shape: tuple[int, ...],
) -> FloatImage:
    """Correlation with the patch's middle at each pixel, less where little of it is seen."""
    size, half = len(image_), patch.weight.shape[0] // 2
    whole = max(float(patch.weight.sum()), 1e-3)
    cross = fft.ifft2(image_ * np.conj(_ahead(_packed(patch.values), size))).real
    seen = fft.ifft2(skin_ * np.conj(_ahead(patch.weight, size)))
    share = seen.real / whole
    power = float((patch.values**2).sum()) / whole * seen.real * seen.imag
    score = cross * np.sqrt(np.clip(share, 0, 1) / np.maximum(power, 1e-3))
    score[share < LEAST_SHARE] = -1
    return np.roll(score, (half, half), (0, 1))[: shape[0], : shape[1]]


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
