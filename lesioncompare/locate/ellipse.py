"""The rim of a round dot as an ellipse, fitted to a fraction of a pixel.

References
----------
.. [1] Fitzgibbon A, Pilu M, Fisher RB (1999) Direct least square fitting of ellipses, IEEE TPAMI
   21:476-480, doi 10.1109/34.765658.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.records import Points, RgbImage
from lesioncompare.science.colour import srgb_to_linear

Array = NDArray[np.float64]

RAYS = 120  # profiles across the rim
REACHES = (0.3, 0.12, 0.06)  # [minor semi-axis] to both sides of the rim, narrower each time
LEAST_REACH_PX = 3.0  # [px]
ACROSS = 41  # samples of a profile
TRIM = 2.5  # [1] robust standard deviations beyond which an edge point is left out
FAINT = 0.25  # [1] of the median step: a ray with less has no edge
NEARLY = 0.4  # [1] of the greatest step on a ray: the outermost one as great is the rim
LEAST_SPREAD_PX = 0.05  # [px]


@dataclass(frozen=True, slots=True)
class Ellipse:
    """Middle, semi-axes (the longer first) [px] and turn of the longer one [rad]."""

    x: float
    y: float
    major: float
    minor: float
    turn: float

    def at(self, angles: Array, radii: float | Array = 1.0) -> Points:
        """Points (n, 2) at these angles along the ellipse, ``radii`` times as far out [px]."""
        along, across = self.axes
        ring = np.cos(angles)[:, None] * along + np.sin(angles)[:, None] * across
        return np.array([self.x, self.y]) + np.asarray(radii).reshape(-1, 1) * ring

    @property
    def axes(self) -> tuple[Array, Array]:
        """The two semi-axes as vectors [px]."""
        cosine, sine = np.cos(self.turn), np.sin(self.turn)
        return self.major * np.array([cosine, sine]), self.minor * np.array([-sine, cosine])

    def normals(self, angles: Array) -> Points:
        """Unit outward normals (n, 2) at these angles."""
        along, across = self.axes
        out = (
            np.cos(angles)[:, None] * along / self.major**2
            + np.sin(angles)[:, None] * across / self.minor**2
        )
        return np.asarray(out / np.hypot(*out.T)[:, None])


@dataclass(frozen=True, slots=True)
class Rim:
    """A fitted rim.

    ``u_px`` is the standard uncertainty of a semi-axis, ``seen`` the share of the rim's profiles
    that have their edge on it, ``spread`` their robust scatter about it, over the minor semi-axis,
    ``contrast`` the step of light across it over the brighter side.
    """

    ellipse: Ellipse
    u_px: float
    seen: float
    spread: float
    contrast: float


def ellipse_through(points: Points) -> Ellipse | None:
    """The ellipse nearest to five or more points; None where they lie on none."""
    if len(points) < 5:
        return None
    (x, y), (first, second), turn_deg = cv2.fitEllipseDirect(points.astype(np.float32))
    if not np.isfinite([x, y, first, second, turn_deg]).all() or min(first, second) < 2:
        return None
    if first >= second:
        return Ellipse(x, y, first / 2, second / 2, float(np.radians(turn_deg)))
    return Ellipse(x, y, second / 2, first / 2, float(np.radians(turn_deg + 90)))


def fit_rim(rgb: RgbImage, start: Ellipse) -> Rim | None:
    """The rim near a first guess, in linear light; None where there is no edge to hold on to.

    Parameters
    ----------
    rgb
        Photo, shape (h, w, 3).
    start
        First guess, right to about 15 % of the radius.
    """
    ellipse, rim = start, None
    for reach in REACHES:
        light, corner = _around(rgb, ellipse)
        if light is None:
            return None
        rim = _once(light, corner, ellipse, max(reach * ellipse.minor, LEAST_REACH_PX))
        if rim is None:
            return None
        ellipse = rim.ellipse
    return rim


def _around(rgb: RgbImage, ellipse: Ellipse) -> tuple[NDArray[np.float32] | None, Array]:
    """Linear light round the ellipse, and its upper left corner [px]."""
    height, width = rgb.shape[:2]
    room = 1.4 * ellipse.major + 6
    low = np.clip(np.floor([ellipse.x - room, ellipse.y - room]), 0, (width, height)).astype(int)
    high = np.minimum(np.ceil([ellipse.x + room, ellipse.y + room]), (width, height)).astype(int)
    if (high - low < 8).any():
        return None, low.astype(float)
    return srgb_to_linear(rgb[low[1] : high[1], low[0] : high[0]]), low.astype(float)


def _look(picture: NDArray[np.float32], at: Points) -> NDArray[np.float32]:
    """Values at points (n, 2), the border's own value beyond it."""
    x, y = at.astype(np.float32).T
    seen = cv2.remap(picture, x[None], y[None], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(seen[0], np.float32)


def _once(
    light: NDArray[np.float32], corner: Array, ellipse: Ellipse, reach_px: float
) -> Rim | None:
    """One round: the outermost great step of each profile, and the ellipse through them."""
    angles = np.linspace(0, 2 * np.pi, RAYS, endpoint=False)
    offset = np.linspace(-reach_px, reach_px, ACROSS)
    base, normal = ellipse.at(angles), ellipse.normals(angles)
    at = base[:, None] + offset[None, :, None] * normal[:, None]
    profiles = _look(light, (at - corner).reshape(-1, 2)).reshape(RAYS, ACROSS, 3)
    sigma = max(1.0, 0.7 / (offset[1] - offset[0]))  # [samples] at least 0.7 px
    channels = [cv2.GaussianBlur(c, (0, 0), sigmaX=sigma, sigmaY=0.01) for c in cv2.split(profiles)]
    step = np.linalg.norm(np.gradient(np.array(channels), axis=2), axis=0)
    rows = np.arange(RAYS)
    top = _outermost(step)
    before, here, after = step[rows, top - 1], step[rows, top], step[rows, top + 1]
    bend = np.minimum(before - 2 * here + after, -1e-9)
    part = np.clip(0.5 * (before - after) / bend, -0.5, 0.5)
    edge = offset[0] + (top + part) * (offset[1] - offset[0])
    points = base + edge[:, None] * normal
    return _through(points, here > FAINT * np.median(here), _contrast(profiles, top))


def _outermost(step: NDArray[np.floating]) -> NDArray[np.intp]:
    """Where each profile has the outermost step that comes near to its greatest.

    A coin's raised rim throws a greater step further in.
    """
    inner = step[:, 1:-1]
    peak = (inner >= step[:, :-2]) & (inner >= step[:, 2:])
    peak &= inner > NEARLY * step.max(axis=1, keepdims=True)
    last = inner.shape[1] - 1 - np.argmax(peak[:, ::-1], axis=1)
    return np.asarray(np.where(peak.any(axis=1), last, step[:, 1:-1].argmax(axis=1)) + 1)


def _contrast(profiles: NDArray[np.float32], top: NDArray[np.intp]) -> float:
    """Step of light across the rim over the brighter side, at the median ray [1]."""
    at = np.arange(ACROSS)[None]
    inside, outside = at < top[:, None] - 3, at > top[:, None] + 3
    sides = [
        (profiles * mask[..., None]).sum(axis=1) / np.maximum(mask.sum(axis=1), 1)[:, None]
        for mask in (inside, outside)
    ]
    step = np.linalg.norm(sides[1] - sides[0], axis=1)
    return float(np.median(step / np.maximum(np.linalg.norm(sides, axis=2).max(axis=0), 1e-3)))


def _through(points: Points, strong: NDArray[np.bool_], contrast: float) -> Rim | None:
    """The ellipse through edge points, those that stray left out."""
    keep = strong
    ellipse, away = None, np.zeros(len(points))
    for _ in range(6):
        if keep.sum() < RAYS / 4:
            return None
        ellipse = ellipse_through(points[keep])
        if ellipse is None:
            return None
        away = np.abs(_distance(points, ellipse))
        scatter = max(float(np.median(away[strong])) / 0.6745, LEAST_SPREAD_PX)
        keep = strong & (away < TRIM * scatter)
    if ellipse is None:
        return None
    near = strong & (away < max(0.03 * ellipse.minor, 1.0))
    u_px = max(float(away[keep].std()), scatter / 2) * np.sqrt(5 / keep.sum())
    return Rim(ellipse, float(u_px), float(near.mean()), scatter / ellipse.minor, contrast)


def _distance(points: Points, ellipse: Ellipse) -> Array:
    """Signed distance from the rim, to first order [px]."""
    along, across = ellipse.axes
    off = points - np.array([ellipse.x, ellipse.y])
    u, v = off @ along / ellipse.major**2, off @ across / ellipse.minor**2
    radius = np.hypot(u, v)
    slope = np.hypot(u / ellipse.major, v / ellipse.minor) / np.maximum(radius, 1e-9)
    return np.asarray((radius - 1) / np.maximum(slope, 1e-9))
