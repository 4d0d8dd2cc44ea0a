"""What is not sure: one odd visit, what could not be judged, and the limits of "no change"."""

from collections.abc import Mapping, Sequence

from lesioncompare.records import Change, Finding, Visit
from lesioncompare.registry.findings import finding
from lesioncompare.registry.tolerances import TOLERANCES
from lesioncompare.review.latest import ODD, at_last, day_name
from lesioncompare.review.looks import described
from lesioncompare.review.sizes import area_evidence, percent
from lesioncompare.terms import Verdict

ASKING = ("area", "border_irregularity", "darkness", "redness", "colour_de00")  # worth a 2nd photo
ODD_DISTANCE = 3.3  # [u] the same for a distance along three axes, after the noise is taken off
JUDGED = {"area": "the size", "colour_de00": "the colour"}  # what every visit should tell
SAID_BY = {
    "area": {"growth", "fast_growth", "shrinking"},
    "border_irregularity": {"border"},
    "darkness": {"darker", "lighter"},
    "redness": {"redder"},
    "colour_de00": {"darker", "lighter", "redder", "colour"},
}


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
    odd = [
        last
        for measure in ASKING
        if (last := at_last(visits, changes, measure)) is not None
        and last.verdict == Verdict.UNCONFIRMED
        and abs(last.difference) >= TOLERANCES[measure].floor
        and not said & SAID_BY[measure]
    ]
    found = []
    if odd:
        clear = any(_is_odd(last) for last in odd)
        evidence: dict[str, float | str] = {last.measure: last.difference for last in odd}
        evidence["what"] = ", ".join(_in_words(last) for last in odd)
        evidence["details"] = "; ".join(described(last) for last in odd)
        found.append(finding("odd_visit" if clear else "borderline", len(visits) - 1, evidence))
    return found + _not_judged(visits, changes)


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
    """The finding that no change was measured, with what could not have been seen."""
    last = at_last(visits, changes, "area")
    if last is None or last.verdict in {Verdict.CHANGED, Verdict.UNKNOWN}:
        return []
    evidence = area_evidence(visits, changes["area"]) | {"start": day_name(visits[0].when)}
    return [finding("no_change", last.visit, evidence)]
