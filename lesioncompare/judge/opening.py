"""Whether the circle holds an opening, such as a nostril, and not a spot on the skin.

Black skin still mirrors some light off its surface: at the least 3 % (Fresnel's formula for an
index of 1.42), spread over a wet or rough surface. What sends back less is hardly lit at all.
"""

import cv2
import numpy as np

from lesioncompare.records import Circle, Scene
from lesioncompare.science.colour import luminance

UNLIT = 0.02  # [1] reflectance below which skin is hardly lit
WITHIN = 0.7  # [1] of the radius: the rim of a loose circle is skin
GRAIN_MM = 0.15  # [mm] glints and hairs finer than this do not light an opening


def unlit_share(scene: Scene, circle: Circle) -> float:
    """Share of the inner circle that hardly sends back light [1]; 0 where nothing can be seen."""
    grain = max(GRAIN_MM / scene.pitch_mm, 0.8)
    column, row = scene.to_grid(np.array([[circle.x, circle.y]]))[0]
    radius = WITHIN * circle.radius / scene.pitch_mm
    room = radius + 4 * grain + 1
    near = np.s_[
        max(0, int(row - room)) : max(0, int(row + room)),
        max(0, int(column - room)) : max(0, int(column + room)),
    ]
    y, x = np.ogrid[near]
    inner = (np.hypot(x - column, y - row) < radius) & scene.valid[near]
    if not inner.any():
        return 0.0
    light = cv2.GaussianBlur(luminance(scene.linear[near]), (0, 0), grain)
    return float((light[inner] < UNLIT).mean())
