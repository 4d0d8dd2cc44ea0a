"""A surface that looks broken: several named parts at once, each beyond its own threshold."""

from collections.abc import Mapping, Sequence

from lesioncompare.records import Change, Finding, Visit
from lesioncompare.registry.findings import finding
from lesioncompare.registry.surface_parts import BROAD, COLOURED, FEWEST, PARTS
from lesioncompare.review.latest import day_name
from lesioncompare.terms import MEASURES


def sore_surface(visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]]) -> list[Finding]:
    """The finding that the surface looks broken, at the latest visit where it does."""
    for index in range(len(visits) - 1, -1, -1):
        parts = _present(visits, changes, index)
        if _looks_broken(parts):
            values = dict(parts.items())
            evidence: dict[str, float | str] = {
                **values,
                "when": day_name(visits[index].when),
                "parts": ", ".join(p.keeper for p in PARTS if p.measure in parts),
                "details": ", ".join(f"{MEASURES[k].vet} {v:.2f}" for k, v in parts.items()),
            }
            return [finding("sore_surface", index, evidence)]
    return []


def _looks_broken(parts: Mapping[str, float]) -> bool:
    """Whether enough parts are there at once, or raw tissue and crust take a large share."""
    raw = [parts[name] for name in COLOURED if name in parts]
    return (len(parts) >= FEWEST and bool(raw)) or sum(raw) >= BROAD


def _present(
    visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]], index: int
) -> dict[str, float]:
    """The parts present at a visit, with their mean over its photos."""
    found = {}
    for part in PARTS:
        values = [
            quantity.value
            for reading in visits[index].readings
            if reading.measurement is not None
            and (quantity := reading.measurement.quantities.get(part.measure)) is not None
        ]
        mean = sum(values) / len(values) if values else 0.0
        rise = next((c.difference for c in changes.get(part.measure, ()) if c.visit == index), 0.0)
        if mean >= part.least or (mean >= part.least / 2 and rise >= part.rise):
            found[part.measure] = mean
    return found
