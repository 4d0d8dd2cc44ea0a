"""Borders drawn in several ways, which of them is seen most clearly, and how far they differ."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from lesioncompare.outline.drafts import contour_of, draw_drafts, signed_distance
from lesioncompare.outline.patch import Patch
from lesioncompare.outline.refine import Refined, refine
from lesioncompare.outline.start import start_in
from lesioncompare.records import Circle, Points, Scene
from lesioncompare.science.shape import area

SHRINKS = (1.0, 0.8, 0.64)  # [1] circles tried inside the drawn one: a long spot fills half of it
LEAST_POINTS = 8  # [1] a shorter contour holds no area
FAINTEST = 0.3  # [1] contrast; what shows less is not seen
HOLD = 0.5  # [1] contrast must grow by more than this power of the border's shrinking
TRUST = 8.0  # [1] a border seen less clearly counts as the ratio of contrasts to this power


@dataclass(frozen=True, slots=True, eq=False)
class Rival:
    """A border in its neighbourhood."""

    patch: Patch
    border: Refined

    @property
    def radius_mm(self) -> float:
        """Radius of a disc of the same area [mm]."""
        return float(np.sqrt(area(self.border.contour) / np.pi)) * self.patch.mm_per_px

    @property
    def clearness(self) -> float:
        """Mean logarithm of the contrast all round, and of the size by ``HOLD`` [nat].

        A part of a spot may stand out more from the rest of it than the spot from the skin.
        """
        seen = np.log(np.maximum(self.border.contrast, FAINTEST)).mean()
        return float(seen + HOLD * np.log(max(self.radius_mm, 1e-6)))


def draw_rivals(scene: Scene, circle: Circle, prior: Points | None) -> list[Rival]:
    """Every border that was drawn, the clearest first; none where nothing stands out.

    Parameters
    ----------
    prior
        An earlier border of this spot [mm]: then the circle is known to fit and is taken as it is,
        and the earlier border is itself a draft.

    Notes
    -----
    A circle with room to spare teaches the skin's colour as the spot's; of the borders drawn from
    it and from circles within, the true one is seen all round.
    """
    return sorted(_drawn(scene, circle, prior), key=lambda one: -one.clearness)


def _drawn(scene: Scene, circle: Circle, prior: Points | None) -> Iterator[Rival]:
    for shrink in SHRINKS if prior is None else (1.0,):
        start = start_in(scene, Circle(circle.x, circle.y, shrink * circle.radius), prior)
        patch = start.patch
        drafts = draw_drafts(patch, start.features, start.place, start.reach)
        firsts = [contour_of(signed_distance(drafts.agreed))]
        if prior is not None:
            firsts.append(patch.lower(prior))
        for first in firsts:
            if len(first) >= LEAST_POINTS:
                yield Rival(patch, refine(start.linear, patch.usable, first))


def apart_mm(rivals: Sequence[Rival]) -> float:
    """How far the rivals lie off the first of them, by what each is worth [mm].

    Root mean square difference of the radius. A border half as clear is worth next to nothing.
    """
    clear = np.array([one.clearness for one in rivals])
    worth = np.exp(TRUST * (clear - clear[0]))
    off = np.array([one.radius_mm for one in rivals]) - rivals[0].radius_mm
    return float(np.sqrt((worth * off**2).sum() / worth.sum()))
