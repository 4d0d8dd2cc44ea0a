"""The neighbourhood of the circle, at the size of the circle: all circles look alike there."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.records import Circle, Mask, Points, Scene
from lesioncompare.science.colour import luminance
from lesioncompare.science.surface import glints, light_hairs

Field = NDArray[np.float32]  # (n, n)

RADIUS_PX = 36.0  # [px] of the circle in the patch
REACH = 2.4  # [circle radii] half width of the patch
SOFTEN = 0.4  # [step] blur before thinning out, against aliasing; common practice, no source
MOST_COVERED = 0.1  # [1] of the disc; more is no hair or glint but what the surface is like
INNER = 1.3  # [circle radii] of that disc
COVERED = 0.3  # [1] share of a patch pixel under hair or glint from which it is not used


@dataclass(frozen=True, slots=True, eq=False)
class Patch:
    """The neighbourhood of a circle of radius ``RADIUS_PX`` about the middle pixel.

    ``linear`` (n, n, 3) is reflectance. ``seen`` is False outside the scene; ``usable`` is False
    there and under hair and glints. ``rho`` (n, n) is the distance from the middle in circle radii.
    """

    linear: NDArray[np.float32]
    seen: Mask
    usable: Mask
    rho: Field
    origin_mm: tuple[float, float]
    mm_per_px: float

    def lift(self, points: Points) -> Points:
        """Patch points (n, 2) to millimetres."""
        return np.asarray(points) * self.mm_per_px + np.asarray(self.origin_mm)

    def lower(self, points_mm: Points) -> Points:
        """Millimetre points (n, 2) to the patch."""
        return (np.asarray(points_mm) - np.asarray(self.origin_mm)) / self.mm_per_px


def cut_patch(scene: Scene, circle: Circle) -> Patch:
    """The neighbourhood of ``circle``, with what lies over the skin marked."""
    half = int(REACH * RADIUS_PX)
    side = 2 * half + 1
    mm_per_px = circle.radius / RADIUS_PX
    near = _near(scene, circle)
    step = mm_per_px / scene.pitch_mm
    column, row = near.to_grid(np.array([[circle.x, circle.y]]))[0]
    to_scene = np.array([[step, 0, column - step * half], [0, step, row - step * half]])

    def taken(picture: NDArray[np.float32], beyond: int) -> NDArray[np.float32]:
        soft = cv2.GaussianBlur(picture, (0, 0), SOFTEN * step) if step > 1 else picture
        way = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        return np.asarray(
            cv2.warpAffine(soft, to_scene, (side, side), flags=way, borderMode=beyond)
        )

    seen = taken(near.valid.astype(np.float32), cv2.BORDER_CONSTANT) > 0.99
    covered = taken(_covered(near, circle).astype(np.float32), cv2.BORDER_CONSTANT) > COVERED
    away = np.arange(side, dtype=np.float32) - half
    rho = np.asarray(np.hypot(away[:, None], away[None, :]) / RADIUS_PX, np.float32)
    origin = (circle.x - half * mm_per_px, circle.y - half * mm_per_px)
    linear = taken(near.linear, cv2.BORDER_REPLICATE)
    return Patch(linear, seen, seen & ~covered, rho, origin, mm_per_px)


def _near(scene: Scene, circle: Circle) -> Scene:
    """The part of the scene that the patch can see, at least one pixel of it."""
    reach = REACH * circle.radius
    corners = np.array([[circle.x, circle.y]]) + np.array([[-reach, -reach], [reach, reach]])
    height, width = scene.valid.shape
    low, high = scene.to_grid(corners)
    left, top = np.clip(np.floor(low).astype(int) - 2, 0, [width - 1, height - 1])
    right, bottom = np.clip(np.ceil(high).astype(int) + 3, [left + 1, top + 1], [width, height])
    window = np.s_[top:bottom, left:right]
    corner = scene.to_mm(np.array([[left, top]], float))[0]
    return Scene(
        scene.linear[window],
        scene.lab[window],
        scene.valid[window],
        (float(corner[0]), float(corner[1])),
        scene.pitch_mm,
    )


def _covered(near: Scene, circle: Circle) -> Mask:
    """Where hair or mirrored light hides the skin."""
    height, width = near.valid.shape
    column, row = near.to_grid(np.array([[circle.x, circle.y]]))[0]
    y, x = np.ogrid[:height, :width]
    squared = ((x - column) ** 2 + (y - row) ** 2) * (near.pitch_mm / circle.radius) ** 2
    ring = near.valid & (squared > 1)
    light = luminance(near.linear)
    skin = float(np.median(light[ring])) if ring.any() else float(np.median(light))
    dark_side = np.maximum(2 * skin - near.linear, 0).astype(np.float32)
    inner = squared < INNER**2
    found = np.zeros(near.valid.shape, bool)
    for mask in (
        light_hairs(near.linear, near.pitch_mm, skin),
        light_hairs(dark_side, near.pitch_mm, skin),
        glints(near.linear, near.pitch_mm, skin),
    ):
        if (mask & inner).sum() < MOST_COVERED * inner.sum():
            found |= mask
    return found
