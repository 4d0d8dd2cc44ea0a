"""What every painted site has in common: the layers of skin and the plan of the site."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from lesioncompare.phantom.fields import Field, Grid, blend, noise, rough
from lesioncompare.phantom.subject import Subject
from lesioncompare.science.colour import srgb_to_linear

Array = NDArray[np.float64]


def light(red: int, green: int, blue: int) -> Field:
    """Reflectance of an sRGB colour, shape (3,)."""
    return srgb_to_linear(np.array([red, green, blue], np.uint8))


DARK_SKIN = light(62, 50, 48)
COAT = {
    "white": light(244, 240, 232),
    "cream": light(228, 203, 170),
    "orange": light(206, 146, 88),
    "grey": light(128, 124, 122),
    "black": light(52, 48, 46),
}

# [1] depth of the stripes of a coat: white and black show none
STRIPES = {"white": 0.0, "cream": 0.12, "orange": 0.22, "grey": 0.25, "black": 0.0}


@dataclass(frozen=True, slots=True, eq=False)
class Skin:
    """Painted layers on a grid, each (h, w) but ``albedo`` (h, w, 3).

    ``albedo`` reflectance; ``height`` relief [mm]; ``gloss`` wetness; ``fur`` how dense hair
    stands; ``bare`` 1 where there is skin to measure; ``absent`` 1 where the body has ended;
    ``coat`` brightness of the hair that grows there.
    """

    albedo: Field
    height: Field
    gloss: Field
    fur: Field
    bare: Field
    absent: Field
    coat: Field

    def __post_init__(self) -> None:
        for layer in ("albedo", "height", "gloss", "fur", "bare", "absent", "coat"):
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
    whiskers: int  # whiskers that usually cross a picture
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
    dark = np.float32(subject.skin)
    density = (1 - dark) * np.log(pink) + dark * np.log(DARK_SKIN)
    blood = 0.10 * rough(rng, grid, 5.0, 4) + 0.035 * noise(rng, grid, 0.25)
    brown = 0.05 * rough(rng, grid, 2.5, 3) + 0.35 * dark * rough(rng, grid, 1.6, 4)
    brown += freckle_density(subject, grid)
    layers = np.stack([0.25 * blood + 0.95 * brown, blood + brown, 0.9 * blood + brown], axis=-1)
    return np.exp(density - layers)


def freckle_density(subject: Subject, grid: Grid) -> Field:
    """How dense small marks of the skin's own are; they keep 4 mm away from the origin."""
    rng = np.random.default_rng([subject.seed, 2])
    total = np.zeros_like(grid.u)
    for _ in range(subject.freckles):
        away, turn = rng.uniform(4.0, 10.0), rng.uniform(0, 2 * np.pi)
        size, depth = rng.uniform(0.12, 0.4), rng.uniform(0.25, 0.7)
        middle = away * np.array([np.cos(turn), np.sin(turn)])
        low = np.maximum(np.floor(grid.to_grid(middle - 5 * size)).astype(int), 0)
        high = np.maximum(np.ceil(grid.to_grid(middle + 5 * size)).astype(int), 0)
        box = (slice(low[1], high[1]), slice(low[0], high[0]))
        x, y = grid.u[box] - middle[0], grid.v[box] - middle[1]
        lumpy = size * (1 + 0.35 * np.sin(3 * np.arctan2(y, x) + turn))
        total[box] += np.float32(depth) / (1 + (np.hypot(x, y) / lumpy) ** 6)
    return total


def coat_pattern(subject: Subject, grid: Grid) -> Field:
    """Brightness of the coat, striped in coats that usually are [1]."""
    rng = np.random.default_rng([subject.seed, 8])
    bands = noise(rng, grid, 9.0, (0.35, 1.0)) + 0.5 * rough(rng, grid, 4.0, 2)
    lively = STRIPES[subject.coat] * np.tanh(1.5 * bands) + 0.08 * rough(rng, grid, 3.0, 2)
    return np.exp(lively).astype(np.float32)


def edge_of_fur(subject: Subject, albedo: Field, share: Field, coat: Field) -> Field:
    """Skin that turns into the ground of the coat, seen between hairs, where ``share`` is 1."""
    ground = 0.62 * COAT[subject.coat] + 0.15 * albedo
    return blend(albedo, ground * coat[..., None], share)


def as_flesh(subject: Subject, skin: Field, pink: Field, flesh: Field) -> Field:
    """Skin painted over ``pink`` as it would look over ``flesh`` instead."""
    return skin * (flesh / pink) ** np.float32(1 - subject.skin)
