"""Pictures that can be made again, kept so that they need not be. Losing them loses nothing."""

import hashlib
from pathlib import Path

from lesioncompare.store.blobs import write_whole


class Shelf:
    """Derived pictures by the words that tell how they were made."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        folder.mkdir(parents=True, exist_ok=True)

    def _path(self, words: tuple[str, ...]) -> Path:
        return self._folder / hashlib.sha256("\0".join(words).encode()).hexdigest()

    def get(self, *words: str) -> bytes | None:
        """The picture made from these words, if it is here."""
        try:
            return self._path(words).read_bytes()
        except OSError:
            return None

    def put(self, data: bytes, *words: str) -> bytes:
        """Keep a picture; it is handed back."""
        write_whole(self._path(words), data)
        return data

    def empty(self) -> None:
        """Throw every picture away."""
        for path in self._folder.iterdir():
            path.unlink(missing_ok=True)
