"""Teeth, for lip and gum."""

from dataclasses import dataclass

import numpy as np

from lesioncompare.phantom.fields import Field
from lesioncompare.phantom.sites.base import light

IVORY = light(230, 219, 192)


@dataclass(frozen=True, slots=True)
class Tooth:
    """A pointed tooth: middle and width along the jaw, height, and lean of its tip [mm]."""

    at: float
    width: float
    tall: float
    lean: float = 0.0


def tooth_depth(teeth: tuple[Tooth, ...], a: Field, up: Field) -> Field:
    """Distance, roughly, inside the nearest of teeth that grow along ``up`` from 0 [mm]."""
    inside = np.full_like(a, -9.0)
    for tooth in teeth:
        rise = np.clip(1 - up / tooth.tall, 0, 1.25)
        middle = tooth.at + tooth.lean * (up / tooth.tall) ** 2
        flank = tooth.width / 2 * rise**0.62 - np.abs(a - middle)
        ends = np.minimum(tooth.tall - up, up + 2.5)
        inside = np.maximum(inside, np.minimum(0.85 * flank, ends))
    return inside
