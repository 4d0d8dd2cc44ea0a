"""How blurred the photo is, in millimetres: on the sticker's known edges, and at the spot.

References
----------
.. [1] ISO 12233:2023, 6.2 (sharpness from the profile across a known edge).
.. [2] Zhuo S, Sim T (2011) Defocus map estimation from a single image, Pattern Recognition
   44:1852-1858, doi 10.1016/j.patcog.2011.03.009 (blur from the ratio of gradients before and after
   a known further blur).
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.design import MARKER_SIDE
from lesioncompare.judge.spot import Cutout
from lesioncompare.records import Photo, Points, Sticker
from lesioncompare.science.colour import srgb_to_linear, straighten
from lesioncompare.science.plane import apply_homography

REACH = 0.05  # [sticker side] to both sides of an edge; nothing else is printed nearer
ALONG = 48  # profiles across one edge; their median ignores a hair
ACROSS = 41  # samples of a profile
ENDS = 6  # samples at each end of a profile that give its levels
LEAST_STEP = 0.02  # [1] of an edge in linear light; less tells nothing
RISE_SIGMAS = 1.989  # [1] sigmas between 16 and 84 % of a Gaussian edge
MORE_PX = (1.5, 3.0)  # [px] two further blurs for the ratio
STRONGEST = 0.05  # [1] share of pixels with the strongest gradients, taken as edges


def sticker_blur_mm(photo: Photo, sticker: Sticker, bend: float = 0.0) -> float | None:
    """Standard deviation of the blur over the sticker's edges, in the worse direction [mm].

    None when too little of the edges can be seen. A lively tone curve makes edges look sharper
    than they are: ``bend`` is how S-shaped it is (see ``science.colour.straighten``).
    """
    worst: list[float] = []
    for pair in _edges(sticker):
        found = [
            blur for edge in pair if (blur := _edge_blur(photo, sticker, edge, bend)) is not None
        ]
        if found:
            worst.append(min(found))  # a nicked or hairy edge looks softer than it is
    return max(worst, default=None)


def _edges(sticker: Sticker) -> list[list[tuple[Points, Points]]]:
    """Points on printed edges and outward normals [mm], by direction, (n, 2) each."""
    if sticker.kind == "round":
        return _round_edges(sticker.size_mm / 2)
    half = MARKER_SIDE / 2 * sticker.size_mm
    along, out = np.linspace(-0.8, 0.8, ALONG) * half, np.full(ALONG, half)
    nil, one = np.zeros(ALONG), np.ones(ALONG)
    return [
        [
            (np.column_stack([along, sign * out]), np.column_stack([nil, sign * one]))
            for sign in (-1, 1)
        ],
        [
            (np.column_stack([sign * out, along]), np.column_stack([sign * one, nil]))
            for sign in (-1, 1)
        ],
    ]


def _round_edges(radius: float) -> list[list[tuple[Points, Points]]]:
    """Four quarters of a round dot's rim; opposite ones face the same direction."""
    quarters = []
    for middle in np.arange(4) * np.pi / 2:
        turn = middle + np.linspace(-0.7, 0.7, ALONG)
        normal = np.column_stack([np.cos(turn), np.sin(turn)])
        quarters.append((radius * normal, normal))
    return [[quarters[0], quarters[2]], [quarters[1], quarters[3]]]


def _edge_blur(
    photo: Photo, sticker: Sticker, edge: tuple[Points, Points], bend: float
) -> float | None:
    """Blur across one edge [mm]."""
    points, normals = edge
    offset = np.linspace(-REACH, REACH, ACROSS) * sticker.size_mm
    at_mm = points[:, None] + offset[None, :, None] * normals[:, None]
    at_px = apply_homography(np.linalg.inv(sticker.px_to_mm), at_mm.reshape(-1, 2))
    profiles = _green_at(photo, at_px)
    if profiles is None:
        return None
    profile = np.median(profiles.reshape(ALONG, ACROSS), axis=0)
    return _rise(offset, straighten(profile, bend))


def _green_at(photo: Photo, at_px: Points) -> NDArray[np.float32] | None:
    """Linear green light at points (n, 2) [px]; None when one lies outside the photo."""
    height, width = photo.rgb.shape[:2]
    low, high = np.floor(at_px.min(axis=0)).astype(int), np.ceil(at_px.max(axis=0)).astype(int) + 1
    if (low < 0).any() or high[0] > width or high[1] > height:
        return None
    green = srgb_to_linear(photo.rgb[low[1] : high[1], low[0] : high[0], 1])
    x, y = (at_px - low).astype(np.float32).T
    return cv2.remap(green, x[None], y[None], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)[0]


def _rise(offset: NDArray[np.float64], profile: NDArray[np.float64]) -> float | None:
    """Standard deviation of the Gaussian whose edge rises as the profile does."""
    low, high = np.median(profile[:ENDS]), np.median(profile[-ENDS:])
    if abs(high - low) < LEAST_STEP * max(float(profile.max()), 1e-3):
        return None
    share = (profile - low) / (high - low)
    start = ACROSS // 4 + int(np.argmin(np.abs(share[ACROSS // 4 : -ACROSS // 4] - 0.5)))
    below = np.flatnonzero(share[: start + 1] <= 0.16)
    above = np.flatnonzero(share[start:] >= 0.84)
    if not (len(below) and len(above)):
        return None
    first, last = int(below[-1]), start + int(above[0])
    return float(
        (_crossing(offset, share, last - 1, 0.84) - _crossing(offset, share, first, 0.16))
        / RISE_SIGMAS
    )


def _crossing(
    offset: NDArray[np.float64], share: NDArray[np.floating], at: int, level: float
) -> float:
    """Where the profile crosses a level between sample ``at`` and the next."""
    step = share[at + 1] - share[at]
    part = np.clip((level - share[at]) / step, 0, 1) if step else 0.5
    return float(offset[at] + part * (offset[at + 1] - offset[at]))


def spot_blur_px(cutout: Cutout) -> float:
    """Blur of the strongest edges in and beside the spot, their own softness included [px].

    Infinite where nothing has an edge.
    """
    light = cutout.linear @ np.array([0.25, 0.5, 0.25], np.float32)
    fine, coarse = (_slope(cv2.GaussianBlur(light, (0, 0), more)) for more in MORE_PX)
    known = cutout.inside | cutout.ring
    if not known.any():
        return float("inf")
    edge = known & (coarse >= np.quantile(coarse[known], 1 - STRONGEST))
    ratio = float(np.median(fine[edge] / np.maximum(coarse[edge], 1e-9)))
    if ratio <= 1.01:
        return float("inf")
    squared = (MORE_PX[1] ** 2 - ratio**2 * MORE_PX[0] ** 2) / (ratio**2 - 1)
    return float(np.sqrt(max(squared, 0.0)))


def _slope(light: NDArray[np.float32]) -> NDArray[np.float32]:
    across = cv2.Sobel(light, cv2.CV_32F, 1, 0, scale=0.125)
    return np.hypot(across, cv2.Sobel(light, cv2.CV_32F, 0, 1, scale=0.125))
