"""Where to start: people draw round a spot, some tightly and some with room to spare."""

from dataclasses import dataclass

import numpy as np

from lesioncompare.outline.belief import belief
from lesioncompare.outline.drafts import contour_of, learn, signed_distance
from lesioncompare.outline.evidence import colour_features, fall_of_light
from lesioncompare.outline.patch import Field, Patch, cut_patch
from lesioncompare.outline.refine import Refined, refine
from lesioncompare.records import Circle, Points, Scene

SHRINKS = (1.0, 0.8, 0.64)  # [1] circles tried inside the drawn one: a long spot fills half of it
HOLD = 0.15  # [nat] a smaller circle must show so much clearer a border to be preferred


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """A neighbourhood to draw in, and the smooth fall of light over it [optical density]."""

    patch: Patch
    fall: Field

    @property
    def even(self) -> Field:
        """Reflectance without the fall of light, shape (n, n, 3) [1]."""
        lifted = self.patch.linear * np.power(np.float32(10), self.fall)[..., None]
        return np.asarray(lifted, np.float32)


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
    if prior is not None:
        return _start(scene, circle)
    best, clearest = None, -np.inf
    for shrink in SHRINKS:
        start = _start(scene, Circle(circle.x, circle.y, shrink * circle.radius))
        border = _quick(start)
        if border is None:
            continue
        clear = float(np.log(border.contrast.mean() + 1e-9)) - HOLD * (shrink < 1)
        if clear > clearest:
            best, clearest = start, clear
    return best or _start(scene, circle)


def _start(scene: Scene, circle: Circle) -> Start:
    patch = cut_patch(scene, circle)
    return Start(patch, fall_of_light(patch))


def _quick(start: Start) -> Refined | None:
    """One draft, refined; None where nothing was found."""
    place, reach = belief(start.patch, None)
    _, region = learn(start.patch, colour_features(start.patch, start.fall), place, reach)
    contour = contour_of(signed_distance(region)) if region.any() else np.empty((0, 2))
    if len(contour) < 8:
        return None
    return refine(start.even, start.patch.usable, contour)
