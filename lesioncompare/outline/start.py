"""What is known of a circle's neighbourhood before a border is drawn in it."""

from dataclasses import dataclass

import numpy as np

from lesioncompare.outline.belief import belief
from lesioncompare.outline.evidence import colour_features, density_of, fall_of_light
from lesioncompare.outline.patch import Field, Patch, cut_patch
from lesioncompare.records import Circle, Points, Scene


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """A neighbourhood to draw in, the fall of light taken off.

    ``linear`` (n, n, 3) is reflectance and ``features`` (3, n, n) its colours as densities;
    ``place`` and ``reach`` (n, n) are what the circle or an earlier border says.
    """

    patch: Patch
    linear: Field
    features: Field
    place: Field
    reach: Field


def start_in(scene: Scene, circle: Circle, prior: Points | None) -> Start:
    """The neighbourhood of a circle, or of an earlier border of its spot [mm]."""
    patch = cut_patch(scene, circle)
    density = density_of(patch)
    fall = fall_of_light(patch, density)
    lifted = patch.linear * np.power(np.float32(10), fall)[..., None]
    return Start(patch, lifted, colour_features(density, fall), *belief(patch, prior))
