"""Photos beside the database, each under the SHA-256 of its bytes."""

import hashlib
import os
import re
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from lesioncompare.errors import StoreError

NAME = re.compile(r"[0-9a-f]{64}")
UNFINISHED = ".tmp-"
STALE_S = 3600.0  # [s] a file younger than this may belong to a write in progress


def sync_folder(folder: Path) -> None:
    """Make the names in a folder survive a power cut, where the system can."""
    if os.name == "nt":  # Windows cannot open a folder for this
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def write_whole(target: Path, data: bytes) -> None:
    """Write a file so that it is there whole or not at all."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=UNFINISHED)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    sync_folder(target.parent)


class Blobs:
    """The photos of one store."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        folder.mkdir(parents=True, exist_ok=True)

    def path(self, sha256: str) -> Path:
        """Where a photo lies."""
        if not NAME.fullmatch(sha256):
            raise ValueError("sha256 must be 64 lower-case hexadecimal digits")
        return self._folder / sha256[:2] / sha256

    def put(self, data: bytes) -> str:
        """The SHA-256 under which the bytes are now safely on disk."""
        sha256 = hashlib.sha256(data).hexdigest()
        target = self.path(sha256)
        if target.exists() and hashlib.sha256(target.read_bytes()).hexdigest() == sha256:
            target.touch()  # young again: a sweep leaves it alone until its row is written
            return sha256
        if not target.parent.exists():
            target.parent.mkdir(exist_ok=True)
            sync_folder(self._folder)
        write_whole(target, data)
        return sha256

    def get(self, sha256: str) -> bytes:
        """The bytes, checked against their name.

        Raises
        ------
        StoreError
            When they are missing or no longer what was stored.
        """
        advice = "Run “lesioncompare check”, and bring the photo back from a backup."
        try:
            data = self.path(sha256).read_bytes()
        except OSError as problem:
            raise StoreError(f"The stored photo {sha256[:12]} is missing.", advice) from problem
        if hashlib.sha256(data).hexdigest() != sha256:
            raise StoreError(f"The stored photo {sha256[:12]} is damaged.", advice)
        return data

    def names(self) -> Iterator[str]:
        """The SHA-256 of every photo on disk."""
        for path in sorted(self._folder.glob("??/*")):
            if NAME.fullmatch(path.name):
                yield path.name

    def sweep(self, wanted: set[str], *, older_than_s: float = STALE_S) -> int:
        """Remove files no row refers to and writes that never ended; how many went."""
        limit = time.time() - older_than_s
        left = [p for p in self._folder.rglob(f"{UNFINISHED}*") if p.is_file()]
        left += [self.path(name) for name in self.names() if name not in wanted]
        gone = [p for p in left if p.stat().st_mtime <= limit]
        for path in gone:
            path.unlink(missing_ok=True)
        return len(gone)
