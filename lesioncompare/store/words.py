"""What people say: answers, notes, and the vet's decisions. Nothing is overwritten."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select

from lesioncompare.errors import StoreError
from lesioncompare.store import tables
from lesioncompare.store.base import KEEPER, Desk, one_line, plain_text
from lesioncompare.store.kept import Answer, Concern, Decision, Note

SKIPPED = ""  # an answer taken back
DECISIONS = ("watch", "treat", "cytology", "biopsy", "referral", "result")


@dataclass(frozen=True, slots=True)
class Answers:
    """The keeper's hands-on answers."""

    _desk: Desk

    def give(self, visit_id: str, question: str, value: str, *, who: str = KEEPER) -> Answer:
        """An answer; an empty value takes an earlier one back."""
        return self._desk.add(
            tables.answer,
            Answer,
            visit_id=visit_id,
            question=question,
            value=value,
            who=one_line(who),
            at=self._desk.now(),
        )

    def of_visit(self, visit_id: str) -> dict[str, str]:
        """The answers that count, by question."""
        given = {answer.question: answer.value for answer in self.all(visit_id)}
        return {question: value for question, value in given.items() if value != SKIPPED}

    def of_site(self, site_id: str) -> dict[str, dict[str, str]]:
        """The answers that count, by visit id and question."""
        visits = select(tables.visit.c.id).where(tables.visit.c.site_id == site_id)
        given: dict[str, dict[str, str]] = {}
        found = self._desk.find(tables.answer, Answer, tables.answer.c.visit_id.in_(visits))
        for answer in found:
            given.setdefault(answer.visit_id, {})[answer.question] = answer.value
        return {v: {q: a for q, a in of.items() if a != SKIPPED} for v, of in given.items()}

    def all(self, visit_id: str) -> list[Answer]:
        """Every answer ever given, oldest first."""
        return self._desk.find(tables.answer, Answer, tables.answer.c.visit_id == visit_id)


@dataclass(frozen=True, slots=True)
class Notes:
    """Notes on sites and visits."""

    _desk: Desk

    def add(
        self, site_id: str, text: str, *, visit_id: str | None = None, who: str = KEEPER
    ) -> Note:
        """A new note.

        Raises
        ------
        StoreError
            When it is empty.
        """
        kept = plain_text(text)
        if not kept:
            raise StoreError("The note is empty.", "Type a few words, then save.")
        return self._desk.add(
            tables.note,
            Note,
            site_id=site_id,
            visit_id=visit_id,
            text=kept,
            who=one_line(who),
            at=self._desk.now(),
        )

    def of_site(self, site_id: str) -> list[Note]:
        """Every note on a site, oldest first."""
        return self._desk.find(tables.note, Note, tables.note.c.site_id == site_id)


@dataclass(frozen=True, slots=True)
class Concerns:
    """What the keepers want to know."""

    _desk: Desk

    def say(self, site_id: str, text: str, *, who: str = KEEPER) -> Concern:
        """The question put to the vet; empty words take an earlier one back."""
        return self._desk.add(
            tables.concern,
            Concern,
            site_id=site_id,
            text=plain_text(text),
            who=one_line(who),
            at=self._desk.now(),
        )

    def of_site(self, site_id: str) -> str:
        """The question that counts, "" if there is none."""
        latest = self._desk.latest(tables.concern, Concern, tables.concern.c.site_id == site_id)
        return latest.text if latest else ""


@dataclass(frozen=True, slots=True)
class Decisions:
    """What the vet decided, and what came of it."""

    _desk: Desk

    def add(  # noqa: PLR0913  one argument a column
        self,
        site_id: str,
        kind: str,
        *,
        who: str,
        text: str = "",
        due: date | None = None,
        spot_id: str | None = None,
        photo_id: str | None = None,
        mark_px: tuple[float, float] | None = None,
        about: str | None = None,
    ) -> Decision:
        """A decision, or the result of decision ``about``; ``mark_px`` is a place on the photo."""
        if kind not in DECISIONS:
            raise ValueError(f"kind must be one of {DECISIONS}, not {kind!r}")
        return self._desk.add(
            tables.decision,
            Decision,
            site_id=site_id,
            spot_id=spot_id,
            photo_id=photo_id,
            decision_id=about,
            kind=kind,
            text=plain_text(text),
            due=None if due is None else due.isoformat(),
            x=None if mark_px is None else mark_px[0],
            y=None if mark_px is None else mark_px[1],
            who=one_line(who),
            at=self._desk.now(),
        )

    def of_site(self, site_id: str) -> list[Decision]:
        """Every decision on a site, oldest first."""
        return self._desk.find(tables.decision, Decision, tables.decision.c.site_id == site_id)
