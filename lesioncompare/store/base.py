"""What every topic of the store shares: the engine, the clock, and rows as frozen records."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, Connection, Engine, Table, func, insert, select, update

from lesioncompare.errors import StoreError
from lesioncompare.store.engine import reading, writing
from lesioncompare.store.ids import new_id

Record = TypeVar("Record")
KEEPER = "keeper"  # who wrote a row, where nobody gave a name
MAX_TEXT = 10_000  # [characters] of a note


@dataclass(frozen=True, slots=True)
class Desk:
    """The one place where rows are read and written."""

    engine: Engine
    now: Callable[[], datetime]

    def add(self, table: Table, kind: type[Record], /, **values: Any) -> Record:
        """The record of a new row."""
        with writing(self.engine) as connection:
            return insert_row(connection, table, kind, **values)

    def get(self, table: Table, kind: type[Record], row_id: str) -> Record:
        """The record with this id.

        Raises
        ------
        StoreError
            When there is none.
        """
        found = self.find(table, kind, table.c.id == row_id)
        if not found:
            raise missing(table.name)
        return found[0]

    def find(self, table: Table, kind: type[Record], *where: ColumnElement[bool]) -> list[Record]:
        """The records that fit, oldest first."""
        with reading(self.engine) as connection:
            rows = connection.execute(select(table).where(*where).order_by(table.c.id))
            return [kind(**row) for row in rows.mappings()]

    def latest(
        self, table: Table, kind: type[Record], *where: ColumnElement[bool]
    ) -> Record | None:
        """The newest record that fits."""
        with reading(self.engine) as connection:
            query = select(table).where(*where).order_by(table.c.id.desc()).limit(1)
            row = connection.execute(query).mappings().first()
            return None if row is None else kind(**row)

    def change(self, table: Table, row_id: str, **values: Any) -> None:
        """Set columns of one row."""
        with writing(self.engine) as connection:
            done = connection.execute(update(table).where(table.c.id == row_id).values(**values))
            if done.rowcount != 1:
                raise missing(table.name)


def insert_row(
    connection: Connection, table: Table, kind: type[Record], /, **values: Any
) -> Record:
    """The record of a row added within a running transaction."""
    newest = connection.execute(select(func.max(table.c.id))).scalar()
    row: Mapping[str, Any] = {"id": new_id(after=newest or ""), **values}
    connection.execute(insert(table).values(**row))
    stored = connection.execute(select(table).where(table.c.id == row["id"])).mappings().one()
    return kind(**stored)


def missing(what: str) -> StoreError:
    """The sentence for an id that leads nowhere."""
    return StoreError(
        f"There is no such {what} in this store.", "It may have been removed; go back and choose."
    )


def plain_text(text: str, *, limit: int = MAX_TEXT) -> str:
    """Typed words without control characters and outer blanks, cut at a limit."""
    kept = "".join(c for c in text if c in "\n\t" or c.isprintable())
    return kept.strip()[:limit]


def one_line(text: str, *, limit: int = 120) -> str:
    """Typed words on one line."""
    return " ".join(plain_text(text, limit=limit).split())
