"""Whether the weekly look is kept up: plain counting, no praise and no blame."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

WEEK = timedelta(days=7)
SHOWN_WEEKS = 26


@dataclass(frozen=True, slots=True)
class Week:
    """A calendar week from Monday on, and on how many of its days there was a visit."""

    monday: date
    visits: int


def weeks(visits: Iterable[date], today: date, *, count: int = SHOWN_WEEKS) -> tuple[Week, ...]:
    """The weeks since the first visit, at most the last ``count``, up to the present one."""
    days = set(visits)
    if not days:
        return ()
    last, first = _monday(today), _monday(min(days))
    mondays = [last - n * WEEK for n in range(count) if last - n * WEEK >= first]
    return tuple(Week(m, sum(m <= day < m + WEEK for day in days)) for m in reversed(mondays))


def kept(shown: Iterable[Week], today: date) -> tuple[int, int]:
    """In how many weeks there was a visit, out of how many; a present week without one waits."""
    over = [week for week in shown if week.visits or week.monday != _monday(today)]
    return sum(week.visits > 0 for week in over), len(over)


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
