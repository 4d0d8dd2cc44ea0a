"""The whole store in one file and back, and a check that nothing rotted."""

import hashlib
import json
import os
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path

from sqlalchemy import select

from lesioncompare.errors import ExchangeError, LesionCompareError
from lesioncompare.store import tables
from lesioncompare.store.base import Desk
from lesioncompare.store.blobs import STALE_S, UNFINISHED, Blobs, sync_folder
from lesioncompare.store.engine import reading, writing
from lesioncompare.store.migrate import newest_revision
from lesioncompare.store.transfer import all_rows, bring_in, photos_in

KIND = "lesioncompare backup"
ABOUT, ROWS, PHOTOS = "about.json", "rows.json", "photos/"
MAX_ROWS_BYTES = 2_000_000_000  # [bytes] of JSON; a household of decades stays far below
MAX_PHOTO_BYTES = 200_000_000  # [bytes] of one photo


def write_backup(desk: Desk, blobs: Blobs, file: Path) -> int:
    """Write every row and photo into one zip file; how many photos it holds.

    The file appears whole or not at all, and an earlier one of that name stays until then.
    """
    rows = all_rows(desk)
    body = json.dumps(rows, ensure_ascii=False).encode()
    about = {
        "kind": KIND,
        "revision": newest_revision(),
        "rows_sha256": hashlib.sha256(body).hexdigest(),
    }
    wanted = sorted(photos_in(rows))
    unfinished = file.with_name(f"{UNFINISHED}{file.name}")
    try:
        with unfinished.open("wb") as raw:
            with zipfile.ZipFile(raw, "w") as archive:
                archive.writestr(ABOUT, json.dumps(about))
                archive.writestr(ROWS, body, zipfile.ZIP_DEFLATED)
                for sha256 in wanted:
                    archive.writestr(PHOTOS + sha256, blobs.get(sha256))
            raw.flush()
            os.fsync(raw.fileno())
        unfinished.replace(file)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise
    sync_folder(file.resolve().parent)
    return len(wanted)


def read_backup(desk: Desk, blobs: Blobs, file: Path) -> dict[str, int]:
    """Bring back what a backup holds and this store lacks; how many rows of each table.

    Nothing that is here is overwritten.

    Raises
    ------
    ExchangeError
        When the file is not a backup, is damaged, or was written by a newer version.
    """
    damaged = ExchangeError(
        f"{file.name} is not a whole backup.", "Use another copy of the backup file."
    )
    try:
        with zipfile.ZipFile(file) as archive:
            about = json.loads(_read(archive, ABOUT, 10_000))
            if not isinstance(about, dict) or about.get("kind") != KIND:
                raise damaged
            if about.get("revision") != newest_revision():
                raise ExchangeError(
                    "This backup was written by another version of the program.",
                    "Restore it with the version that wrote it, upgrade, and back up again.",
                )
            body = _read(archive, ROWS, MAX_ROWS_BYTES)
            if hashlib.sha256(body).hexdigest() != about.get("rows_sha256"):
                raise damaged
            return bring_in(desk, blobs, json.loads(body), _ZipPhotos(archive))
    except (OSError, zipfile.BadZipFile, KeyError, ValueError, NotImplementedError) as problem:
        raise damaged from problem


class _ZipPhotos(Mapping[str, bytes]):
    """The photos of a backup, read one at a time."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive
        self._names = {
            name.removeprefix(PHOTOS) for name in archive.namelist() if name.startswith(PHOTOS)
        }

    def __getitem__(self, sha256: str) -> bytes:
        return _read(self._archive, PHOTOS + sha256, MAX_PHOTO_BYTES)

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)

    def __contains__(self, sha256: object) -> bool:
        return sha256 in self._names


def _read(archive: zipfile.ZipFile, name: str, limit: int) -> bytes:
    if archive.getinfo(name).file_size > limit:
        raise ValueError(f"{name} is too large")
    return archive.read(name)


def check(desk: Desk, blobs: Blobs) -> list[str]:
    """What is wrong with the store, one sentence each; empty when every photo and row is whole."""
    with reading(desk.engine) as connection:
        wanted = sorted(set(connection.execute(select(tables.photo.c.sha256)).scalars()))
        problems = []
        if connection.dialect.name == "sqlite":
            for (said,) in connection.exec_driver_sql("PRAGMA integrity_check"):
                if said != "ok":
                    problems.append(f"The database is damaged: {said}.")
            problems += [
                f"A row of “{row[0]}” refers to a row of “{row[2]}” that is gone."
                for row in connection.exec_driver_sql("PRAGMA foreign_key_check")
            ]
    for sha256 in wanted:
        try:
            blobs.get(sha256)
        except LesionCompareError as problem:
            problems.append(problem.what)
    return problems


def sweep(desk: Desk, blobs: Blobs, *, older_than_s: float = STALE_S) -> int:
    """Remove photo files that no row refers to and writes that never ended; how many went."""
    with writing(desk.engine) as connection:  # no row can be added meanwhile
        wanted = set(connection.execute(select(tables.photo.c.sha256)).scalars())
        return blobs.sweep(wanted, older_than_s=older_than_s)
