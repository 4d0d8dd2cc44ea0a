"""The plain round dot in a photo: at a place that was pointed at, or alone by colour and shape.

A pointed-at dot is found by rays: steps of colour along each ray from that point vote for an
ellipse round it. A dot that nobody pointed at is looked for among the outlines of light, dark and
coloured areas; it must be the only one with a sharp, wholly elliptical rim.
"""

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.errors import StickerError
from lesioncompare.locate.ellipse import RAYS, Ellipse, Rim, ellipse_through, fit_rim
from lesioncompare.records import Points, RgbImage, Sticker

Array = NDArray[np.float64]

LONGEST = 1000  # [px] longest side of the picture in which a dot is looked for
LEAST_PX = 8.0  # [px] minor semi-axis of a dot in it; finer ones give no millimetres
SEEN_POINTED, SEEN_ALONE = 0.6, 0.85  # [1] share of the rim that must be there
SPREAD_POINTED, SPREAD_ALONE = 0.05, 0.010  # [1] scatter of the rim over its radius
CONTRAST_POINTED, CONTRAST_ALONE = 0.04, 0.3  # [1] step of light across the rim
SLIMMEST = 0.6  # [1] minor over major axis: a tilt of 53 degrees
TRIES, PEAKS = 500, 3  # ellipses tried; steps kept on each ray
GREAT = 8.0  # [code/px] a step from here on has a full vote
NEAR = 0.03  # [1] of its distance: a step this near to an ellipse votes for it
LEVELS = 16  # between the least and the greatest value of a channel, at which areas are cut
ROUND = 0.965  # [1] area of an outline over that of its ellipse, and the reverse


def locate_dot(rgb: RgbImage, diameter_mm: float, near_px: tuple[float, float] | None) -> Sticker:
    """The round dot of a stated diameter.

    Parameters
    ----------
    rgb
        Photo, shape (h, w, 3).
    diameter_mm
        Its true diameter [mm].
    near_px
        A point on it; None when it is alone in the photo [px].

    Raises
    ------
    StickerError
        When there is none, more than one, or it is not wholly in the picture.
    """
    times = max(1, -(-max(rgb.shape[:2]) // LONGEST))
    height, width = (side // times for side in rgb.shape[:2])
    small = cv2.resize(
        rgb[: height * times, : width * times], (width, height), interpolation=cv2.INTER_AREA
    )
    rims = _alone(rgb, small, times) if near_px is None else _pointed(rgb, small, times, near_px)
    if len(rims) > 1:
        raise StickerError(
            f"{len(rims)} round things in the photo may be the dot.",
            "Say where the dot is, or leave only one in the picture.",
        )
    if not rims:
        raise StickerError(
            "No round dot with a clear rim was found in the photo.",
            "Say where it is, or take the photo again with the whole dot flat and uncovered.",
        )
    return _sticker(rgb, rims[0], diameter_mm)


def _sticker(rgb: RgbImage, rim: Rim, diameter_mm: float) -> Sticker:
    """The record of a dot that lies wholly in the picture.

    Its plane's axes run as the picture's; a circle shows no perspective that could be trusted.
    """
    ellipse = rim.ellipse
    around = ellipse.at(np.linspace(0, 2 * np.pi, 72, endpoint=False))
    height, width = rgb.shape[:2]
    if (around < -0.5).any() or (around > np.array([width, height]) - 0.5).any():
        raise StickerError(
            "The round dot is cut off at the edge of the photo.",
            "Take the photo again with the whole dot in the picture.",
        )
    along, across = (axis / np.linalg.norm(axis) for axis in ellipse.axes)
    radius = diameter_mm / 2
    linear = (radius / ellipse.major) * np.outer(along, along)
    linear += (radius / ellipse.minor) * np.outer(across, across)
    middle = np.array([ellipse.x, ellipse.y])
    to_mm = np.eye(3)
    to_mm[:2, :2], to_mm[:2, 2] = linear, -linear @ middle
    ends = ellipse.at(np.arange(4) * np.pi / 2)
    return Sticker("round", None, diameter_mm, ends, to_mm, rim.u_px, np.zeros((0, 6)))


def _good(rim: Rim | None, *, alone: bool) -> bool:
    if rim is None or rim.ellipse.minor < SLIMMEST * rim.ellipse.major:
        return False
    seen, spread, contrast = (
        (SEEN_ALONE, SPREAD_ALONE, CONTRAST_ALONE)
        if alone
        else (SEEN_POINTED, SPREAD_POINTED, CONTRAST_POINTED)
    )
    return rim.seen > seen and rim.spread < spread and rim.contrast > contrast


def _pointed(rgb: RgbImage, small: RgbImage, times: int, near_px: tuple[float, float]) -> list[Rim]:
    """The rim round a point, if there is one."""
    near = (np.asarray(near_px) + 0.5) / times - 0.5
    height, width = small.shape[:2]
    if (near < 0).any() or (near > (width - 1, height - 1)).any():
        raise StickerError(
            "The place given for the round dot lies outside the photo.",
            "Give a point on the dot, in pixels of the upright photo.",
        )
    start = _voted(small, near)
    if start is None:
        return []
    rim = fit_rim(rgb, _enlarged(start, times))
    return [rim] if rim is not None and _good(rim, alone=False) else []


def _voted(small: RgbImage, near: Array) -> Ellipse | None:
    """The ellipse round a point that most of the rays from it vote for."""
    reach = int(0.6 * max(small.shape[:2]))
    turns = np.linspace(0, 2 * np.pi, RAYS, endpoint=False)
    rays = np.column_stack([np.cos(turns), np.sin(turns)])
    radii = np.arange(reach, dtype=float)
    at = (near + radii[None, :, None] * rays[:, None]).astype(np.float32)
    soft = cv2.GaussianBlur(small, (0, 0), 1.5).astype(np.float32)
    seen = cv2.remap(soft, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderValue=(-1.0,) * 3)
    step = np.linalg.norm(np.gradient(seen, axis=1), axis=2)
    outside = (seen.min(axis=2) < 0).astype(np.uint8)
    step[cv2.dilate(outside, np.ones((1, 5), np.uint8)) > 0] = 0
    step[:, : int(LEAST_PX / 2)] = 0
    best, most = None, RAYS / 3.0
    while reach > 3 * LEAST_PX:  # things further off may outshine the rim
        found = [_peaks(row[:reach]) for row in step]
        if sum(len(peaks) > 0 for peaks in found) > RAYS / 2:
            ellipse, votes = _best(near, rays, found, step)
            if votes > most:
                best, most = ellipse, votes
        reach //= 2
    return best


def _peaks(step: Array) -> Array:
    """Radii of the greatest local steps along a ray, the greatest first."""
    inner = step[1:-1]
    tops = np.flatnonzero((inner >= step[:-2]) & (inner > step[2:]) & (inner > 2)) + 1
    return np.asarray(tops[np.argsort(-step[tops])][:PEAKS])


def _best(
    near: Array, rays: Points, found: list[Array], step: Array
) -> tuple[Ellipse | None, float]:
    """The ellipse with most votes, each weighed by how great the step is; and its votes."""
    rng = np.random.default_rng(0)  # the same photo always gives the same answer
    full = np.array([[*p[:PEAKS], *[np.nan] * (PEAKS - len(p))] for p in found], float)
    height = np.take_along_axis(step, np.nan_to_num(full).astype(int), axis=1)
    height = np.where(np.isnan(full), 0, height / GREAT)
    best, most = None, 0.0
    for _ in range(TRIES):
        which = (np.arange(6) * RAYS // 6 + rng.integers(RAYS // 6, size=6)) % RAYS
        radius = full[which, rng.integers(PEAKS, size=6)]
        if np.isnan(radius).sum() > 1:
            continue
        points = (near + radius[:, None] * rays[which])[~np.isnan(radius)]
        ellipse = ellipse_through(points)
        if ellipse is None or ellipse.minor < max(SLIMMEST * ellipse.major, LEAST_PX):
            continue
        crossing = _crossings(ellipse, near, rays)
        votes = np.abs(full - crossing[:, None]) < np.maximum(NEAR * crossing[:, None], 1.5)
        score = float((votes * np.minimum(height, 1)).max(axis=1).sum())
        if score > most:
            best, most = ellipse, score
    return best, most


def _crossings(ellipse: Ellipse, near: Array, rays: Points) -> Array:
    """How far along each ray from a point inside the ellipse is met [px]; NaN from outside."""
    along, across = ellipse.axes
    scale = np.column_stack([along / ellipse.major**2, across / ellipse.minor**2])
    off, way = (near - np.array([ellipse.x, ellipse.y])) @ scale, rays @ scale
    a, b, c = (way**2).sum(axis=1), way @ off, float(off @ off) - 1
    if c >= 0:
        return np.full(len(rays), np.nan)
    return np.asarray((-b + np.sqrt(b**2 - a * c)) / a)


def _enlarged(ellipse: Ellipse, times: int) -> Ellipse:
    """The ellipse in pixels of the full photo."""
    return Ellipse(
        (ellipse.x + 0.5) * times - 0.5,
        (ellipse.y + 0.5) * times - 0.5,
        ellipse.major * times,
        ellipse.minor * times,
        ellipse.turn,
    )


def _alone(rgb: RgbImage, small: RgbImage, times: int) -> list[Rim]:
    """Every sharp, wholly elliptical rim in the photo, each place once."""
    rims: list[Rim] = []
    for start in _areas(small):
        middle = np.array([[start.x, start.y]])
        full = _enlarged(start, times)
        if any(_within(rim.ellipse, (middle[0] + 0.5) * times - 0.5) for rim in rims):
            continue
        rim = fit_rim(rgb, full)
        if rim is not None and _good(rim, alone=True):
            rims.append(rim)
    return rims


def _within(ellipse: Ellipse, at: Array) -> bool:
    along, across = ellipse.axes
    off = at - np.array([ellipse.x, ellipse.y])
    return bool(np.hypot(off @ along / ellipse.major**2, off @ across / ellipse.minor**2) < 1)


def _areas(small: RgbImage) -> Iterator[Ellipse]:
    """Ellipses that outlines of evenly light or coloured areas come near to, largest first."""
    lab = cv2.cvtColor(cv2.GaussianBlur(small, (0, 0), 1.2), cv2.COLOR_RGB2LAB)
    found: list[Ellipse] = []
    for channel in cv2.split(lab):
        low, high = int(channel.min()), int(channel.max())
        for level in np.unique(np.linspace(low, high, LEVELS + 2)[1:-1].astype(int)):
            cut = (channel > level).astype(np.uint8)
            outlines, _ = cv2.findContours(cut, cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
            found += [e for outline in outlines if (e := _round_area(outline)) is not None]
    yield from sorted(found, key=lambda ellipse: -ellipse.minor)


def _round_area(outline: NDArray[np.int32]) -> Ellipse | None:
    """The ellipse of an outline that fills it and no more."""
    if len(outline) < 2 * np.pi * LEAST_PX * 0.8:
        return None
    hull = cv2.convexHull(outline)
    area = cv2.contourArea(hull)
    if cv2.contourArea(outline) < 0.9 * area or len(hull) < 6:
        return None
    ellipse = ellipse_through(hull[:, 0].astype(float))
    if ellipse is None or ellipse.minor < max(SLIMMEST * ellipse.major, LEAST_PX):
        return None
    own = np.pi * ellipse.major * ellipse.minor
    return ellipse if ROUND < area / own < 1 / ROUND else None
