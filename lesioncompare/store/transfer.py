"""Rows out and rows in: what a backup and an archive are made of.

Ids are the same in every installation, so bringing the same rows in twice changes nothing, and
nothing that is already here is overwritten.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Column, Connection, Table, insert, select
from sqlalchemy.exc import IntegrityError, StatementError

from lesioncompare.errors import ExchangeError
from lesioncompare.store import tables
from lesioncompare.store.base import Desk
from lesioncompare.store.blobs import Blobs
from lesioncompare.store.column_types import TakenTime, UtcTime
from lesioncompare.store.engine import reading, writing

Rows = Mapping[str, Sequence[Mapping[str, Any]]]  # by table, in an order that can be inserted


def all_rows(desk: Desk) -> dict[str, list[dict[str, Any]]]:
    """Every row of every table as JSON values, of one moment."""
    with reading(desk.engine) as connection:
        return {t.name: _out(t, connection.execute(select(t))) for t in _tables()}


def rows_of_sites(desk: Desk, site_ids: Sequence[str]) -> dict[str, list[dict[str, Any]]]:
    """The rows that belong to some sites, with their cats, as JSON values, of one moment."""
    with reading(desk.engine) as connection:
        return {t.name: _out(t, connection.execute(q)) for t, q in _site_queries(site_ids)}


def photos_in(rows: Rows) -> set[str]:
    """The SHA-256 of every photo that the rows speak of."""
    return {str(row["sha256"]) for row in rows.get("photo", ())}


def bring_in(desk: Desk, blobs: Blobs, rows: Rows, photos: Mapping[str, bytes]) -> dict[str, int]:
    """How many rows of each table were new here; all of them are kept, or none.

    Parameters
    ----------
    rows
        As made by ``all_rows`` or ``rows_of_sites``.
    photos
        The original bytes by SHA-256; those already here may be left out.

    Raises
    ------
    ExchangeError
        When a photo is missing or rows do not fit the tables; nothing has then been changed.
    """
    unknown = set(rows) - {table.name for table in _tables()}
    if unknown:
        raise ExchangeError(
            f"The file speaks of “{min(unknown)}”, which this program does not know.",
            "Install the newest version, then try again.",
        )
    for sha256 in sorted(photos_in(rows)):
        _bring_photo(blobs, sha256, photos)
    with writing(desk.engine) as connection:
        try:
            return {t.name: _in(connection, t, rows.get(t.name, ())) for t in _tables()}
        except (KeyError, TypeError, ValueError, IntegrityError, StatementError) as problem:
            raise ExchangeError(
                "The rows in this file do not fit together.",
                "Ask for the file again; it is damaged.",
            ) from problem


def _bring_photo(blobs: Blobs, sha256: str, photos: Mapping[str, bytes]) -> None:
    if sha256 not in photos:
        blobs.get(sha256)
    elif blobs.put(photos[sha256]) != sha256:
        raise ExchangeError(
            f"The photo {sha256[:12]} is not what its name says.",
            "Ask for the file again; it is damaged.",
        )


def _tables() -> list[Table]:
    """Tables in an order that satisfies the foreign keys."""
    return tables.metadata.sorted_tables


def _site_queries(site_ids: Sequence[str]) -> list[tuple[Table, Any]]:
    sites = list(site_ids)
    cats = select(tables.site.c.cat_id).where(tables.site.c.id.in_(sites))
    visits = select(tables.visit.c.id).where(tables.visit.c.site_id.in_(sites))
    photos = select(tables.photo.c.id).where(tables.photo.c.visit_id.in_(visits))
    by_column = (("photo_id", photos), ("visit_id", visits), ("site_id", sites))
    queries = []
    for table in _tables():
        if table in tables.AT_HOME:
            continue
        if table is tables.print_check:
            query = select(table)
        elif table is tables.cat:
            query = select(table).where(table.c.id.in_(cats))
        elif table is tables.site:
            query = select(table).where(table.c.id.in_(sites))
        elif "site_id" in table.c:
            query = select(table).where(table.c.site_id.in_(sites))
        else:
            column, wanted = next(((c, w) for c, w in by_column if c in table.c), ("cat_id", cats))
            query = select(table).where(table.c[column].in_(wanted))
        queries.append((table, query.order_by(table.c.id)))
    return queries


def _out(table: Table, result: Any) -> list[dict[str, Any]]:
    def plain(value: Any) -> Any:
        return value.isoformat() if isinstance(value, datetime) else value

    del table
    return [{name: plain(value) for name, value in row.items()} for row in result.mappings()]


def _in(connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]]) -> int:
    """Insert the rows whose id is not here yet; how many that were."""
    here = set(connection.execute(select(table.c.id)).scalars())
    new = [{c.name: _value(c, row) for c in table.columns} for row in rows if row["id"] not in here]
    if new:
        connection.execute(insert(table), new)
    return len(new)


def _value(column: Column[Any], row: Mapping[str, Any]) -> Any:
    value = row[column.name] if not column.nullable else row.get(column.name)
    if value is None or not isinstance(column.type, UtcTime | TakenTime):
        return value
    return datetime.fromisoformat(value)
