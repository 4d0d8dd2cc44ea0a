"""Answers given in practice. They stay on this computer and are part of no hand-over."""

from dataclasses import dataclass
from datetime import datetime

from lesioncompare.store import tables
from lesioncompare.store.base import Desk, one_line

NAMELESS = ""  # somebody who gave no name
ROUND = "round"  # stands where an item would, in the row that begins a new round


@dataclass(frozen=True, slots=True)
class Practised:
    """One answer given in practice: what ``who`` said of an item, before seeing the truth."""

    id: str
    item: str
    said: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Practice:
    """Who said what of which pair or series."""

    _desk: Desk

    def add(self, item: str, said: str, *, who: str = NAMELESS) -> Practised:
        """One answer; giving another for the same item later is allowed and kept."""
        return self._desk.add(
            tables.practice,
            Practised,
            item=one_line(item, limit=20),
            said=one_line(said, limit=40),
            who=one_line(who, limit=40),
            at=self._desk.now(),
        )

    def begin_round(self) -> datetime:
        """A new round for the next class: answers before it are kept and no longer counted."""
        now = self._desk.now()
        self._desk.add(tables.practice, Practised, item=ROUND, said="", who=now.isoformat(), at=now)
        return now

    def this_round(self, *, who: str | None = None) -> list[Practised]:
        """Each person's first answer to each item of this round: later ones know the truth."""
        begun = self._desk.latest(tables.practice, Practised, tables.practice.c.item == ROUND)
        where = [tables.practice.c.item != ROUND]
        if begun is not None:
            where.append(tables.practice.c.id > begun.id)
        if who is not None:
            where.append(tables.practice.c.who == one_line(who, limit=40))
        first: dict[tuple[str, str], Practised] = {}
        for answer in self._desk.find(tables.practice, Practised, *where):
            first.setdefault((answer.who, answer.item), answer)
        return list(first.values())
