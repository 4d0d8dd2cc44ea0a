"""What lies between two stages: where the spot is, and what an earlier photo says of it."""

from dataclasses import dataclass

import cv2
import numpy as np

from lesioncompare.align import align, carry_on, find_again
from lesioncompare.calibrate import calibrate, close_up
from lesioncompare.errors import (
    AlignError,
    OutlineError,
    SeedError,
)
from lesioncompare.outline import outline
from lesioncompare.records import (
    Alignment,
    Calibration,
    Circle,
    Matrix,
    Outline,
    Photo,
    Points,
    Reading,
    Scene,
    Seed,
    Sticker,
    StickerHint,
)
from lesioncompare.science.plane import apply_homography, local_scale
from lesioncompare.settings import Settings

HERE = Alignment(np.eye(3), 0.0, 1.0, 1.0, 0.0)  # the first photo lies on itself
DRAWN_BORDER_U_MM = 0.05  # [mm] a steady hand on a phone; common practice, no source


@dataclass(frozen=True, slots=True, eq=False)
class Before:
    """What is known before a photo is read.

    ``seed`` is the circle drawn on this photo, ``first`` the reading all others are laid over,
    ``others`` further readings of the series: copies are told by them, and they bridge to the
    first photo where this one cannot be laid over it directly. ``drawn_px`` is an outline drawn
    by a person, in this photo's pixels. ``looked`` is what ``look_at_photo`` gave.
    """

    seed: Seed | None
    first: Reading | None
    others: tuple[Reading, ...]
    drawn_px: Points | None
    hint: StickerHint
    settings: Settings
    looked: Reading | None


def middle(points: Points) -> tuple[float, float]:
    """Mean of points."""
    x, y = points.mean(axis=0)
    return float(x), float(y)


def earlier(before: Before) -> tuple[Reading | None, ...]:
    """Readings to lay a photo over, in the order in which they are tried: the first photo first.

    A photo that cannot be laid over the first one may still lie over its neighbour in time. None
    stands for the circle alone: where one was drawn, not finding the place is no reason to stop.
    """
    known = () if before.first is None else (before.first, *reversed(before.others[-3:]))
    able = tuple(r for r in known if r.overview and r.circle and r.alignment)
    return able if able and before.seed is None else (*able, None)


def rough_map(wide: Scene, beside: Reading | None) -> Matrix | None:
    """Rough map onto an earlier reading, if there is one."""
    if beside is None or beside.overview is None or beside.circle is None:
        return None
    return find_again(wide, beside.overview, beside.circle)


def look_near(
    photo: Photo, sticker: Sticker, circle: Circle, settings: Settings
) -> tuple[Calibration, Scene]:
    """Calibration and close-up at the spot."""
    at_px = apply_homography(np.linalg.inv(sticker.px_to_mm), np.array([[circle.x, circle.y]]))[0]
    calibration = calibrate(photo, sticker, (float(at_px[0]), float(at_px[1])), settings)
    return calibration, close_up(photo, sticker, calibration, circle)


def circle_of(
    reading: Reading, before: Before, rough: Matrix | None, beside: Reading | None
) -> Circle:
    """The circle round the spot in this photo's millimetres: as drawn, or carried over."""
    sticker = reading.sticker
    if before.seed is not None and sticker is not None:
        seed, scale = before.seed, reading.photo.stored_per_px
        at = np.array([[seed.x, seed.y]]) / scale
        _refuse_misplaced(seed, reading.photo, sticker)
        x, y = apply_homography(sticker.px_to_mm, at)[0]
        radius = seed.radius / scale * float(local_scale(sticker.px_to_mm, at)[0])
        return Circle(float(x), float(y), radius)
    if rough is None or beside is None or beside.circle is None:
        raise AlignError(
            "The place of the spot is not known in this photo.", "Draw a circle round the spot."
        )
    back = np.linalg.inv(rough)
    at = np.array([[beside.circle.x, beside.circle.y]])
    x, y = apply_homography(back, at)[0]
    return Circle(float(x), float(y), beside.circle.radius * float(local_scale(back, at)[0]))


def _refuse_misplaced(seed: Seed, photo: Photo, sticker: Sticker) -> None:
    """Refuse a circle whose centre lies outside the photo or on the sticker."""
    x, y = seed.x / photo.stored_per_px, seed.y / photo.stored_per_px
    height, width = photo.rgb.shape[:2]
    if not (0 <= x < width and 0 <= y < height):
        raise SeedError(
            "The circle round the spot lies outside the photo.",
            f"Give a centre between 0,0 and {width * photo.stored_per_px:.0f},"
            f"{height * photo.stored_per_px:.0f}.",
        )
    corners = sticker.corners_px.astype(np.float32)
    if cv2.pointPolygonTest(corners, (x, y), measureDist=False) >= 0:
        raise SeedError(
            "The circle lies on the sticker, not on the skin.", "Draw it round the spot instead."
        )


def lay_over(
    reading: Reading, before: Before, rough: Matrix | None, beside: Reading | None
) -> Alignment | None:
    """How this photo lies over the first one; None when only a circle says where the spot is."""
    if before.first is None:
        return HERE
    if rough is None or beside is None or reading.scene is None:
        return None
    if beside.scene is None or beside.outline is None:
        return None
    onto = align(reading.scene, beside.scene, rough, beside.outline.contour)
    bridge = beside.alignment
    return onto if bridge is None or bridge is HERE else carry_on(onto, bridge)


def draw_border(reading: Reading, before: Before) -> Outline:
    """The border: as a person drew it, or found from the circle and the first photo's border."""
    scene, circle, sticker = reading.scene, reading.circle, reading.sticker
    if scene is None or circle is None or sticker is None:
        raise OutlineError("The spot was not reached.", "Take the photo again.")
    if before.drawn_px is not None:
        at = np.asarray(before.drawn_px, float) / reading.photo.stored_per_px
        drawn = apply_homography(sticker.px_to_mm, at)
        return Outline(drawn, drawn, drawn, DRAWN_BORDER_U_MM, by="person")
    prior = None
    first, alignment = before.first, reading.alignment
    if first is not None and first.outline is not None and alignment is not None:
        prior = alignment.from_first(first.outline.contour)
    return outline(scene, circle, prior=prior)
