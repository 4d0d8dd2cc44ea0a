"""Where to start: people draw round a spot, some tightly and some with room to spare."""

from dataclasses import dataclass

import numpy as np

from lesioncompare.outline.belief import belief
from lesioncompare.outline.drafts import contour_of, learn, signed_distance
from lesioncompare.outline.evidence import Values, colour_features, fall_of_light
from lesioncompare.outline.patch import Field, Patch, cut_patch
from lesioncompare.outline.refine import refine
from lesioncompare.records import Circle, Points, Scene

SHRINKS = (0.8, 0.64)  # [1] circles tried inside the drawn one: a long spot fills half of it
LEAST_POINTS = 8  # [1] a shorter contour holds no area
HOLD = 0.7  # [1] contrast must grow by more than this power of the circle's shrinking


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """A neighbourhood to draw in, the fall of light taken off.

    ``linear`` (n, n, 3) is reflectance and ``features`` (n, n, 3) its colours as densities;
    ``place`` and ``reach`` (n, n) are what the circle or an earlier border says.
    """

    patch: Patch
    linear: Field
    features: Values
    place: Field
    reach: Field


def choose_start(scene: Scene, circle: Circle, prior: Points | None) -> Start:
    """The neighbourhood of the circle that shows the clearest border.

    Parameters
    ----------
    prior
        An earlier border of this spot [mm]: then the circle is known to fit, and is taken as it is.

    Notes
    -----
    Clearness is the mean contrast along the border. A circle with room to spare teaches the skin's
    colour as the spot's; of the borders so drawn, the one within stands out more.
    """
    drawn = _start(scene, circle, prior)
    if prior is not None:
        return drawn
    best, clearest = drawn, _clearness(drawn)
    for shrink in SHRINKS:
        inside = _start(scene, Circle(circle.x, circle.y, shrink * circle.radius), None)
        clear = _clearness(inside) + HOLD * np.log(shrink)
        if clear > clearest:
            best, clearest = inside, clear
    return best


def _start(scene: Scene, circle: Circle, prior: Points | None) -> Start:
    patch = cut_patch(scene, circle)
    fall = fall_of_light(patch)
    lifted = patch.linear * np.power(np.float32(10), fall)[..., None]
    return Start(patch, lifted, colour_features(patch, fall), *belief(patch, prior))


def _clearness(start: Start) -> float:
    """Logarithm of the mean contrast along one draft of the border [nat]."""
    _, region = learn(start.patch, start.features, start.place, start.reach)
    contour = contour_of(signed_distance(region))
    if len(contour) < LEAST_POINTS:
        return -np.inf
    border = refine(start.linear, start.patch.usable, contour)
    return float(np.log(border.contrast.mean()))
