"""What is doubtful about a photo, and what to do about it."""

from collections.abc import Iterator

import numpy as np

from lesioncompare.judge.copies import judge_copies
from lesioncompare.judge.light import judge_light
from lesioncompare.judge.opening import unlit_share
from lesioncompare.judge.sharpness import spot_blur_px, sticker_blur_mm
from lesioncompare.judge.spot import cut_out
from lesioncompare.records import Calibration, Circle, Notice, Photo, Scene, Sticker
from lesioncompare.registry import notice
from lesioncompare.settings import Settings

__all__ = ["judge", "judge_copies"]

# Thresholds were set on phantom photos of one range of seeds and tried on another; see tests.
BLURRED_MM, LOST_MM = 0.19, 0.30  # [mm] sd of the blur; a steady hand stays under 0.15
SOFT_SPOT_MM, SOFTER = 0.45, 2.5  # [mm], [1] of the sticker's blur: the spot alone is out of focus
PX_PER_MM = 10.0  # [px/mm] least: a border 0.075 mm off is 10 % of the area of a 3 mm spot
PX_ACROSS = 20.0  # [px] least across the circle
TILT_DEG = 35.0  # [deg] common practice, no source
FAR_MM = 15.0  # [mm] on a head of 30 mm radius the skin has then fallen 3.75 mm: 5 % of the area
CUT = 0.1  # [1] share of the circle outside the photo
COVERED = 0.1  # [1] share of the circle under the sticker
OPEN = 0.3  # [1] share of the inner circle that is hardly lit; dark spots stay under 0.23


def judge(  # noqa: PLR0913, PLR0917  the fixed signature of a stage
    photo: Photo,
    sticker: Sticker,
    calibration: Calibration,
    scene: Scene,
    circle: Circle,
    settings: Settings,
) -> tuple[Notice, ...]:
    """Notices on sharpness, light, resolution and place, each with what to do about it.

    ``RETAKE`` is said only where a measurement could not be trusted, ``DOUBT`` where it is weaker.
    """
    del settings  # no choice of the clinic bears on this
    cutout = cut_out(photo, calibration, circle)
    found = [*_place(sticker, calibration, scene, circle), *_resolution(calibration, circle)]
    if cutout is None or cutout.lost > CUT:
        return (*found, notice("spot_cut"))
    lighted = tuple(judge_light(cutout, calibration, circle))
    if calibration.light.steady and (unlit := unlit_share(scene, circle)) > OPEN:
        found.append(notice("opening", percent=100 * unlit))
    blur_mm = sticker_blur_mm(photo, sticker, calibration.light.bend)
    here_mm = spot_blur_px(cutout) * calibration.mm_per_px
    return (*found, *_sharpness(blur_mm, here_mm, even=not lighted), *lighted)


def _place(
    sticker: Sticker, calibration: Calibration, scene: Scene, circle: Circle
) -> Iterator[Notice]:
    """Notices on where sticker, spot and camera are."""
    if calibration.tilt_deg > TILT_DEG:
        yield notice("tilted", tilt_deg=calibration.tilt_deg)
    gap = _gap_mm(sticker, circle)
    if gap > FAR_MM:
        yield notice("sticker_far", gap_mm=gap)
    if gap < 0 and _hidden(scene, circle) > COVERED:
        yield notice("sticker_over_spot")


def _gap_mm(sticker: Sticker, circle: Circle) -> float:
    """From the circle's rim to the sticker's edge [mm]; negative where they overlap."""
    if sticker.kind == "round":
        return float(np.hypot(circle.x, circle.y)) - sticker.size_mm / 2 - circle.radius
    beside = np.maximum(np.abs([circle.x, circle.y]) - sticker.size_mm / 2, 0)
    return float(np.hypot(*beside)) - circle.radius


def _hidden(scene: Scene, circle: Circle) -> float:
    """Share of the circle that is not to be seen as skin [1]."""
    rows, columns = np.indices(scene.valid.shape)
    at = scene.to_mm(np.column_stack([columns.ravel(), rows.ravel()]))
    inside = np.hypot(at[:, 0] - circle.x, at[:, 1] - circle.y) < circle.radius
    return float(1 - scene.valid.ravel()[inside].mean()) if inside.any() else 1.0


def _resolution(calibration: Calibration, circle: Circle) -> Iterator[Notice]:
    """Notices on how many pixels there are."""
    px_per_mm = 1 / calibration.mm_per_px
    across = 2 * circle.radius * px_per_mm
    if px_per_mm < PX_PER_MM:
        yield notice("too_coarse", px_per_mm=px_per_mm)
    elif across < PX_ACROSS:
        yield notice("spot_too_small", across_px=across)


def _sharpness(blur_mm: float | None, here_mm: float, *, even: bool) -> Iterator[Notice]:
    """Notices on blur: of the whole photo, seen on the sticker, or of the spot alone.

    Shine and shadow have soft edges of their own, so the spot alone is judged in ``even`` light.
    """
    if blur_mm is None:
        blur_mm = min(here_mm, LOST_MM)
    if blur_mm > LOST_MM:
        yield notice("blurred_badly", blur_mm=blur_mm)
    elif blur_mm > BLURRED_MM:
        yield notice("blurred", blur_mm=blur_mm)
    elif even and here_mm > max(SOFT_SPOT_MM, SOFTER * blur_mm):
        yield notice("spot_out_of_focus", blur_mm=blur_mm)
