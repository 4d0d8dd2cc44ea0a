"""How softly a spot's colour runs out: the mean profile across its border."""

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import erfc

from lesioncompare.measure.regions import Regions, sample
from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import LinearImage, Points, Scene
from lesioncompare.science.shape import equivalent_diameter, smooth, texture_scale
from lesioncompare.science.surface import density_over

NORMALS = 256  # [1] profiles across the border
STEPS = 41  # [1] samples along each
REACH_MM = 0.8  # [mm] to either side, or less on a small spot
REACH_SHARE = 0.3  # [equivalent diameter]
PROFILE = 2.5631  # [sigma] from 10 to 90 % of an error function
SECTORS = 4  # [1] fitted on their own for the scatter
LEAST_CONTRAST = 0.03  # [1] optical density over the skin; what less of a spot cannot be drawn
LEAST_STEP = 0.3  # [spot-skin difference] a profile that climbs less is no edge
FAR = 20.0  # [ln mm] a width beyond this either way is a fit that ran away
FIT = 1e-4  # [1] relative; the width is never better known than to a few per cent
END_PX = 0.41  # [px] two ends, each anywhere in its pixel: √(2/12)


def edge_width(
    scene: Scene, regions: Regions, contour_mm: Points, pixel_mm: float
) -> Quantity | None:
    """Width over which the colour runs from 10 to 90 % of the way from skin to spot, or None.

    Parameters
    ----------
    scene, regions
        The neighbourhood of the spot, and what its pixels show.
    contour_mm
        The border, shape (n, 2) [mm].
    pixel_mm
        The coarser of the photo's pixel and the scene's grid step at the spot [mm].

    Returns
    -------
    Quantity | None
        [mm]; None where no edge stands out. The photo's own blur is part of it, and so is what
        the border strays from the true line.

    Notes
    -----
    In linear light, along the direction in colour from skin to spot. An error function is fitted
    to the median of the profiles.
    """
    spot = np.median(sample(scene.linear, regions.core()), axis=0)
    if np.abs(density_over(spot, regions.white)).max() < LEAST_CONTRAST:
        return None
    profiles, offsets = _profiles(scene, regions, spot, contour_mm)
    whole = _fit(profiles, offsets)
    if whole is None:
        return None
    parts = [_fit(part, offsets) for part in np.array_split(profiles, SECTORS)]
    widths = [width for width in parts if width is not None]
    if len(widths) < 2:
        return None
    scatter = float(np.std(widths, ddof=1) / np.sqrt(len(widths)))
    return Quantity(
        whole, "mm", (Component("border", scatter), Component("pixel", END_PX * pixel_mm))
    )


def _profiles(
    scene: Scene, regions: Regions, spot: LinearImage, contour_mm: Points
) -> tuple[NDArray[np.float32], NDArray[np.float64]]:
    """Share of spot colour along normals (n, steps), NaN under hair, glint and sticker; offsets."""
    even = smooth(contour_mm, texture_scale(contour_mm))
    even = even[np.linspace(0, len(even), NORMALS, endpoint=False).astype(int)]
    along = np.roll(even, -1, axis=0) - np.roll(even, 1, axis=0)
    normal = np.column_stack([along[:, 1], -along[:, 0]]) / np.hypot(*along.T)[:, None]
    reach = min(REACH_MM, REACH_SHARE * equivalent_diameter(contour_mm))
    offsets = np.linspace(-reach, reach, STEPS)
    at = scene.to_grid(even[:, None] + offsets[:, None] * normal[:, None])
    x, y = np.ascontiguousarray(np.moveaxis(at, 2, 0), np.float32)
    toward = (spot - regions.white) / max(float(((spot - regions.white) ** 2).sum()), 1e-9)
    hidden = (~regions.clear | regions.glint).astype(np.float32)
    light = cv2.remap(scene.linear, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    covered = cv2.remap(hidden, x, y, cv2.INTER_LINEAR, borderValue=1)
    return np.where(covered > 0, np.nan, (light - regions.white) @ toward), offsets


def _fit(profiles: NDArray[np.float32], offsets: NDArray[np.float64]) -> float | None:
    """10-90 % width of the median profile [mm], or None where no edge stands out."""
    seen = np.isfinite(profiles).sum(axis=0)
    if (seen < len(profiles) / 8).any():
        return None
    ranked = np.sort(profiles, axis=0)  # what is hidden comes last
    middle = ranked[(seen - 1) // 2, np.arange(STEPS)]
    reach = offsets[-1]
    start = (float(middle[-1]), float(middle[0] - middle[-1]), 0.0, float(np.log(reach / 6)))
    fit = least_squares(
        lambda edge: _edge(offsets, *edge) - middle, start, method="lm", ftol=FIT, xtol=FIT
    )
    found = fit.x
    width = PROFILE * _sigma(found[3])
    stands_out = abs(found[1]) > LEAST_STEP and abs(found[2]) < reach and width < 2 * reach
    return width if stands_out else None


def _edge(
    x: NDArray[np.float64], far: float, step: float, at: float, log_sigma: float
) -> NDArray[np.float64]:
    """A blurred step."""
    return far + step * 0.5 * erfc((x - at) / _sigma(log_sigma) / np.sqrt(2))


def _sigma(log_sigma: float) -> float:
    """Standard deviation of the blur from its logarithm, finite wherever a fit goes [mm]."""
    return float(np.exp(np.clip(log_sigma, -FAR, FAR)))
