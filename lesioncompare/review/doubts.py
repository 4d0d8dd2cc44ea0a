"""What is not sure: one odd visit, what could not be judged, and the limits of "no change"."""

from collections.abc import Mapping, Sequence

from lesioncompare.records import Change, Finding, Visit
from lesioncompare.registry.findings import finding
from lesioncompare.registry.surface_parts import PARTS
from lesioncompare.review.latest import ODD, at_last, moved
from lesioncompare.review.looks import described
from lesioncompare.review.sizes import area_evidence, percent
from lesioncompare.terms import CHANGES, Verdict, long_day

ASKING = ("area", "border_irregularity", "darkness", "redness", "colour_de00")  # worth a 2nd photo
ODD_DISTANCE = 3.3  # [u] the same for a distance along three axes, after the noise is taken off
JUDGED = {"area": "the size", "colour_de00": "the colour"}  # what every visit should tell
SAID_BY = {
    "area": {"growth", "fast_growth", "shrinking"},
    "border_irregularity": {"border", "smoother"},
    "darkness": {"darker", "lighter"},
    "redness": {"redder", "less_red"},
    "colour_de00": {"darker", "lighter", "redder", "less_red", "colour"},
    "surface": {"sore_surface"},
}
SIZES = ("longest_diameter", "perpendicular_diameter", "equivalent_diameter", "perimeter")
EDGES = ("circularity", "solidity", "edge_width", "asymmetry")
COLOURS = ("contrast_de00", "density_red", "density_green", "density_blue", "variegation")
TOLD_WITH = (
    ({"area"}, SIZES),
    ({"border_irregularity"}, EDGES),
    ({"darkness", "redness", "colour_de00"}, COLOURS),
    ({"surface"}, tuple(part.measure for part in PARTS)),
)  # a word on one of the first is word enough of the others
NAMED = {"area": "size", "border_irregularity": "border", "colour_de00": "colour"}  # if judged


def first_visit(visits: Sequence[Visit]) -> list[Finding]:
    """The finding on a first visit: there is nothing to compare with."""
    return [finding("first_visit", 0, {})] if len(visits) == 1 else []


def doubts(
    visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]], said: set[str]
) -> list[Finding]:
    """Findings on odd measures of the last visit and on what it could not tell.

    ``said`` holds the keys of findings already made: what they state is not doubted again.
    """
    if len(visits) < 2:
        return []
    notable = moved(changes, len(visits) - 1)
    odd = [
        last
        for last in notable
        if last.measure in ASKING
        and last.verdict == Verdict.UNCONFIRMED
        and not said & SAID_BY[last.measure]
    ]
    found = []
    if odd:
        clear = any(_is_odd(last) for last in odd)
        evidence: dict[str, float | str] = {last.measure: last.difference for last in odd}
        evidence["what"] = ", ".join(_in_words(last) for last in odd)
        evidence["details"] = "; ".join(described(last) for last in odd)
        found.append(finding("odd_visit" if clear else "borderline", len(visits) - 1, evidence))
    told = {key for key, by in SAID_BY.items() if said & by} | {last.measure for last in odd}
    return found + _others(notable, told) + _not_judged(visits, changes)


def _others(notable: Sequence[Change], told: set[str]) -> list[Finding]:
    """Findings on measures that no other finding speaks of, nor one ``told`` of their kind."""
    silent = {m for firsts, others in TOLD_WITH if firsts & told for m in others}
    left = [last for last in notable if last.measure not in {*ASKING, *silent}]
    found = []
    for key, verdict in (("other_change", Verdict.CHANGED), ("other_odd", Verdict.UNCONFIRMED)):
        some = [last for last in left if last.verdict == verdict]
        if some:
            evidence: dict[str, float | str] = {last.measure: last.difference for last in some}
            evidence["what"] = ", ".join(CHANGES[last.measure].keeper for last in some)
            evidence["details"] = "; ".join(described(last) for last in some)
            found.append(finding(key, some[0].visit, evidence))
    return found


def _is_odd(last: Change) -> bool:
    """Whether a visit is beyond what errors explain, not only beyond one in twenty."""
    beyond = ODD_DISTANCE if last.measure == "colour_de00" else ODD
    return abs(last.difference) > beyond * last.u


def _in_words(last: Change) -> str:
    """An odd measure in the keeper's words."""
    if last.measure == "area":
        size = percent(abs(last.difference)) if last.difference > 0 else -percent(last.difference)
        return f"{size:.0f} % {'larger' if last.difference > 0 else 'smaller'} in area"
    more = last.difference > 0
    return {
        "border_irregularity": "more uneven at the edge" if more else "smoother at the edge",
        "darkness": "darker" if more else "lighter",
        "redness": "redder" if more else "less red",
        "colour_de00": "of another colour",
    }[last.measure]


def _not_judged(visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]]) -> list[Finding]:
    """A finding when the last visit could not tell what every visit should."""
    reasons = {}
    for measure, words in JUDGED.items():
        last = at_last(visits, changes, measure)
        if last is None:
            reasons[words] = "it could not be measured"
        elif last.verdict == Verdict.UNKNOWN:
            reasons[words] = "the photo is too unsure to show even a doubling"
    if not reasons:
        return []
    evidence: dict[str, float | str] = {
        "what": " and ".join(reasons),
        "why": "; ".join(dict.fromkeys(reasons.values())),
        "details": "; ".join(f"{words} ({why})" for words, why in reasons.items()),
    }
    return [finding("could_not_judge", len(visits) - 1, evidence)]


def nothing_changed(
    visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]]
) -> list[Finding]:
    """The finding that no change was measured, of what was judged and how finely.

    None where any measure, be it one without a sentence of its own, changed or is odd.
    """
    last = at_last(visits, changes, "area")
    if last is None or last.verdict == Verdict.UNKNOWN or moved(changes, last.visit):
        return []
    *others, final = [
        words
        for measure, words in NAMED.items()
        if (one := at_last(visits, changes, measure)) is not None and one.verdict != Verdict.UNKNOWN
    ]
    evidence = area_evidence(visits, changes["area"]) | {"start": long_day(visits[0].when)}
    evidence["judged"] = f"{', '.join(others)} or {final}" if others else final
    return [finding("no_change", last.visit, evidence)]
