"""Border and colour, against this spot's own past."""

from collections.abc import Mapping, Sequence

from lesioncompare.records import Change, Finding, Visit
from lesioncompare.registry.findings import finding
from lesioncompare.review.latest import changed
from lesioncompare.review.sizes import percent
from lesioncompare.terms import CHANGES

ROUGHER = (("border_irregularity", 1), ("solidity", -1))  # measure and the way it goes when rougher


def border(visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]]) -> list[Finding]:
    """A finding when the edge has become more uneven or indented, or else smoother."""
    moved = [
        (last, last.difference * way > 0)
        for measure, way in ROUGHER
        if (last := changed(visits, changes, measure)) is not None
    ]
    if not moved:
        return []
    is_rougher = any(rougher for _, rougher in moved)
    told = [last for last, rougher in moved if rougher == is_rougher]
    evidence: dict[str, float | str] = {last.measure: last.difference for last in told}
    evidence["details"] = "; ".join(described(last) for last in told)
    return [finding("border" if is_rougher else "smoother", told[0].visit, evidence)]


def described(change: Change) -> str:
    """A change in the vet's words: measure, difference and its 95 % interval."""
    term = CHANGES[change.measure]
    if term.relative:
        value, low, high = (percent(f) for f in (change.difference, change.low, change.high))
        return f"{term.vet} {value:+.0f} % (95 %: {low:+.0f} to {high:+.0f} %)"
    unit = "" if term.unit == "1" else f" {term.unit}"
    return (
        f"{term.vet} {change.difference:+.3g}{unit} (95 %: {change.low:+.3g} to {change.high:+.3g})"
    )


def colour(visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]]) -> list[Finding]:
    """Findings when the spot is darker, lighter, redder or less red, or of another colour."""
    distance = changed(visits, changes, "colour_de00")
    de00 = _distance(changes)
    found = []
    darkness = changed(visits, changes, "darkness")
    if darkness is not None:
        key = "darker" if darkness.difference > 0 else "lighter"
        found.append(finding(key, darkness.visit, _evidence(darkness) | {"de00": de00}))
    redness = changed(visits, changes, "redness")
    if redness is not None and redness.difference > 0:
        found.append(finding("redder", redness.visit, _evidence(redness) | {"de00": de00}))
    if distance is not None and not found:
        found.append(finding("colour", distance.visit, _evidence(distance) | {"de00": de00}))
    if redness is not None and redness.difference < 0:  # a note, which takes the place of none
        found.append(finding("less_red", redness.visit, _evidence(redness) | {"de00": de00}))
    return found


def _distance(changes: Mapping[str, Sequence[Change]]) -> float:
    """How far the colour has moved at the last visit that tells [ΔE00]."""
    course = changes.get("colour_de00", ())
    return course[-1].difference if course else 0.0


def _evidence(change: Change) -> dict[str, float | str]:
    """The numbers behind a statement, by the name they have in the sentences."""
    return {
        "difference": change.difference,
        "low": change.low,
        "high": change.high,
        "detectable": change.smallest_detectable,
    }
