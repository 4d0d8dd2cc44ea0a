"""Visits and their photos. A visit in progress is saved step by step and can be taken up again."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, select

from lesioncompare.errors import StoreError
from lesioncompare.store import tables
from lesioncompare.store.base import KEEPER, Desk, insert_row, one_line, plain_text
from lesioncompare.store.blobs import Blobs
from lesioncompare.store.engine import reading, writing
from lesioncompare.store.kept import KeptPhoto, KeptVisit, PhotoState

FIRST_STEP = "photos"
USED, EXCLUDED, REMOVED = "used", "excluded", "removed"
GIVEN = "given"  # a date given by a person


@dataclass(frozen=True, slots=True)
class Visits:
    """The visits of every site."""

    _desk: Desk

    def begin(self, site_id: str, *, sticker_diameter_mm: float | None = None) -> KeptVisit:
        """A new visit in progress."""
        return self._desk.add(
            tables.visit,
            KeptVisit,
            site_id=site_id,
            step=FIRST_STEP,
            sticker_diameter_mm=sticker_diameter_mm,
            draft={},
            began_at=self._desk.now(),
        )

    def get(self, visit_id: str) -> KeptVisit:
        """One visit."""
        return self._desk.get(tables.visit, KeptVisit, visit_id)

    def of_site(self, site_id: str) -> list[KeptVisit]:
        """The finished visits of a site, by the time their photos were taken."""
        columns = tables.visit.c
        kept = self._desk.find(
            tables.visit,
            KeptVisit,
            columns.site_id == site_id,
            columns.finished_at.is_not(None),
            columns.removed_at.is_(None),
        )
        return sorted(kept, key=lambda visit: (_wall(visit.taken or visit.began_at), visit.id))

    def in_progress(self, site_id: str) -> KeptVisit | None:
        """The newest visit of a site that was begun and not finished."""
        columns = tables.visit.c
        return self._desk.latest(
            tables.visit,
            KeptVisit,
            columns.site_id == site_id,
            columns.finished_at.is_(None),
            columns.removed_at.is_(None),
        )

    def set_step(self, visit_id: str, step: str) -> None:
        """Remember where in the visit the keeper is."""
        self._desk.change(tables.visit, visit_id, step=step)

    def save_draft(self, visit_id: str, draft: Mapping[str, Any]) -> None:
        """Keep what is not yet confirmed."""
        self._desk.change(tables.visit, visit_id, draft=dict(draft))

    def set_sticker(self, visit_id: str, diameter_mm: float | None) -> None:
        """Say which sticker lies in these photos: a round dot [mm], or None for a printed one."""
        self._desk.change(tables.visit, visit_id, sticker_diameter_mm=diameter_mm)

    def finish(self, visit_id: str, *, step: str = "result") -> KeptVisit:
        """The visit, now part of the series, dated by its earliest photo."""
        with writing(self._desk.engine) as connection:
            photos = [p for p in photos_of(connection, visit_id) if p.state != REMOVED]
            taken = [p.taken for p in photos if p.taken is not None]
            values = {
                "step": step,
                "taken": min(taken, key=_wall) if taken else None,
                "finished_at": self._desk.now(),
            }
            update = tables.visit.update().where(tables.visit.c.id == visit_id)
            connection.execute(update.values(**values))
        return self.get(visit_id)

    def remove(self, visit_id: str) -> None:
        """Hide a visit with its photos."""
        self._desk.change(tables.visit, visit_id, removed_at=self._desk.now())

    def bring_back(self, visit_id: str) -> None:
        """Undo ``remove``."""
        self._desk.change(tables.visit, visit_id, removed_at=None)


@dataclass(frozen=True, slots=True)
class Photos:
    """The original photos, byte for byte."""

    _desk: Desk
    _blobs: Blobs

    def add(
        self,
        visit_id: str,
        data: bytes,
        *,
        name: str,
        taken: datetime | None = None,
        taken_basis: str = "none",
    ) -> KeptPhoto:
        """A photo added to a visit; the same bytes twice in one visit are one photo.

        The bytes are on disk before the row is written, so an acknowledged photo is never lost.
        """
        sha256 = self._blobs.put(data)
        with writing(self._desk.engine) as connection:
            for known in photos_of(connection, visit_id):
                if known.sha256 == sha256:
                    return self._again(connection, known)
            return insert_row(
                connection,
                tables.photo,
                KeptPhoto,
                visit_id=visit_id,
                sha256=sha256,
                name=one_line(name, limit=255),
                bytes=len(data),
                taken=taken,
                taken_basis=taken_basis,
                added_at=self._desk.now(),
            )

    def _again(self, connection: Connection, known: KeptPhoto) -> KeptPhoto:
        if known.state == REMOVED:
            self._state(connection, known.id, USED, "added again", KEEPER)
            return replace(known, state=USED, reason="added again")
        return known

    def get(self, photo_id: str) -> KeptPhoto:
        """One photo with its present state."""
        with reading(self._desk.engine) as connection:
            found = _with_state(connection, tables.photo.c.id == photo_id)
        if not found:
            raise StoreError(
                "There is no such photo in this store.", "Go back to the site and choose another."
            )
        return found[0]

    def of_visit(self, visit_id: str, *, removed: bool = False) -> list[KeptPhoto]:
        """The photos of a visit in the order they were added, without removed ones."""
        with reading(self._desk.engine) as connection:
            found = photos_of(connection, visit_id)
        return [p for p in found if removed or p.state != REMOVED]

    def of_site(self, site_id: str) -> dict[str, list[KeptPhoto]]:
        """The photos of each visit of a site by visit id, without removed ones."""
        visits = select(tables.visit.c.id).where(tables.visit.c.site_id == site_id)
        with reading(self._desk.engine) as connection:
            found = _with_state(connection, tables.photo.c.visit_id.in_(visits))
        by_visit: dict[str, list[KeptPhoto]] = {}
        for photo in found:
            if photo.state != REMOVED:
                by_visit.setdefault(photo.visit_id, []).append(photo)
        return by_visit

    def data(self, photo_id: str) -> bytes:
        """The original bytes, checked against their hash."""
        return self._blobs.get(self.get(photo_id).sha256)

    def set_state(self, photo_id: str, state: str, *, reason: str = "", who: str = KEEPER) -> None:
        """Use, exclude or remove a photo, with the reason; every change is kept."""
        with writing(self._desk.engine) as connection:
            self._state(connection, photo_id, state, reason, who)

    def _state(
        self, connection: Connection, photo_id: str, state: str, reason: str, who: str
    ) -> None:
        insert_row(
            connection,
            tables.photo_state,
            PhotoState,
            photo_id=photo_id,
            state=state,
            reason=plain_text(reason),
            who=one_line(who),
            at=self._desk.now(),
        )

    def set_taken(self, photo_id: str, taken: datetime) -> None:
        """Date a photo by hand."""
        self._desk.change(tables.photo, photo_id, taken=taken, taken_basis=GIVEN)

    def states(self, photo_id: str) -> list[PhotoState]:
        """Every change of a photo's state, oldest first."""
        where = tables.photo_state.c.photo_id == photo_id
        return self._desk.find(tables.photo_state, PhotoState, where)


def photos_of(connection: Connection, visit_id: str) -> list[KeptPhoto]:
    """The photos of a visit, removed ones included, within a running transaction."""
    return _with_state(connection, tables.photo.c.visit_id == visit_id)


def _with_state(connection: Connection, where: object) -> list[KeptPhoto]:
    columns = tables.photo_state.c
    rows = connection.execute(
        select(tables.photo).where(where).order_by(tables.photo.c.id)  # type: ignore[arg-type]
    )
    photos = [KeptPhoto(**row) for row in rows.mappings()]
    states = connection.execute(
        select(columns.photo_id, columns.state, columns.reason)
        .where(columns.photo_id.in_([photo.id for photo in photos]))
        .order_by(columns.id)
    )
    latest = {photo_id: (state, reason) for photo_id, state, reason in states}
    return [
        replace(photo, state=latest[photo.id][0], reason=latest[photo.id][1])
        if photo.id in latest
        else photo
        for photo in photos
    ]


def _wall(moment: datetime) -> datetime:
    """Clock time without zone: photos often do not know theirs."""
    return moment.replace(tzinfo=None)
