"""Reading an archive that may come from anybody."""

import contextlib
import hashlib
import re
import stat
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from lesioncompare.errors import ExchangeError
from lesioncompare.exchange.archive.layout import (
    BLOCK,
    DECLARATION,
    INFO,
    MANIFEST,
    MAX_BYTES,
    MAX_FILES,
    MAX_RATIO,
    PLAIN,
    SMALL,
    TAG_MANIFEST,
)

_LINE = re.compile(r"([0-9a-f]{64})[ \t]+(\S+)")


@dataclass(frozen=True, slots=True)
class Archive:
    """A checked archive that is open for reading."""

    packed: zipfile.ZipFile
    root: str
    sums: Mapping[str, str]  # SHA-256 by path

    @property
    def paths(self) -> tuple[str, ...]:
        """The files in it."""
        return tuple(sorted(self.sums))

    def read(self, path: str) -> bytes:
        """The bytes of one file, checked again.

        Raises
        ------
        ExchangeError
            When there is no such file, or it is not what it was.
        """
        if path not in self.sums:
            raise _refusal(f"it has no “{path}”")
        data = _bytes(self.packed, f"{self.root}/data/{path}")
        if hashlib.sha256(data).hexdigest() != self.sums[path]:
            raise _refusal(f"“{path}” is damaged")
        return data


@contextlib.contextmanager
def open_archive(source: Path | BinaryIO) -> Iterator[Archive]:
    """A checked archive, open for reading while the context lasts.

    Raises
    ------
    ExchangeError
        When anything at all is wrong with it; nothing of it has then been given out.

    References
    ----------
    .. [1] Kunze J, Littman J, Madden E, Scancella J, Adams C (2018) The BagIt File Packaging Format
       (V1.0), RFC 8493.
    """
    try:
        packed = zipfile.ZipFile(source)
    except OSError as cause:
        raise ExchangeError("The archive cannot be opened.", "Check where it is.") from cause
    except Exception as cause:
        raise _refusal("it is not a whole zip file") from cause
    with packed:
        root = _refuse_entries(packed.infolist())
        yield Archive(packed, root, _checked(packed, root))


def _refusal(why: str) -> ExchangeError:
    return ExchangeError(
        f"The archive cannot be taken in: {why}.",
        "Ask for it again, and give the zip file as it was sent, not unpacked and packed again.",
    )


def _refuse_entries(entries: list[zipfile.ZipInfo]) -> str:
    """The one folder that everything lies in; refuses by the directory of the zip alone."""
    if len(entries) > MAX_FILES or sum(entry.file_size for entry in entries) > MAX_BYTES:
        raise _refusal("it is larger than any of ours")
    names = [entry.filename for entry in entries]
    if len({name.casefold() for name in names}) != len(names):
        raise _refusal("it holds two files of one name")
    for entry in entries:
        kind = stat.S_IFMT(entry.external_attr >> 16)
        plain = PLAIN.fullmatch(entry.filename) and kind in {0, stat.S_IFREG}
        known = entry.compress_type in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
        if not plain or not known or entry.flag_bits & 1:
            raise _refusal("it holds something that none of ours holds")
        if entry.file_size > max(SMALL, MAX_RATIO * entry.compress_size):
            raise _refusal("it unpacks to far more than it is")
    roots = {name.split("/")[0] for name in names}
    if len(roots) != 1:
        raise _refusal("it does not hold one folder")
    return roots.pop()


def _checked(packed: zipfile.ZipFile, root: str) -> dict[str, str]:
    """SHA-256 by path of the payload, after every file was compared with it."""
    names = {entry.filename.removeprefix(f"{root}/") for entry in packed.infolist()}
    tags = _listed(packed, root, TAG_MANIFEST)
    payload = _listed(packed, root, MANIFEST)
    if _bytes(packed, f"{root}/bagit.txt") != DECLARATION:
        raise _refusal("it is not a bag of the kind that ours are")
    if {*tags, *payload, TAG_MANIFEST} != names or {"bagit.txt", INFO, MANIFEST} != set(tags):
        raise _refusal("what it lists is not what it holds")
    if not all(path.startswith("data/") for path in payload):
        raise _refusal("what it lists is not what it holds")
    size = 0
    for path, total in {**tags, **payload}.items():
        found, length = _sum(packed, f"{root}/{path}")
        if found != total:
            raise _refusal(f"“{path}” is damaged")
        size += length if path in payload else 0
    stated = f"Payload-Oxum: {size}.{len(payload)}\n".encode()
    if stated not in _bytes(packed, f"{root}/{INFO}"):
        raise _refusal("its size is not what it says")
    return {path.removeprefix("data/"): total for path, total in payload.items()}


def _listed(packed: zipfile.ZipFile, root: str, manifest: str) -> dict[str, str]:
    """SHA-256 by path, from a manifest."""
    try:
        text = _bytes(packed, f"{root}/{manifest}").decode("ascii")
    except UnicodeDecodeError as cause:
        raise _refusal(f"“{manifest}” is damaged") from cause
    lines = text.removesuffix("\n").split("\n")
    matches = [_LINE.fullmatch(line) for line in lines]
    sums = {match[2]: match[1] for match in matches if match}
    if len(sums) != len(lines):
        raise _refusal(f"“{manifest}” is damaged")
    return sums


def _bytes(packed: zipfile.ZipFile, name: str) -> bytes:
    return b"".join(_blocks(packed, name))


def _sum(packed: zipfile.ZipFile, name: str) -> tuple[str, int]:
    """SHA-256 and length of a file."""
    total, size = hashlib.sha256(), 0
    for block in _blocks(packed, name):
        total.update(block)
        size += len(block)
    return total.hexdigest(), size


def _blocks(packed: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    """The content of a file, block by block."""
    try:
        with packed.open(name) as stream:
            while block := stream.read(BLOCK):
                yield block
    except Exception as cause:
        # zipfile and zlib raise anything at all on damaged bytes.
        raise _refusal(f"“{name.split('/', 1)[-1]}” is missing or damaged") from cause
