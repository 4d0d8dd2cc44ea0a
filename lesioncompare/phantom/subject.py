"""Who is photographed: an invented cat's site and the spots on it."""

from dataclasses import dataclass, replace
from math import pi

from lesioncompare.terms import Site

KINDS = ("pigment", "inflamed", "ulcer")
COATS = ("white", "cream", "orange", "grey", "black")


@dataclass(frozen=True, slots=True)
class Spot:
    """A spot on the skin, in body-fixed millimetres; the site's origin is bare skin.

    ``diameter_mm`` is that of the disc of equal area: the area at rest, inside the line where the
    cover is one half, is exactly pi/4 diameter_mm**2. ``aspect`` is length over width, ``turn_deg``
    the direction of the length. ``irregularity`` is the rms deviation of the border from the
    ellipse, as a fraction of the radius. ``edge_mm`` is the width over which the cover falls from
    90 to 10 %. ``contrast`` scales how far the colour lies from the skin's, 1 being typical;
    ``seed`` fixes the border's shape and what is inside.
    """

    kind: str = "pigment"
    x_mm: float = 0.0
    y_mm: float = 0.0
    diameter_mm: float = 4.0
    aspect: float = 1.25
    irregularity: float = 0.08
    edge_mm: float = 0.2
    contrast: float = 1.0
    turn_deg: float = 30.0
    seed: int = 1

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"kind must be one of {KINDS}, not {self.kind!r}")
        if not (self.diameter_mm > 0 and self.edge_mm > 0 and self.aspect > 0):
            raise ValueError("diameter_mm, edge_mm and aspect must be positive")

    @property
    def rest_area_mm2(self) -> float:
        """Area in the plane of the unstretched skin [mm²]."""
        return pi / 4 * self.diameter_mm**2

    def grown(self, area_factor: float) -> "Spot":
        """The same spot with its area times ``area_factor``, same shape, same edge width."""
        return replace(self, diameter_mm=self.diameter_mm * area_factor**0.5)


@dataclass(frozen=True, slots=True)
class Subject:
    """One site of one invented cat. Everything that stays with the animal follows from ``seed``.

    ``skin`` runs from 0 (pink) to 1 (black skin). ``wet`` scales the glints. ``margin_loss_mm2``
    is what is missing from the edge of an ear [mm²]. ``freckles`` is the number of small flat
    marks that belong to the skin.
    """

    site: Site
    seed: int = 1
    spots: tuple[Spot, ...] = (Spot(),)
    coat: str = "white"
    skin: float = 0.05
    wet: float = 1.0
    freckles: int = 3
    margin_loss_mm2: float = 0.0

    def __post_init__(self) -> None:
        if self.coat not in COATS:
            raise ValueError(f"coat must be one of {COATS}, not {self.coat!r}")
        if self.margin_loss_mm2 and self.site.part != "ear":
            raise ValueError("margin_loss_mm2 is for ears only")

    def with_spots(self, *spots: Spot) -> "Subject":
        """The same skin with these spots instead."""
        return replace(self, spots=spots)

    def with_first_grown(self, area_factor: float) -> "Subject":
        """The same skin with the first spot's area times ``area_factor``."""
        return self.with_spots(self.spots[0].grown(area_factor), *self.spots[1:])

    def with_new_spot(self, spot: Spot) -> "Subject":
        """The same skin with one spot more."""
        return self.with_spots(*self.spots, spot)

    def with_margin_loss(self, area_mm2: float) -> "Subject":
        """The same ear with ``area_mm2`` missing from its edge."""
        return replace(self, margin_loss_mm2=area_mm2)
