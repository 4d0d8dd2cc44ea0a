"""A surface that looks broken: several named parts at once, each beyond its own threshold."""

from collections.abc import Mapping, Sequence

from lesioncompare.records import Change, Finding, Visit
from lesioncompare.registry.findings import finding
from lesioncompare.registry.surface_parts import BROAD, COLOURED, FEWEST, PARTS
from lesioncompare.review.latest import standing
from lesioncompare.terms import MEASURES, long_day


def sore_surface(visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]]) -> list[Finding]:
    """The finding that the surface looks broken, at the last visit that shows the surface."""
    shown = standing([_present(visits, changes, index) for index in range(len(visits))])
    if shown is None or not _looks_broken(shown[1]):
        return []
    index, parts = shown
    evidence: dict[str, float | str] = {
        **parts,
        "when": long_day(visits[index].when),
        "parts": ", ".join(p.keeper for p in PARTS if p.measure in parts),
        "details": ", ".join(f"{MEASURES[k].vet} {v:.2f}" for k, v in parts.items()),
    }
    return [finding("sore_surface", index, evidence)]


def _looks_broken(parts: Mapping[str, float]) -> bool:
    """Whether enough parts are there at once, or raw tissue and crust take a large share."""
    raw = [parts[name] for name in COLOURED if name in parts]
    return (len(parts) >= FEWEST and bool(raw)) or sum(raw) >= BROAD


def _present(
    visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]], index: int
) -> dict[str, float] | None:
    """The parts present at a visit, with their mean over its photos; None if none was measured."""
    found, measured = {}, False
    for part in PARTS:
        values = [
            quantity.value
            for reading in visits[index].readings
            if reading.measurement is not None
            and (quantity := reading.measurement.quantities.get(part.measure)) is not None
        ]
        measured |= bool(values)
        mean = sum(values) / len(values) if values else 0.0
        rise = next((c.difference for c in changes.get(part.measure, ()) if c.visit == index), 0.0)
        if mean >= part.least or (mean >= part.least / 2 and rise >= part.rise):
            found[part.measure] = mean
    return found if measured else None
