"""Writing an archive: whole or not at all, and checked before it counts."""

import hashlib
import io
import os
import stat
import tempfile
import zipfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import BinaryIO

from lesioncompare.exchange.archive.layout import (
    DECLARATION,
    INFO,
    MANIFEST,
    PLAIN,
    TAG_MANIFEST,
)
from lesioncompare.exchange.archive.reading import open_archive

EPOCH = (1980, 1, 1, 0, 0, 0)  # the same content makes the same bytes
PACKED = frozenset({".jpg", ".jpeg", ".png", ".webp", ".heic", ".avif", ".pdf"})  # not packed again


def write_archive(
    out: Path, files: Iterable[tuple[str, bytes]], *, name: str, about: Mapping[str, str]
) -> None:
    """Write an archive and check it; a file already there is replaced only by a whole one.

    Parameters
    ----------
    out
        The zip file to write.
    files
        Path and content of each file; paths of letters, digits, ``.``, ``_``, ``-`` and ``/``.
    name
        Name of the one folder in the zip, by the same rule.
    about
        What stands in bag-info.txt, such as ``Bagging-Date``; labels by RFC 8493, 2.2.2.

    Raises
    ------
    ValueError
        When a path is not plain or comes twice.
    """
    handle, part = tempfile.mkstemp(dir=out.parent, prefix=".archive-", suffix=".part")
    try:
        with os.fdopen(handle, "w+b") as stream:
            _write(stream, files, name, about)
            stream.flush()
            os.fsync(stream.fileno())
            with open_archive(stream):
                pass
        Path(part).replace(out)
    except BaseException:
        Path(part).unlink(missing_ok=True)
        raise
    _sync_folder(out.parent)


def pack_archive(
    files: Iterable[tuple[str, bytes]], *, name: str, about: Mapping[str, str]
) -> bytes:
    """The bytes of an archive; parameters as for ``write_archive``."""
    stream = io.BytesIO()
    _write(stream, files, name, about)
    return stream.getvalue()


def _sync_folder(folder: Path) -> None:
    """Make the new name last through a power cut, where the system allows."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _write(
    stream: BinaryIO, files: Iterable[tuple[str, bytes]], name: str, about: Mapping[str, str]
) -> None:
    if "/" in name:
        raise ValueError(f"name must be plain, not {name!r}")
    sums: dict[str, str] = {}
    taken: set[str] = set()
    size = 0
    with zipfile.ZipFile(stream, "w", allowZip64=True) as packed:
        for path, data in files:
            if not PLAIN.fullmatch(f"{name}/data/{path}") or path.casefold() in taken:
                raise ValueError(f"files must have plain paths, each once, not {path!r}")
            taken.add(path.casefold())
            sums[path] = hashlib.sha256(data).hexdigest()
            size += len(data)
            _add(packed, f"{name}/data/{path}", data)
        tags = {
            "bagit.txt": DECLARATION,
            INFO: _info({**about, "Payload-Oxum": f"{size}.{len(sums)}"}),
            MANIFEST: _manifest({f"data/{path}": total for path, total in sums.items()}),
        }
        tags[TAG_MANIFEST] = _manifest(
            {tag: hashlib.sha256(data).hexdigest() for tag, data in tags.items()}
        )
        for tag, data in tags.items():
            _add(packed, f"{name}/{tag}", data)


def _add(packed: zipfile.ZipFile, path: str, data: bytes) -> None:
    entry = zipfile.ZipInfo(path, EPOCH)
    entry.external_attr = (stat.S_IFREG | 0o644) << 16
    packs = Path(path).suffix.lower() not in PACKED
    entry.compress_type = zipfile.ZIP_DEFLATED if packs else zipfile.ZIP_STORED
    packed.writestr(entry, data)


def _info(about: Mapping[str, str]) -> bytes:
    """bag-info.txt; whatever a value holds, it stays on its line."""
    lines = [f"{label}: {' '.join(value.split())}\n" for label, value in about.items()]
    return "".join(lines).encode()


def _manifest(sums: Mapping[str, str]) -> bytes:
    return "".join(f"{total}  {path}\n" for path, total in sorted(sums.items())).encode()
