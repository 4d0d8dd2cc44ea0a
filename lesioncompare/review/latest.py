"""The last word on a measure: what the charts say of it at the last visit."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from lesioncompare.records import Change, Visit
from lesioncompare.terms import Verdict

ODD = 3.0  # [u] beyond this a single visit asks for a second photo; as in compare


def day_name(when: datetime) -> str:
    """A date in words: 1 March 2026."""
    return f"{when.day} {when:%B %Y}"


def at_last(
    visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]], measure: str
) -> Change | None:
    """The measure's change at the last visit; None where it was not measured there."""
    course = changes.get(measure, ())
    return course[-1] if course and course[-1].visit == len(visits) - 1 else None


def changed(
    visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]], measure: str
) -> Change | None:
    """The measure's change at the last visit, if it is called one."""
    last = at_last(visits, changes, measure)
    return last if last is not None and last.verdict == Verdict.CHANGED else None


def called_since(changes: Mapping[str, Sequence[Change]], measure: str) -> int:
    """The visit since which a measure is called changed without a break."""
    since = changes[measure][-1].visit
    for change in reversed(changes[measure]):
        if change.verdict != Verdict.CHANGED:
            break
        since = change.visit
    return since
