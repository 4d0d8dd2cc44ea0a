"""The database behind the store: durable commits, one writer at a time, short transactions."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import IntegrityError, OperationalError

from lesioncompare.errors import StoreError

BUSY_MS = 20_000  # [ms] how long a writer waits for another one
PRAGMAS = (
    f"busy_timeout={BUSY_MS}",
    "journal_mode=WAL",
    "synchronous=FULL",  # a commit survives a power cut, not only a crash
    "foreign_keys=ON",
    "trusted_schema=OFF",
)


def open_engine(url: str) -> Engine:
    """An engine that commits durably; on SQLite writers queue instead of failing."""
    engine = create_engine(url)
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _on_connect)
        event.listen(engine, "begin", _on_begin)
    return engine


def _on_connect(raw: Any, _record: Any) -> None:
    raw.isolation_level = None  # the driver's own deferred BEGIN makes writers fail
    cursor = raw.cursor()
    for pragma in PRAGMAS:
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _on_begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A connection that sees one moment of the database."""
    with _told(), engine.begin() as connection:
        yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A connection whose work is kept whole at the end, or not at all."""
    with _told(), engine.execution_options(writes=True).begin() as connection:
        yield connection


@contextmanager
def _told() -> Iterator[None]:
    """Database trouble as one sentence and one of advice."""
    try:
        yield
    except OperationalError as problem:
        raise StoreError(
            f"The store could not be used ({problem.orig}).",
            "Check that the disk is not full and that the folder is on this computer, then retry.",
        ) from problem
    except IntegrityError as problem:
        raise StoreError(
            "This does not fit what is in the store.",
            "What it belongs to may have been removed; go back to the first screen.",
        ) from problem
