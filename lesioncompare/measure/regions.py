"""Which pixels of a scene are spot and which are skin to compare it with."""

from dataclasses import dataclass, replace
from math import ceil

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.errors import OutlineError
from lesioncompare.records import LinearImage, Mask, Points, Scene
from lesioncompare.science.colour import luminance
from lesioncompare.science.surface import density_over, glints, light_hairs, matt_light, spread

RING_MM = (0.5, 2.0)  # [mm] bare skin beside the spot, clear of its halo
CORE_SHARE = 0.15  # [radius of a disc of equal area] at most so much is kept off the border
LEAST_SKIN_MM2 = 1.0  # [mm²] of ring; below it everything outside the spot helps out
LEAST_PX = 20  # [px] fewer cannot give a median
ODD_SKIN = 3.0  # [robust sd] skin further from the ring's middle is another spot, a rim or fur
LEAST_SD = 0.01  # [1] of a channel's density over a ring of skin
SAMPLE_PX = 3000  # [px] evenly picked pixels give medians to 2 % of a spread, shares to 1 %
FILTER_MM = 1.1  # [mm] the widest filter, that of roughness, sees so far: four sigma
SHIFT_BITS = 5  # [1] sub-pixel bits of the polygon fill


@dataclass(frozen=True, slots=True, eq=False)
class Regions:
    """Pixels of a scene by what they show.

    ``depth_mm`` is the distance to the border, positive inside it; the spot is looked at beyond
    ``margin_mm``. ``skin`` is the plain part of the ring beside the spot, ``white`` its
    reflectance without shine (3,).
    """

    inside: Mask
    depth_mm: NDArray[np.float32]  # (h, w)
    margin_mm: float
    clear: Mask  # in the photo, off the sticker, no hair across
    glint: Mask
    skin: Mask
    white: LinearImage

    def seen(self, shift_mm: float = 0.0) -> Mask:
        """The spot clear of border and hair, with its glints; ``shift_mm`` further in."""
        within = self.depth_mm > self.margin_mm + shift_mm
        return _unless_empty(within & self.clear, self.inside)

    def core(self, shift_mm: float = 0.0) -> Mask:
        """What ``seen`` gives without glints."""
        seen = self.seen(shift_mm)
        return _unless_empty(seen & ~self.glint, seen)


def find_regions(scene: Scene, contour_mm: Points, margin_mm: float) -> Regions:
    """Sort the pixels of a scene by what they show.

    Parameters
    ----------
    scene
        The neighbourhood of the spot.
    contour_mm
        The border, shape (n, 2) [mm].
    margin_mm
        What to keep off the border on the inside: its doubt and half its edge [mm].

    Raises
    ------
    OutlineError
        When the border leaves no spot or no skin to be seen.
    """
    inside = _fill(scene, contour_mm) & scene.valid
    if inside.sum() < LEAST_PX:
        raise OutlineError(
            "The border encloses next to nothing of the photo.", "Draw it round the spot by hand."
        )
    depth = _depth_mm(scene, inside)
    ring = _ring(scene, depth, margin_mm)
    typical = float(np.median(luminance(sample(scene.linear, ring))))
    hair = light_hairs(scene.linear, scene.pitch_mm, typical)
    glint = glints(scene.linear, scene.pitch_mm, typical) & ~hair
    combed = _unless_empty(ring & ~hair, ring)
    skin = _plain(scene.linear, _unless_empty(combed & ~glint, combed))
    radius = float(np.sqrt(inside.sum() / np.pi)) * scene.pitch_mm
    return Regions(
        inside=inside,
        depth_mm=depth,
        margin_mm=min(margin_mm, CORE_SHARE * radius),
        clear=scene.valid & ~hair,
        glint=glint,
        skin=skin,
        white=matt_light(sample(scene.linear, skin)),
    )


def close_by(scene: Scene, regions: Regions) -> tuple[Scene, Regions]:
    """The part of both that holds spot and skin, with what filters see round them."""
    used = regions.inside | regions.skin
    (top, bottom), (left, right) = (np.flatnonzero(used.any(axis=a))[[0, -1]] for a in (1, 0))
    room = ceil(FILTER_MM / scene.pitch_mm)
    top, left = max(0, top - room), max(0, left - room)
    window = np.s_[top : bottom + room + 1, left : right + room + 1]
    x, y = scene.to_mm(np.array([[left, top]]))[0]
    part = Scene(
        scene.linear[window],
        scene.lab[window],
        scene.valid[window],
        (float(x), float(y)),
        scene.pitch_mm,
    )
    return part, replace(
        regions,
        inside=regions.inside[window],
        depth_mm=regions.depth_mm[window],
        clear=regions.clear[window],
        glint=regions.glint[window],
        skin=regions.skin[window],
    )


def sample(values: NDArray[np.float32], where: Mask) -> NDArray[np.float32]:
    """Evenly picked pixels of a mask: (n, 3) of an image, (n,) of a field."""
    chosen = np.flatnonzero(where)
    chosen = chosen[:: max(1, len(chosen) // SAMPLE_PX)]
    return np.asarray(values.reshape(where.size, *values.shape[2:])[chosen])


def _fill(scene: Scene, contour_mm: Points) -> Mask:
    """True inside a contour, shape of the scene."""
    grid = np.round(scene.to_grid(contour_mm) * 2**SHIFT_BITS).astype(np.int32)
    mask = np.zeros(scene.valid.shape, np.uint8)
    cv2.fillPoly(mask, [grid], (1,), lineType=cv2.LINE_8, shift=SHIFT_BITS)
    return np.asarray(mask > 0)


def _depth_mm(scene: Scene, inside: Mask) -> NDArray[np.float32]:
    """Distance to the border, positive inside and negative outside, shape (h, w) [mm]."""
    within, beyond = (
        cv2.distanceTransform(part.astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5)
        for part in (inside, ~inside)
    )
    return np.asarray((within - beyond) * np.float32(scene.pitch_mm), np.float32)


def _ring(scene: Scene, depth_mm: NDArray[np.float32], margin_mm: float) -> Mask:
    """The ring beside the spot; all that lies outside where the ring is too small."""
    outside = scene.valid & (depth_mm < -margin_mm)
    ring = outside & (depth_mm < -RING_MM[0]) & (depth_mm > -RING_MM[1])
    if ring.sum() * scene.pitch_mm**2 >= LEAST_SKIN_MM2:
        return np.asarray(ring)
    if outside.sum() < LEAST_PX:
        raise OutlineError(
            "No bare skin is left round the spot.",
            "Draw the border closer to the spot, or take the photo with more skin round it.",
        )
    return np.asarray(outside)


def _unless_empty(mask: Mask, otherwise: Mask) -> Mask:
    """The mask, or another where too little of it is left."""
    return mask if mask.sum() >= LEAST_PX else otherwise


def _plain(linear: LinearImage, ring: Mask) -> Mask:
    """The ring without other spots, rims and fur: what lies far from its middle in any channel."""
    some = sample(linear, ring)
    middle = np.median(some, axis=0)
    spreads = [spread(channel) for channel in density_over(some, middle).T]
    reach = np.power(10.0, ODD_SKIN * np.maximum(spreads, LEAST_SD))
    return ring & (cv2.inRange(linear, middle / reach, middle * reach) > 0)
