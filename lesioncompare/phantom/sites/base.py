"""What every painted site has in common: the layers of skin and the plan of the site."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from lesioncompare.phantom.fields import Field, Grid, noise, rough
from lesioncompare.phantom.subject import Subject
from lesioncompare.science.colour import srgb_to_linear

Array = NDArray[np.float64]


def light(red: int, green: int, blue: int) -> Field:
    """Reflectance of an sRGB colour, shape (3,)."""
    return srgb_to_linear(np.array([red, green, blue], np.uint8))


DARK_SKIN = light(62, 50, 48)
COAT = {
    "white": light(236, 231, 222),
    "cream": light(228, 203, 170),
    "orange": light(206, 146, 88),
    "grey": light(128, 124, 122),
    "black": light(52, 48, 46),
}


@dataclass(frozen=True, slots=True, eq=False)
class Skin:
    """Painted layers on a grid, each (h, w) but ``albedo`` (h, w, 3).

    ``albedo`` reflectance; ``height`` relief [mm]; ``gloss`` wetness; ``fur`` how dense hair
    stands; ``bare`` 1 where there is skin to measure; ``absent`` 1 where the body has ended.
    """

    albedo: Field
    height: Field
    gloss: Field
    fur: Field
    bare: Field
    absent: Field

    def __post_init__(self) -> None:
        for layer in ("albedo", "height", "gloss", "fur", "bare", "absent"):
            plain = np.ascontiguousarray(getattr(self, layer), np.float32)
            object.__setattr__(self, layer, plain)


def _still(points: Array) -> Array:
    return np.zeros(len(points))


@dataclass(frozen=True, slots=True)
class Plan:
    """The lie of a site: curvature [mm], where a sticker goes, how hair runs, and named places.

    ``flow`` gives the direction of hair [rad] at skin points (n, 2). ``landmarks`` are circles
    (u, v, radius) on the skin [mm].
    """

    radius_u: float
    radius_v: float
    apex: tuple[float, float]
    sticker_deg: float  # preferred direction from spot to sticker on the skin
    sticker_spread_deg: float
    hair_mm: float  # length of hair well away from bare skin
    flow: Callable[[Array], Array] = _still
    landmarks: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    fringe: Callable[[np.random.Generator, int], Array] | None = None  # hair roots on an edge


def sides(subject: Subject) -> tuple[float, float]:
    """Factors that mirror a site drawn for the cat's left lower side onto the subject's own."""
    across = -1.0 if subject.site.side == "right" else 1.0
    down = -1.0 if subject.site.level == "upper" else 1.0
    return across, down


def tint(subject: Subject, pink: Field, grid: Grid) -> Field:
    """Skin colour with mottling, blotches of blood and the subject's freckles, (h, w, 3)."""
    rng = np.random.default_rng([subject.seed, 1])
    u, v = grid.u, grid.v
    density = (1 - subject.skin) * np.log(pink) + subject.skin * np.log(DARK_SKIN)
    blood = 0.09 * rough(rng, u, v, 5.0, 4) + 0.03 * noise(rng, u, v, 0.25)
    brown = 0.05 * rough(rng, u, v, 2.5, 3) + 0.35 * subject.skin * rough(rng, u, v, 1.6, 4)
    albedo = density - blood[..., None] * np.array([0.25, 1.0, 0.9], np.float32)
    albedo -= brown[..., None] * np.array([0.8, 0.9, 1.0], np.float32)
    albedo -= freckle_density(subject, grid)[..., None] * np.array([1.3, 1.3, 1.1], np.float32)
    return np.exp(albedo).astype(np.float32)


def freckle_density(subject: Subject, grid: Grid) -> Field:
    """How dense small marks of the skin's own are; they keep 2.5 mm away from the origin."""
    rng = np.random.default_rng([subject.seed, 2])
    total = np.zeros_like(grid.u)
    for _ in range(subject.freckles):
        away, turn = rng.uniform(4.0, 11.0), rng.uniform(0, 2 * np.pi)
        size, depth = rng.uniform(0.12, 0.4), rng.uniform(0.25, 0.7)
        x, y = grid.u - away * np.cos(turn), grid.v - away * np.sin(turn)
        lumpy = 1 + 0.35 * np.sin(3 * np.arctan2(y, x) + turn)
        total += np.float32(depth) / (1 + (np.hypot(x, y) / (size * lumpy)) ** 6)
    return total
