"""Answers given in practice. They stay on this computer and are part of no hand-over."""

from dataclasses import dataclass
from datetime import datetime

from lesioncompare.store import tables
from lesioncompare.store.base import Desk, one_line
from lesioncompare.store.kept import Practised

NAMELESS = ""  # somebody who gave no name


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

    def since(self, begin: datetime | None = None, *, who: str | None = None) -> list[Practised]:
        """Each person's first answer to each item from a moment on: later ones know the truth."""
        where = [] if begin is None else [tables.practice.c.at >= begin]
        if who is not None:
            where.append(tables.practice.c.who == one_line(who, limit=40))
        first: dict[tuple[str, str], Practised] = {}
        for answer in self._desk.find(tables.practice, Practised, *where):
            first.setdefault((answer.who, answer.item), answer)
        return list(first.values())
