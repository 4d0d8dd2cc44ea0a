"""A surface that looks broken: several named parts, weighed together."""

from collections.abc import Sequence

from lesioncompare.records import Finding, Visit
from lesioncompare.registry.findings import finding
from lesioncompare.registry.surface_parts import BROKEN, PARTS, TOLD, broken, weights
from lesioncompare.review.latest import standing
from lesioncompare.terms import MEASURES, long_day


def sore_surface(visits: Sequence[Visit]) -> list[Finding]:
    """The finding that the surface looks broken, at the last visit that shows the surface."""
    shown = standing([_parts(visit) for visit in visits])
    if shown is None or broken(shown[1]) < BROKEN:
        return []
    index, parts = shown
    weight = weights(parts)
    told = [part for part in PARTS if weight[part.measure] >= TOLD]
    evidence: dict[str, float | str] = {
        **{part.measure: parts[part.measure] for part in told},
        "when": long_day(visits[index].when),
        "parts": ", ".join(part.keeper for part in told),
        "details": ", ".join(
            f"{MEASURES[part.measure].vet} {parts[part.measure]:.2f}" for part in told
        ),
    }
    return [finding("sore_surface", index, evidence)]


def _parts(visit: Visit) -> dict[str, float] | None:
    """Mean of each part over the photos of a visit; None if none was measured."""
    seen = [r.measurement.quantities for r in visit.readings if r.measurement is not None]
    values = {
        part.measure: [q[part.measure].value for q in seen if part.measure in q] for part in PARTS
    }
    return {name: sum(some) / len(some) for name, some in values.items() if some} or None
