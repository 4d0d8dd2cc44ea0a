"""What is there that was not: new marks, missing margin, marks of one side alone.

A sighting of one photo is confirmed by another photo of the visit or by the visit before.
"""

from collections.abc import Sequence
from math import hypot, pi, sqrt

from lesioncompare.records import Finding, Sighting, Visit
from lesioncompare.registry.findings import finding
from lesioncompare.terms import Part, Site

SAME_PLACE_MM = 1.0  # [mm] sightings this near each other are one; alignment errs by less
LEAST_MARGIN_U = 2.0  # [u] missing margin must exceed its error by this


def places(site: Site | None, visits: Sequence[Visit]) -> list[Finding]:
    """Findings on what the last visit shows in places where the first photo shows nothing.

    Only an ear has an edge that can be missing: elsewhere skin ends in fur, which moves.
    """
    is_ear = site is not None and site.part == Part.EAR
    return [*_new_spots(visits), *(_margin(visits) if is_ear else ()), *_sides(visits)]


def _seen(visit: Visit, kind: str) -> list[list[Sighting]]:
    """Sightings of a kind, per photo of a visit."""
    return [[s for s in reading.sightings if s.kind == kind] for reading in visit.readings]


def _confirmed(visits: Sequence[Visit], kind: str) -> tuple[list[Sighting], list[Sighting]]:
    """Sightings of the last visit, one per place: those seen twice, and those seen once."""
    photos = _seen(visits[-1], kind)
    before = _seen(visits[-2], kind) if len(visits) > 1 else []
    twice: list[Sighting] = []
    once: list[Sighting] = []
    for index, photo in enumerate(photos):
        others = [*photos[:index], *photos[index + 1 :], *before]
        for sighting in photo:
            known = _at(sighting, twice) or _at(sighting, once)
            if not known:
                again = any(_at(sighting, other) for other in others)
                (twice if again else once).append(sighting)
    return twice, once


def _at(sighting: Sighting, others: Sequence[Sighting]) -> bool:
    """Whether one of the others lies in the same place."""
    reach = max(SAME_PLACE_MM, sqrt(sighting.area_mm2 / pi))
    return any(hypot(sighting.x_mm - o.x_mm, sighting.y_mm - o.y_mm) <= reach for o in others)


def _new_spots(visits: Sequence[Visit]) -> list[Finding]:
    """New marks: confirmed ones, or the request to look again, and their count."""
    twice, once = _confirmed(visits, "new_spot")
    last = len(visits) - 1
    found = []
    if twice:
        found.append(finding("new_spot", last, _mark_evidence(twice)))
    elif once:
        found.append(finding("new_spot_once", last, _mark_evidence(once)))
    if len(twice) > 1:
        whole = sum(sighting.area_mm2 for sighting in twice)
        found.append(finding("spot_count", last, {"count": float(len(twice)), "area_mm2": whole}))
    return found


def _mark_evidence(marks: Sequence[Sighting]) -> dict[str, float | str]:
    """The numbers behind a statement on new marks; the largest one leads."""
    largest = max(marks, key=lambda sighting: sighting.area_mm2)
    return {
        "size_mm": sqrt(4 * largest.area_mm2 / pi),
        "area_mm2": largest.area_mm2,
        "x_mm": largest.x_mm,
        "y_mm": largest.y_mm,
        **largest.evidence,
        "details": "; ".join(
            f"{s.area_mm2:.1f} mm² at ({s.x_mm:.1f}, {s.y_mm:.1f}) mm from the first sticker"
            for s in marks
        ),
    }


def _margin(visits: Sequence[Visit]) -> list[Finding]:
    """Missing margin, once seen twice and beyond its error."""
    twice, _ = _confirmed(visits, "margin_loss")
    sure = [s for s in twice if s.area_mm2 > LEAST_MARGIN_U * s.area_u]
    if not sure:
        return []
    evidence: dict[str, float | str] = {
        "area_mm2": sum(s.area_mm2 for s in sure),
        "area_u": sqrt(sum(s.area_u**2 for s in sure)),
    }
    return [finding("margin_loss", len(visits) - 1, evidence)]


def _sides(visits: Sequence[Visit]) -> list[Finding]:
    """Marks that the other side has not, once seen twice."""
    marks, _ = _confirmed(visits, "one_sided")
    if not marks:
        return []
    evidence: dict[str, float | str] = {"count": float(len(marks)), **_mark_evidence(marks)}
    return [finding("one_sided", len(visits) - 1, evidence)]
