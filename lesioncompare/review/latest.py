"""The last word on a measure: what the charts say of it at the last visit."""

from collections.abc import Mapping, Sequence
from typing import TypeVar

from lesioncompare.records import Change, Visit
from lesioncompare.registry.tolerances import TOLERANCES
from lesioncompare.terms import Verdict

STANDS = 8  # [visits] a pressing word stands unrenewed so long; common practice, no source
ODD = 3.0  # [u] beyond this a single visit asks for a second photo; as in compare

Word = TypeVar("Word")


def standing(words: Sequence[Word | None]) -> tuple[int, Word] | None:
    """The last word on a matter and its visit, one of ``words`` or None for each visit.

    What a later visit was not asked or could not measure still stands, for ``STANDS`` visits; what
    it answered or measured otherwise does not.
    """
    recent = range(len(words) - 1, max(len(words) - 1 - STANDS, -1), -1)
    return next(((i, word) for i in recent if (word := words[i]) is not None), None)


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


def moved(changes: Mapping[str, Sequence[Change]], visit: int) -> list[Change]:
    """The changes worth a word at a visit: called, or odd and beyond the measure's floor."""
    return [
        change
        for course in changes.values()
        for change in course
        if change.visit == visit
        and change.verdict in {Verdict.CHANGED, Verdict.UNCONFIRMED}
        and abs(change.difference) >= TOLERANCES[change.measure].floor
    ]


def called_since(changes: Mapping[str, Sequence[Change]], measure: str) -> int:
    """The visit since which a measure is called changed without a break."""
    since = changes[measure][-1].visit
    for change in reversed(changes[measure]):
        if change.verdict != Verdict.CHANGED:
            break
        since = change.visit
    return since
