"""Seeds, corrected outlines and measurement runs: only ever added, the latest one counts."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import ColumnElement, Table, select

from lesioncompare import __version__
from lesioncompare.records import Reading, Seed
from lesioncompare.settings import Settings
from lesioncompare.store import tables
from lesioncompare.store.base import KEEPER, Desk, one_line, plain_text
from lesioncompare.store.engine import reading as reads
from lesioncompare.store.kept import Correction, KeptSeed, Run
from lesioncompare.store.readings import reading_to_json


def _on(table: Table, photo_id: str, spot_id: str) -> tuple[ColumnElement[bool], ...]:
    return table.c.photo_id == photo_id, table.c.spot_id == spot_id


@dataclass(frozen=True, slots=True)
class Seeds:
    """The circles people drew."""

    _desk: Desk

    def add(self, photo_id: str, spot_id: str, seed: Seed, *, who: str = KEEPER) -> KeptSeed:
        """A circle drawn round a spot."""
        return self._desk.add(
            tables.seed,
            KeptSeed,
            photo_id=photo_id,
            spot_id=spot_id,
            x=seed.x,
            y=seed.y,
            radius=seed.radius,
            who=one_line(who),
            at=self._desk.now(),
        )

    def latest(self, photo_id: str, spot_id: str) -> KeptSeed | None:
        """The circle that counts."""
        return self._desk.latest(tables.seed, KeptSeed, *_on(tables.seed, photo_id, spot_id))

    def all(self, photo_id: str, spot_id: str) -> list[KeptSeed]:
        """Every circle, oldest first."""
        return self._desk.find(tables.seed, KeptSeed, *_on(tables.seed, photo_id, spot_id))


@dataclass(frozen=True, slots=True)
class Corrections:
    """What people said of outlines."""

    _desk: Desk

    def add(  # noqa: PLR0913  one argument a column
        self,
        photo_id: str,
        spot_id: str,
        kind: str,
        *,
        contour_px: Sequence[Sequence[float]] | None = None,
        strokes: Sequence[Mapping[str, Any]] | None = None,
        reason: str = "",
        who: str = KEEPER,
    ) -> Correction:
        """A corrected, accepted or rejected outline, or "automatic" to take that back."""
        return self._desk.add(
            tables.correction,
            Correction,
            photo_id=photo_id,
            spot_id=spot_id,
            kind=kind,
            contour_px=None if contour_px is None else [[float(v) for v in p] for p in contour_px],
            strokes=None if strokes is None else [dict(stroke) for stroke in strokes],
            reason=plain_text(reason),
            who=one_line(who),
            at=self._desk.now(),
        )

    def latest(self, photo_id: str, spot_id: str) -> Correction | None:
        """The word that counts."""
        table = tables.correction
        return self._desk.latest(table, Correction, *_on(table, photo_id, spot_id))

    def drawn(self, photo_id: str, spot_id: str) -> Correction | None:
        """The contour a person drew that still counts, if any."""
        counts: Correction | None = None
        for word in self.all(photo_id, spot_id):
            if word.kind == "corrected":
                counts = word
            elif word.kind == "automatic":
                counts = None
        return counts

    def of_spot(self, spot_id: str) -> list[Correction]:
        """Every word on the borders of a spot, on whichever photo, oldest first."""
        table = tables.correction
        return self._desk.find(table, Correction, table.c.spot_id == spot_id)

    def all(self, photo_id: str, spot_id: str) -> list[Correction]:
        """Every word, oldest first."""
        table = tables.correction
        return self._desk.find(table, Correction, *_on(table, photo_id, spot_id))


@dataclass(frozen=True, slots=True)
class Runs:
    """The measurements, old ones beside new ones."""

    _desk: Desk

    def add(  # noqa: PLR0913  one argument a column
        self,
        photo_id: str,
        spot_id: str,
        reading: Reading,
        settings: Settings,
        *,
        seed_id: str | None = None,
        correction_id: str | None = None,
        first_photo_id: str | None = None,
    ) -> Run:
        """A measurement, kept with what is needed to make it again."""
        return self._desk.add(
            tables.run,
            Run,
            photo_id=photo_id,
            spot_id=spot_id,
            seed_id=seed_id,
            correction_id=correction_id,
            first_photo_id=first_photo_id,
            version=__version__,
            settings_digest=settings.digest(),
            settings=asdict(settings),
            reading=reading_to_json(reading),
            at=self._desk.now(),
        )

    def latest(self, photo_id: str, spot_id: str) -> Run | None:
        """The measurement that counts."""
        return self._desk.latest(tables.run, Run, *_on(tables.run, photo_id, spot_id))

    def all(self, photo_id: str, spot_id: str) -> list[Run]:
        """Every measurement of a spot on a photo, oldest first."""
        return self._desk.find(tables.run, Run, *_on(tables.run, photo_id, spot_id))

    def ids_of_spot(self, spot_id: str) -> list[str]:
        """The ids of all measurements of a spot, oldest first, without their numbers."""
        with reads(self._desk.engine) as connection:
            query = select(tables.run.c.id).where(tables.run.c.spot_id == spot_id)
            return list(connection.execute(query.order_by(tables.run.c.id)).scalars())

    def photos_of_spot(self, spot_id: str) -> set[str]:
        """The ids of the photos on which a spot was ever measured."""
        with reads(self._desk.engine) as connection:
            query = select(tables.run.c.photo_id).where(tables.run.c.spot_id == spot_id)
            return set(connection.execute(query).scalars())

    def of_spot(self, spot_id: str) -> dict[str, Run]:
        """The measurement that counts for each photo of a spot, by photo id."""
        with reads(self._desk.engine) as connection:
            query = select(tables.run).where(tables.run.c.spot_id == spot_id)
            rows = connection.execute(query.order_by(tables.run.c.id)).mappings()
            return {row["photo_id"]: Run(**row) for row in rows}
