"""What changed over the visits of a spot, by how much, and how little could have been seen."""

from collections.abc import Mapping, Sequence
from itertools import pairwise

from lesioncompare.compare.colour import colour_change
from lesioncompare.compare.colour_course import follow_colour
from lesioncompare.compare.course import Judged, follow
from lesioncompare.compare.levels import all_marks, day_of
from lesioncompare.compare.margin import look_for_loss
from lesioncompare.compare.new_spots import look_for_new
from lesioncompare.compare.rulers import area_ratio, rulers_disagree
from lesioncompare.compare.sides import MIRROR, marks_of_one_side, mirrored
from lesioncompare.quantity import COVERAGE_95, Quantity
from lesioncompare.records import Change, Reading, Sighting, Visit
from lesioncompare.registry.tolerances import TOLERANCES

__all__ = [
    "MIRROR",
    "change_from_first",
    "compare",
    "look_for_changes",
    "marks_of_one_side",
    "mirrored",
    "rulers_disagree",
]


def compare(visits: Sequence[Visit]) -> Mapping[str, tuple[Change, ...]]:
    """Each measure's change at every visit after the first that has it.

    Parameters
    ----------
    visits
        Visits of one site in order of time, of photos aligned to the first one; dates may be
        irregular and measures missing.

    Returns
    -------
    Mapping[str, tuple[Change, ...]]
        By name of ``terms.CHANGES``. Sizes are compared on the natural logarithm; ``colour_de00``
        is a distance and never negative.

    Raises
    ------
    ValueError
        When the visits are not in order of time.
    """
    if any(day_of(after, before) <= 0 for before, after in pairwise(visits)):
        raise ValueError("visits must be in order of time, each at its own")
    changes = {}
    for name, marks in all_marks(visits).items():
        tolerance = TOLERANCES[name]
        judged = follow(marks, floor=tolerance.floor, hopeless=tolerance.hopeless)
        if judged:
            changes[name] = tuple(_change(name, one) for one in judged)
    if colours := follow_colour(visits):
        changes["colour_de00"] = colours
    return changes


def _change(name: str, one: Judged) -> Change:
    """The record of one judged visit."""
    return Change(
        measure=name,
        visit=one.visit,
        difference=one.difference,
        u=one.u,
        low=one.difference - COVERAGE_95 * one.u,
        high=one.difference + COVERAGE_95 * one.u,
        smallest_detectable=one.smallest_detectable,
        verdict=one.verdict,
        course=one.course,
    )


def change_from_first(first: Reading, reading: Reading) -> tuple[Quantity | None, Quantity | None]:
    """Best estimate of what changed since the first photo.

    Parameters
    ----------
    first
        The first photo of the series, to which the others are aligned.
    reading
        Another photo, or the first itself.

    Returns
    -------
    tuple[Quantity | None, Quantity | None]
        Ratio of areas, sticker and near-skin rulers fused [1]; CIEDE2000 change of the spot
        against the skin beside it [ΔE00]. None where a measurement is missing.
    """
    return area_ratio(first, reading), colour_change(first, reading)


def look_for_changes(first: Reading, reading: Reading) -> tuple[Sighting, ...]:
    """What a photo shows that the first one did not: new marks, and missing edge.

    Parameters
    ----------
    first
        The first photo of the series, with its close-up scene.
    reading
        Another photo of it, aligned and outlined.

    Returns
    -------
    tuple[Sighting, ...]
        For ``Reading.sightings``; one photo alone confirms none of them.
    """
    return (*look_for_new(first, reading), *look_for_loss(first, reading))
