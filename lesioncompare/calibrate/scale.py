"""The scale at the spot, and what may be wrong with it.

Where the sticker does not lie in the plane of the spot nothing in a single photo shows it: the
errors of plane and tilt are therefore what the settings say of the keeper's hand, carried through
the geometry of this photo.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lesioncompare.quantity import Component
from lesioncompare.records import Photo, Points, Sticker
from lesioncompare.science.plane import (
    Expected,
    Pose,
    apply_homography,
    homography_between,
    likeliest_pose,
    local_scale,
)
from lesioncompare.settings import Settings

# [mm], [1] how far from the spot a phone is held, and the spread of its logarithm: pictures of
# one's own skin are taken from about 200 mm, and phones focus from about 80 (common practice)
DISTANCE_MM = Expected(150.0, 0.4)
# [1] of a stated focal length: whole millimetres are written, and a lens focused near draws out
FOCAL_SPREAD = 0.06
LEAST_DEPTH_MM = 40.0  # [mm] no phone focuses nearer (common practice)
# [1] of the sticker's side: paper that does not lie flat, a printer that stretches one way
PAPER_U = 0.001
# [1] relative stretch of a phone's picture at its corner that is left after its own correction
# (from memory: makers correct distortion to about 1 %)
DISTORTION = 0.01


@dataclass(frozen=True, slots=True)
class PlaneAt:
    """Scale at one place: geometric mean [mm/px], tilt [deg], and relative error parts [1]."""

    mm_per_px: float
    tilt_deg: float
    parts: tuple[Component, ...]


def plane_at(
    photo: Photo, sticker: Sticker, at_px: tuple[float, float], settings: Settings
) -> PlaneAt:
    """Scale and tilt of the sticker's plane at a place of the photo, with their errors."""
    at = np.array([at_px], float)
    at_mm = apply_homography(sticker.px_to_mm, at)
    mm_per_px = float(local_scale(sticker.px_to_mm, at)[0])
    pose = _pose(photo, sticker) if sticker.kind == "printed" else None
    tilt_deg = _tilt_of_ellipse(sticker.corners_px) if pose is None else pose.tilt_deg
    depth_mm = _depth(photo, pose, at_mm, mm_per_px)
    parts = (
        Component("scale", _located_u(sticker, at, mm_per_px)),
        Component("print", settings.print_tolerance, common=True),
        Component("plane", settings.plane_offset_mm / depth_mm),
        Component("tilt", _tilted_u(depth_mm, tilt_deg, at_mm, sticker, settings)),
        Component("lens", _lens_u(photo, sticker, at)),
    )
    return PlaneAt(mm_per_px, tilt_deg, parts)


def _pose(photo: Photo, sticker: Sticker) -> Pose:
    """How the printed sticker lies before the camera."""
    height, width = photo.rgb.shape[:2]
    side_px = float(np.hypot(*(sticker.corners_px[0] - sticker.corners_px[2]))) / np.sqrt(2)
    return likeliest_pose(
        apply_homography(sticker.px_to_mm, sticker.corners_px),
        sticker.corners_px,
        ((width - 1) / 2, (height - 1) / 2),
        u_px=float(np.hypot(sticker.corner_u_px, PAPER_U * side_px)),
        distance_mm=DISTANCE_MM,
        focal_px=None if photo.focal_px is None else Expected(photo.focal_px, FOCAL_SPREAD),
    )


def _depth(photo: Photo, pose: Pose | None, at_mm: Points, mm_per_px: float) -> float:
    """Distance of the spot along the optical axis [mm], never less than a hand's width."""
    if pose is not None:
        depth_mm = float(pose.depth_mm(at_mm)[0])
    elif photo.focal_px is not None:
        depth_mm = photo.focal_px * mm_per_px
    else:
        depth_mm = DISTANCE_MM.value
    return max(depth_mm, LEAST_DEPTH_MM)


def _tilt_of_ellipse(ends_px: Points) -> float:
    """Tilt that makes a circle look like the ellipse with these ends of its axes [deg]."""
    axes = np.hypot(*(ends_px[:2] - ends_px[2:]).T)
    return float(np.degrees(np.arccos(axes.min() / axes.max())))


def _located_u(sticker: Sticker, at: Points, mm_per_px: float) -> float:
    """Relative scale error at the spot from the located corners, moved one by one [1]."""
    corners = sticker.corners_px
    if sticker.kind == "round":
        return float(sticker.corner_u_px / np.hypot(*(corners[0] - corners[2])) * np.sqrt(2))
    corners_mm = apply_homography(sticker.px_to_mm, corners)
    moved: list[float] = []
    for index in range(corners.size):
        shift = np.zeros(corners.size)
        shift[index] = sticker.corner_u_px
        matrix = homography_between(corners + shift.reshape(corners.shape), corners_mm)
        moved.append(float(local_scale(matrix, at)[0]) / mm_per_px - 1)
    return float(np.linalg.norm(moved))


def _tilted_u(
    depth_mm: float, tilt_deg: float, at_mm: Points, sticker: Sticker, settings: Settings
) -> float:
    """Relative scale error when the sticker is tilted against the skin [1].

    A small turn about a random axis, of ``plane_tilt_deg`` standard deviation about each: the
    camera's tilt multiplies it (cos(tilt + turn) / cos(tilt), halved for a length), and at the
    spot the sticker's plane runs above or below the skin by distance times turn. A round dot
    says nothing of the perspective: the slant across that distance is then wholly unknown.
    """
    turn = np.radians(settings.plane_tilt_deg)
    away = float(np.hypot(*at_mm[0]))
    tilt = np.radians(min(tilt_deg, 80.0))
    foreshortened = turn * np.tan(tilt) / 2
    lifted = turn * away / depth_mm
    second = turn**2 / 2
    slanted = away * np.sin(tilt) / depth_mm if sticker.kind == "round" else 0.0
    return float(np.linalg.norm([foreshortened, lifted, second, slanted]))


def _lens_u(photo: Photo, sticker: Sticker, at: Points) -> float:
    """Relative scale error from distortion that differs between sticker and spot [1].

    Radial distortion r (1 + k r²) magnifies by 1 + 2 k r² in the geometric mean.
    """
    height, width = photo.rgb.shape[:2]
    middle = np.array([(width - 1) / 2, (height - 1) / 2])
    places: NDArray[np.float64] = np.vstack([at, sticker.corners_px.mean(axis=0)]) - middle
    spot, reference = (places**2).sum(axis=1) / (middle**2).sum()
    return float(2 * DISTORTION * abs(spot - reference))
