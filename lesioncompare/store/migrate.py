"""Bringing a database to the shape this program expects, and refusing one from the future."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util.exc import CommandError
from sqlalchemy import Connection, Engine

from lesioncompare.errors import StoreError
from lesioncompare.store.engine import writing


def alembic_config(connection: Connection | None = None) -> Config:
    """The migrations inside this package, bound to a connection."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def newest_revision() -> str | None:
    """The revision this program writes."""
    return ScriptDirectory.from_config(alembic_config()).get_current_head()


def present_revision(engine: Engine) -> str | None:
    """The revision of a database; None when it is empty."""
    with engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def upgrade(engine: Engine) -> None:
    """Bring the database to the newest revision; a copy of an older SQLite file is kept beside it.

    Raises
    ------
    StoreError
        When a newer program wrote it.
    """
    present = present_revision(engine)
    if present == newest_revision():
        return
    if present is not None:
        _known(present)
        _keep_copy(engine, present)
    with writing(engine) as connection:  # whoever comes second finds the work done
        command.upgrade(alembic_config(connection), "head")


def _known(revision: str) -> None:
    try:
        ScriptDirectory.from_config(alembic_config()).get_revision(revision)
    except CommandError as problem:
        raise StoreError(
            "This store was written by a newer version of the program.",
            "Install the newest version, then open it again.",
        ) from problem


def _keep_copy(engine: Engine, revision: str) -> None:
    if engine.dialect.name != "sqlite" or not engine.url.database:
        return
    file = Path(engine.url.database)
    copy = file.with_name(f"{file.stem}-before-{revision}{file.suffix}")
    if not copy.exists():
        raw = engine.raw_connection()  # outside any transaction, as VACUUM wants it
        try:
            raw.cursor().execute("VACUUM INTO ?", (str(copy),))
        finally:
            raw.close()
