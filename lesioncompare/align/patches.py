"""Where small patches of skin have gone: weighted correlation of many patches at once."""

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import fft

from lesioncompare.align.channels import Field, FloatImage
from lesioncompare.records import Points
from lesioncompare.science.plane import sampling

LEAST_SHARE = 0.35  # [1] of a patch that must be skin in both photos


@dataclass(frozen=True, slots=True)
class Moves:
    """How far patches moved: middles (n, 2) and moves (n, 2) in the first photo's plane [mm].

    ``peak`` (n,) is the correlation coefficient there.
    """

    middles: Points
    moves: Points
    peak: NDArray[np.float64]


def lay(field: Field, back: Callable[[Points], Points], like: Field) -> Field:
    """``field`` resampled on the grid of ``like``, whose millimetres ``back`` takes to its own."""
    rows, columns = like.weight.shape
    x, y = sampling(
        lambda at: (back(at * like.pitch_mm + like.origin_mm) - field.origin_mm) / field.pitch_mm,
        (columns, rows),
    )
    stack = cv2.merge([*(part * field.weight for part in cv2.split(field.values)), field.weight])
    moved = cv2.remap(stack, x, y, cv2.INTER_LINEAR)
    first, second, weight = cv2.split(moved)
    share = 1 / (weight + 1e-3)
    values = cv2.merge([first * share, second * share])
    return Field(values, weight, like.origin_mm, like.pitch_mm)


def _cut(image: FloatImage, corners: NDArray[np.int64], side: int) -> FloatImage:
    """Square windows (n, side, side) with the given upper left corners (row, column)."""
    windows = np.lib.stride_tricks.sliding_window_view(image, (side, side))
    return windows[corners[:, 0], corners[:, 1]]


def match(first: Field, other: Field, middles: Points, *, half_mm: float, reach_mm: float) -> Moves:
    """Moves of the patches of ``first`` around ``middles`` that can be followed in ``other``.

    Both fields lie on the same grid. The coefficient is the masked normalised correlation of
    Padfield 2012 (10.1109/TIP.2011.2181402) with weights for masks, over both channels at once.
    """
    half, reach = (max(2, round(mm / first.pitch_mm)) for mm in (half_mm, reach_mm))
    side = 2 * (half + reach) + 1
    corners = np.round((middles - first.origin_mm) / first.pitch_mm).astype(int)[:, ::-1]
    corners -= half + reach
    fits = (corners >= 0).all(axis=1) & (corners + side <= first.weight.shape).all(axis=1)
    corners = corners[fits]
    middles = (corners[:, ::-1] + half + reach) * first.pitch_mm + first.origin_mm
    if not len(middles):
        return Moves(np.empty((0, 2)), np.empty((0, 2)), np.empty(0))
    window = np.zeros((side, side), np.float32)
    window[reach:-reach, reach:-reach] = 1
    (w, *f), (v, *g) = (
        [_cut(plane, corners, side) for plane in (field.weight, *cv2.split(field.values))]
        for field in (first, other)
    )
    coefficients = _coefficients((f, w * window), (g, v), reach, (2 * half + 1) ** 2)
    return _peaks(coefficients, middles, first.pitch_mm)


def _coefficients(
    patch: tuple[list[FloatImage], FloatImage],
    search: tuple[list[FloatImage], FloatImage],
    reach: int,
    area: int,
) -> FloatImage:
    """Correlation coefficients (n, 2 reach + 1, 2 reach + 1) for every shift within reach."""
    (values, w), (others, v) = patch, search
    size = fft.next_fast_len(w.shape[-1], real=True)

    def ahead(image: FloatImage) -> NDArray[np.complex64]:
        return fft.rfft2(image, (size, size), axes=(1, 2))

    def back(product: NDArray[np.complex64]) -> FloatImage:
        full = fft.irfft2(product, (size, size), axes=(1, 2))
        index = np.arange(-reach, reach + 1)
        return full[:, index[:, None], index[None, :]]

    w_, v_ = np.conj(ahead(w)), ahead(v)
    both = back(w_ * v_) + 1e-3
    cross_, ff, gg = np.zeros_like(v_), np.zeros_like(w), np.zeros_like(v)
    crossed, squared_f, squared_g = (np.zeros_like(both) for _ in range(3))
    for f, g in zip(values, others, strict=True):
        wf, vg = w * f, v * g
        wf_, vg_ = np.conj(ahead(wf)), ahead(vg)
        cross_ += wf_ * vg_
        ff += wf * f
        gg += vg * g
        mean_f, mean_g = back(wf_ * v_), back(w_ * vg_)
        crossed += mean_f * mean_g
        squared_f += mean_f**2
        squared_g += mean_g**2
    cross = back(cross_) - crossed / both
    power_f = back(np.conj(ahead(ff)) * v_) - squared_f / both
    power_g = back(w_ * ahead(gg)) - squared_g / both
    spread = np.sqrt(np.maximum(power_f, 0.02 * both) * np.maximum(power_g, 0.02 * both))
    return np.where(both > LEAST_SHARE * area, cross / spread, -1.0)


def _peaks(coefficient: FloatImage, middles: Points, pitch_mm: float) -> Moves:
    """The best shift of each patch to a fraction of a pixel, by a quadratic through 3 x 3."""
    count, side, _ = coefficient.shape
    inner = coefficient[:, 1:-1, 1:-1].reshape(count, -1)
    best = inner.argmax(axis=1)
    row, column = best // (side - 2) + 1, best % (side - 2) + 1
    step = np.arange(-1, 2)
    near = coefficient[
        np.arange(count)[:, None, None],
        row[:, None, None] + step[None, :, None],
        column[:, None, None] + step[None, None, :],
    ].astype(float)
    # least-squares quadratic over the 3 x 3 neighbours
    across, down = near.sum(axis=1), near.sum(axis=2)
    gx, gy = (across[:, 2] - across[:, 0]) / 6, (down[:, 2] - down[:, 0]) / 6
    hxx = (across[:, 0] - 2 * across[:, 1] + across[:, 2]) / 3
    hyy = (down[:, 0] - 2 * down[:, 1] + down[:, 2]) / 3
    hxy = (near[:, 0, 0] + near[:, 2, 2] - near[:, 0, 2] - near[:, 2, 0]) / 4
    det = hxx * hyy - hxy**2
    peak = near[:, 1, 1]
    good = (near.min(axis=(1, 2)) > -1) & (hxx < 0) & (hyy < 0) & (det > 0.02 * (hxx * hyy))
    det = np.where(det > 0, det, 1)
    shift = np.stack([hxy * gy - hyy * gx, hxy * gx - hxx * gy], axis=1) / det[:, None]
    good &= (np.abs(shift) < 1.5).all(axis=1) & (peak > 0) & (peak >= near.max(axis=(1, 2)) - 1e-9)
    moves = (np.stack([column, row], axis=1) - side // 2 + np.clip(shift, -1, 1)) * pitch_mm
    return Moves(middles[good], moves[good], peak[good])
