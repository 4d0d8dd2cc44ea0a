"""Teeth, for lip and gum."""

import numpy as np

from lesioncompare.phantom.fields import Field
from lesioncompare.phantom.sites.base import light

IVORY = light(232, 220, 190)


def tooth_row(
    a: Field, up: Field, *, spacing: tuple[float, ...], tall: tuple[float, ...]
) -> Field:
    """Distance, roughly, inside a row of pointed teeth that grow along ``up`` from 0 [mm]."""
    inside = np.full_like(a, -9.0)
    middle = -sum(spacing) / 2 - 14.0
    while middle < 40:
        for width, height in zip(spacing, tall, strict=True):
            middle += width / 2
            half = width / 2 * 0.94
            rise = np.clip(1 - up / height, 0, None)
            flank = half * np.sqrt(rise) - np.abs(a - middle - 0.08 * up)
            shape = np.minimum(flank, np.minimum(height - up, up + 1.5) * 0.8)
            inside = np.maximum(inside, shape)
            middle += width / 2
    return inside
