"""Whether the light on the spot can be trusted: too much, too little, shine, colour, shadow."""

from collections.abc import Iterator

import cv2
import numpy as np

from lesioncompare.judge.spot import Cutout
from lesioncompare.records import Calibration, Circle, LinearImage, Mask, Notice
from lesioncompare.registry import notice
from lesioncompare.science.plane import apply_homography

FULL = 253  # [code value] from here on a channel holds no more light
BURNT, CLIPPED = 0.40, 0.08  # [1] share of spot and ring
BLACK, DARK = 0.07, 0.15  # [1] a white sheet's light against the sensor's limit
SHINE = (
    0.60  # [1] reflectance in the least channel; bare skin stays under 0.45, white paper has 0.9
)
GLARING, SHINING = 0.35, 0.10  # [1] share of the spot
SHINE_MM = 0.15  # [mm] glints smaller than this are wet skin
CAST = (0.25, 2.5)  # [1] blue over red of a white sheet; a black body of 3500 K gives 0.26
SECTORS = 12  # of the ring; six make a side, five of them are compared
SHADOW = 0.9  # [1] log of light between opposite sides: a factor of 2.5 ...
SAME_HUE = 0.2  # [1] ... while log red over green stays
LEAST_PX = 30  # [px] of a sector that counts
ENOUGH_PX = 12_000  # [px] of the ring: its medians say no more from more


def judge_light(cutout: Cutout, calibration: Calibration, circle: Circle) -> Iterator[Notice]:
    """Notices on the light at the spot."""
    light = calibration.light
    seen = cutout.inside | cutout.ring
    below = cv2.inRange(cutout.rgb, (0,) * 3, (FULL - 1,) * 3)
    full = float((below[seen] == 0).mean())
    steady = np.column_stack([np.diag(1 / light.gain), -light.offset / light.gain])
    reflectance = np.asarray(cv2.transform(cutout.linear, steady), np.float32)
    white = float(light.gain.mean()) if light.steady else _brightest(cutout, seen)
    shine = _shine(reflectance, calibration.mm_per_px, cutout.inside)
    if white < BLACK:
        yield notice("too_dark")
    elif white < DARK:
        yield notice("dark")
    if full > BURNT:
        yield notice("burnt_out", percent=100 * full)
    elif shine > GLARING:
        yield notice("glare", percent=100 * shine)
    elif shine > SHINING:
        yield notice("shine", percent=100 * shine)
    elif full > CLIPPED:
        yield notice("clipped", percent=100 * full)
    blue = float(light.gain[2] / light.gain[0])
    if light.steady and not CAST[0] < blue < CAST[1]:
        yield notice("colour_cast", tint="yellow" if blue < 1 else "blue")
    if _shadowed(reflectance, cutout, calibration, circle):
        yield notice("shadow")


def _brightest(cutout: Cutout, seen: Mask) -> float:
    """What stands for a white sheet where none was measured: the brightest that is to be seen."""
    return float(np.quantile(cutout.linear[seen].max(axis=1), 0.99))


def _shine(reflectance: LinearImage, mm_per_px: float, inside: Mask) -> float:
    """Share of the spot under a white shine [1]."""
    sigma = max(SHINE_MM / mm_per_px, 0.8)
    x, y, width, height = cv2.boundingRect(inside.astype(np.uint8))
    room = int(4 * sigma) + 1
    part = np.s_[max(0, y - room) : y + height + room, max(0, x - room) : x + width + room]
    red, green, blue = np.moveaxis(reflectance[part], -1, 0)
    least = cv2.GaussianBlur(np.minimum(np.minimum(red, green), blue), (0, 0), sigma)
    return float((least > SHINE)[inside[part]].mean())


def _shadowed(
    reflectance: LinearImage, cutout: Cutout, calibration: Calibration, circle: Circle
) -> bool:
    """Whether the skin beside the spot is much darker on one side, but of one hue."""
    rows, columns = np.nonzero(cutout.ring)
    some = max(1, len(rows) // ENOUGH_PX)
    rows, columns = rows[::some], columns[::some]
    at = apply_homography(calibration.px_to_mm, np.column_stack([columns, rows]) + cutout.corner_px)
    turn = np.arctan2(at[:, 1] - circle.y, at[:, 0] - circle.x)
    sector = ((turn / (2 * np.pi) + 0.5) * SECTORS).astype(int) % SECTORS
    skin = np.log(np.maximum(reflectance[rows, columns], 1e-3))
    parts = [skin[sector == k] for k in range(SECTORS)]
    if min(len(part) for part in parts) < LEAST_PX:
        return False
    middles = np.array([np.median(part, axis=0) for part in parts])
    sides = np.array(
        [
            np.median(np.roll(middles, -k, axis=0)[: SECTORS // 2 - 1], axis=0)
            for k in range(SECTORS)
        ]
    )
    steps = sides - np.roll(sides, SECTORS // 2, axis=0)
    red, green, _ = steps[np.argmax(steps[:, 1])]
    return bool(green > SHADOW and abs(red - green) < SAME_HUE)
