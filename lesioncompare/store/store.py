"""The store: the only writer of what is kept, with one topic per attribute."""

from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from lesioncompare.store import backup, transfer
from lesioncompare.store.base import Desk
from lesioncompare.store.blobs import STALE_S, Blobs
from lesioncompare.store.cats import Cats, Sites, Spots
from lesioncompare.store.engine import open_engine
from lesioncompare.store.habits import HomeChecks, PrintChecks, Reminders
from lesioncompare.store.home import database_url, home_folder
from lesioncompare.store.migrate import upgrade
from lesioncompare.store.practice import Practice
from lesioncompare.store.runs import Corrections, Runs, Seeds
from lesioncompare.store.shelf import Shelf
from lesioncompare.store.sunlight import CatOutings, Places
from lesioncompare.store.visits import Photos, Visits
from lesioncompare.store.words import Answers, Concerns, Decisions, Notes


def _now() -> datetime:
    return datetime.now(UTC)


class Store:
    """A database and the photos beside it. Safe to share between threads.

    Parameters
    ----------
    home
        Folder of the photos, and of the database unless ``url`` says otherwise.
    url
        Database URL as SQLAlchemy writes it; SQLite in ``home`` if None.
    now
        The clock.
    """

    def __init__(
        self, home: Path, *, url: str | None = None, now: Callable[[], datetime] = _now
    ) -> None:
        home.mkdir(parents=True, exist_ok=True)
        self.home = home
        self._engine = open_engine(url or f"sqlite:///{home / 'store.sqlite'}")
        upgrade(self._engine)
        self._desk = Desk(self._engine, now)
        self._blobs = Blobs(home / "photos")
        self.shelf = Shelf(home / "pictures")
        self.cats = Cats(self._desk)
        self.sites = Sites(self._desk)
        self.spots = Spots(self._desk)
        self.visits = Visits(self._desk)
        self.photos = Photos(self._desk, self._blobs)
        self.seeds = Seeds(self._desk)
        self.corrections = Corrections(self._desk)
        self.runs = Runs(self._desk)
        self.answers = Answers(self._desk)
        self.notes = Notes(self._desk)
        self.concerns = Concerns(self._desk)
        self.decisions = Decisions(self._desk)
        self.print_checks = PrintChecks(self._desk)
        self.home_checks = HomeChecks(self._desk)
        self.reminders = Reminders(self._desk)
        self.places = Places(self._desk)
        self.outings = CatOutings(self._desk)
        self.practice = Practice(self._desk)

    def now(self) -> datetime:
        """The store's clock."""
        return self._desk.now()

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def backup(self, file: Path) -> int:
        """Write everything into one file; how many photos it holds."""
        return backup.write_backup(self._desk, self._blobs, file)

    def restore(self, file: Path) -> dict[str, int]:
        """Bring back what a backup holds and this store lacks; how many rows of each table."""
        return backup.read_backup(self._desk, self._blobs, file)

    def check(self) -> list[str]:
        """What is wrong, one sentence each; empty when every photo and row is whole."""
        return backup.check(self._desk, self._blobs)

    def sweep(self, *, older_than_s: float = STALE_S) -> int:
        """Remove photo files that no row refers to; how many went."""
        return backup.sweep(self._desk, self._blobs, older_than_s=older_than_s)

    def rows_of_sites(self, site_ids: Sequence[str]) -> dict[str, list[dict[str, Any]]]:
        """The rows that belong to some sites, by table, as JSON values."""
        return transfer.rows_of_sites(self._desk, site_ids)

    def bring_in(self, rows: transfer.Rows, photos: Mapping[str, bytes]) -> dict[str, int]:
        """Add the rows and photos that are not here yet, all or none; how many by table."""
        return transfer.bring_in(self._desk, self._blobs, rows, photos)


def open_store() -> Store:
    """The store of this user, made on first use."""
    home = home_folder()
    return Store(home, url=database_url(home))
