"""The spot and the skin round it as the camera stored them, cut out once."""

from dataclasses import dataclass

import cv2
import numpy as np

from lesioncompare.records import Calibration, Circle, LinearImage, Mask, Photo, Points, RgbImage
from lesioncompare.science.colour import srgb_to_linear
from lesioncompare.science.plane import apply_homography

REACH = 2.0  # [radii] of the cutout round the spot
RING = (1.2, 1.8)  # [radii] of the skin beside the spot
SIDES = 72  # corners of a polygon that stands for a circle


@dataclass(frozen=True, slots=True, eq=False)
class Cutout:
    """The part of the photo round the spot.

    ``linear`` is camera light (not steadied); ``corner_px`` its top left pixel in the photo;
    ``inside`` is the circle, ``ring`` the skin beside it; ``lost`` the share of the circle that
    lies outside the photo [1].
    """

    rgb: RgbImage
    linear: LinearImage
    corner_px: tuple[int, int]
    inside: Mask
    ring: Mask
    lost: float


def cut_out(photo: Photo, calibration: Calibration, circle: Circle) -> Cutout | None:
    """The photo round the circle; None when all of that lies outside the photo."""
    height, width = photo.rgb.shape[:2]
    around = rim_px(calibration, circle, REACH)
    left, top = np.maximum(np.floor(around.min(axis=0)).astype(int), 0)
    right, bottom = np.minimum(np.ceil(around.max(axis=0)).astype(int) + 1, (width, height))
    if right - left < 3 or bottom - top < 3:
        return None
    rgb = photo.rgb[top:bottom, left:right]
    corner = (int(left), int(top))
    inside = _within(rim_px(calibration, circle, 1), corner, rgb)
    wide, narrow = (_within(rim_px(calibration, circle, k), corner, rgb) for k in RING[::-1])
    whole = abs(cv2.contourArea(rim_px(calibration, circle, 1).astype(np.float32)))
    return Cutout(
        rgb=rgb,
        linear=srgb_to_linear(rgb),
        corner_px=corner,
        inside=inside,
        ring=wide & ~narrow,
        lost=max(0.0, 1 - float(inside.sum()) / max(whole, 1.0)),
    )


def rim_px(calibration: Calibration, circle: Circle, radii: float) -> Points:
    """Points on a circle round the spot's middle, in photo pixels, shape (n, 2)."""
    turn = np.linspace(0, 2 * np.pi, SIDES, endpoint=False)
    rim = np.column_stack([np.cos(turn), np.sin(turn)]) * radii * circle.radius
    return apply_homography(
        np.linalg.inv(calibration.px_to_mm), rim + np.array([circle.x, circle.y])
    )


def _within(rim: Points, corner: tuple[int, int], rgb: RgbImage) -> Mask:
    """Which pixels of a cutout lie inside a rim."""
    fine = 4  # bits below the pixel
    mask = np.zeros(rgb.shape[:2], np.uint8)
    at = np.round((rim - corner) * (1 << fine)).astype(np.int32)
    cv2.fillPoly(mask, [at], 1, shift=fine)
    return mask > 0
