"""Steady colour: the light on the sticker from its printed greys, in linear light.

The camera's value of a grey is taken as offset + gain * reflectance * (1 + gx x + gy y) in each
channel, with one gradient and one S-shaped bend of the tone curve for all three. The same greys
lie on the sticker twice, in opposite order, so a gradient of light cannot pass for a grey. Errors
are taken to grow with the value; a grey under a whisker or a glint loses its weight, and so does
one that fills the sensor: under warm light white paper does so in red long before skin does.
"""

import numpy as np
from numpy.typing import NDArray

from lesioncompare.records import Light
from lesioncompare.science.colour import delta_e00, linear_to_lab, straighten

Array = NDArray[np.float64]

RELATIVE_SD = 0.03  # [1] of a grey's value: paper, ink, JPEG
ABSOLUTE_SD = 0.004  # [1] noise and stray light
OFFSET_SD = 0.02  # [1] of white: how much stray light lifts black, before looking
GRADIENT_SD = 0.02  # [1/mm] before looking
BEND_SD = 0.15  # [1] before looking: from plain sRGB to a lively phone picture
BEND_RANGE = (-0.4, 0.8)  # [1]
LIGHT_GREY = 0.25  # [1] reflectance of the greys that tell the gain before looking closer
FULL = 0.96  # [1] of the sensor's range; an area that reaches it has lost some of its light
FULL_WEIGHT = 1e-3  # [1] next to none, but enough where all greys are full
OUTLIER = 4.685  # [1] biweight cut-off in standard deviations (Beaton and Tukey 1974)
ROUNDS = 15
BEND = 8  # index of the bend among the nine unknowns


def fit_light(ladder: Array) -> Light:
    """The light on the sticker.

    Parameters
    ----------
    ladder
        Rows (n, 6): x_mm, y_mm, nominal reflectance, linear R, G, B as seen. Empty for a round
        dot: the photo's own colours are kept and ``steady`` is False.
    """
    if len(ladder) == 0:
        return Light(np.ones(3), np.zeros(3), np.zeros(2), 0.0, steady=False)
    place, printed, seen = ladder[:, :2], ladder[:, 2], ladder[:, 3:]
    white = np.array([_white(printed, channel) for channel in seen.T])
    unknowns = np.concatenate([np.zeros(3), white, np.zeros(3)])
    spread = [OFFSET_SD * white.max()] * 3 + [np.inf] * 3 + [GRADIENT_SD] * 2 + [BEND_SD]
    known = 1 / np.array(spread) ** 2
    unclipped = np.where(seen < FULL, 1.0, FULL_WEIGHT)
    for _ in range(ROUNDS):
        misfit, slope = _misfit(unknowns, place, printed, seen)
        typical = max(float(np.median(np.abs(misfit))) / 0.6745, 0.3)
        weight = np.clip(1 - (misfit / (OUTLIER * typical)) ** 2, 0, None) ** 2 * unclipped
        step = _step(slope, misfit, weight, known, unknowns)
        unknowns = unknowns + step
        unknowns[BEND] = np.clip(unknowns[BEND], *BEND_RANGE)
        if np.abs(step).max() < 1e-5:
            break
    offset, gain, gradient = unknowns[:3], np.maximum(unknowns[3:6], 1e-4), unknowns[6:8]
    bend = float(unknowns[BEND])
    factor = np.maximum(1 + place @ gradient, 0.05)
    steadied = (straighten(seen, bend) - offset) / (gain * factor[:, None])
    grey = linear_to_lab(np.repeat(printed[:, None], 3, axis=1))
    apart = delta_e00(linear_to_lab(steadied), grey)
    whole = (seen < FULL).all(axis=1)
    residual = float(np.median(apart[whole] if whole.any() else apart))
    return Light(gain, offset, gradient, residual, steady=True, bend=bend)


def _white(printed: Array, seen: Array) -> float:
    """About what one channel would show of white, from the light greys that do not fill it."""
    light = printed > LIGHT_GREY
    whole = light & (seen < FULL)
    chosen = whole if whole.any() else light
    return float(np.median(seen[chosen] / printed[chosen]))


def _misfit(unknowns: Array, place: Array, printed: Array, seen: Array) -> tuple[Array, Array]:
    """Seen minus expected in standard deviations (n, 3), and its fall by the unknowns (n, 3, 9)."""
    offset, gain, gradient, bend = unknowns[:3], unknowns[3:6], unknowns[6:8], unknowns[BEND]
    lit = printed * (1 + place @ gradient)
    straight = straighten(seen, bend)
    sd = np.hypot(RELATIVE_SD * straight, ABSOLUTE_SD)
    slope = np.zeros((*seen.shape, 9))
    for channel in range(3):
        slope[:, channel, channel] = 1
        slope[:, channel, 3 + channel] = lit
        slope[:, channel, 6:8] = gain[channel] * printed[:, None] * place
    slope[..., BEND] = (straight - straighten(seen, bend + 0.01)) / 0.01
    return (straight - offset - gain * lit[:, None]) / sd, slope / sd[..., None]


def _step(slope: Array, misfit: Array, weight: Array, known: Array, unknowns: Array) -> Array:
    """One Gauss-Newton step; what was known before pulls towards zero."""
    matrix = slope.reshape(-1, len(known))
    weighted = matrix * weight.reshape(-1, 1)
    normal = weighted.T @ matrix + np.diag(known)
    return np.asarray(np.linalg.solve(normal, weighted.T @ misfit.ravel() - known * unknowns))
