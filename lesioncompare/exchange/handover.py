"""What lies in a hand-over archive, and what of it another installation takes in.

    README.txt          what this is, and what it is not
    rows.json           everything, for another installation of this program
    originals.json      SHA-256 of each photo as it was taken, by that of its copy here
    photos/SHA-256.jpg  the photos, without place, camera and names
    display/…           small copies of them
    SPOT/record.json    the series of one spot, see docs/json.md
    SPOT/measures.csv   its measures, units in the header
    report/…            the report

A photo is known by its SHA-256, and a copy without metadata has another one. Inside the archive
everything speaks of the copies. Making it again gives the same copies, so taking it in twice
changes nothing.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from lesioncompare import __version__
from lesioncompare.errors import ExchangeError, PhotoError
from lesioncompare.exchange.archive import Archive
from lesioncompare.exchange.privacy import private_copy
from lesioncompare.exchange.record import series_json
from lesioncompare.exchange.table import measures_table
from lesioncompare.records import Series

FORMAT = 1  # of rows.json; an older program refuses a newer one
ROWS, ORIGINALS, PHOTOS = "rows.json", "originals.json", "photos/"
README = f"""\
Photographs of a spot on a cat's skin, measured beside a reference sticker by lesioncompare
{__version__}.

photos/ holds the photographs without place, camera and names; each is named by its SHA-256.
Each spot has a folder with measures.csv, which opens in any spreadsheet, and record.json, which
holds the same and more for programs. rows.json is for another installation of lesioncompare.

The measurements say what changed and by how much they may err. They do not say what a spot is.
"No change measured" does not mean that nothing is wrong: a sore that does not heal, bleeds or
crusts again belongs before a vet, whatever is written here.

Checksums show damage, not forgery.
"""

Rows = Mapping[str, Sequence[Mapping[str, Any]]]


@dataclass(frozen=True, slots=True, eq=False)
class Handover:
    """What is handed over.

    Parameters
    ----------
    rows
        The rows of the store by table, as JSON values.
    photos
        Bytes of every original that the rows or series speak of, by SHA-256.
    series
        The series of each spot, by a plain name for its folder.
    displays
        Small JPEG copies, by SHA-256 of their original.
    reports
        Finished documents by plain file name.
    """

    rows: Rows
    photos: Mapping[str, bytes]
    series: Mapping[str, Series] = field(default_factory=dict)
    displays: Mapping[str, bytes] = field(default_factory=dict)
    reports: Mapping[str, bytes] = field(default_factory=dict)


def handover_files(handover: Handover) -> Iterator[tuple[str, bytes]]:
    """Path and content of every file of the archive, one after the other.

    Raises
    ------
    ExchangeError
        When a photo can no longer be read.
    """
    renamed: dict[str, str] = {}
    sizes: dict[str, int] = {}
    for sha256 in sorted(handover.photos):  # one at a time: all of them may not fit into memory
        copy, suffix = _copy(sha256, handover.photos[sha256])
        while (name := hashlib.sha256(copy).hexdigest()) in sizes:
            copy += b"\0"  # two originals that differ in metadata only stay two photos
        renamed[sha256], sizes[name] = name, len(copy)
        yield f"{PHOTOS}{name}{suffix}", copy
    for sha256, data in sorted(handover.displays.items()):
        yield f"display/{renamed[sha256]}.jpg", data
    rows = json.loads(_renamed(json.dumps(handover.rows), renamed))
    for row in rows.get("photo", ()):
        row["bytes"] = sizes[row["sha256"]]
    yield ROWS, _json({"format": FORMAT, "rows": rows})
    yield ORIGINALS, _json({copy: original for original, copy in renamed.items()})
    for name, series in handover.series.items():
        yield f"{name}/record.json", _renamed(_json(series_json(series)).decode(), renamed).encode()
        yield f"{name}/measures.csv", _renamed(measures_table(series).decode(), renamed).encode()
    for name, data in handover.reports.items():
        yield f"report/{name}", data
    yield "README.txt", README.encode()


def taken_in(archive: Archive) -> tuple[Rows, dict[str, bytes]]:
    """The rows and the photos by SHA-256, for a store to bring in.

    Raises
    ------
    ExchangeError
        When this program cannot read the rows, or a photo is not what its name says.
    """
    try:
        document = json.loads(archive.read(ROWS))
        known, rows = int(document["format"]) <= FORMAT, document["rows"]
        shaped = all(isinstance(row, dict) for table in rows.values() for row in table)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as cause:
        raise _unreadable("its rows cannot be read") from cause
    if not known:
        raise ExchangeError(
            "The archive was written by a newer version of this program.",
            "Install the newest version, then try again.",
        )
    if not shaped:
        raise _unreadable("its rows cannot be read")
    photos = {}
    for path in archive.paths:
        if path.startswith(PHOTOS):
            data = archive.read(path)
            sha256 = hashlib.sha256(data).hexdigest()
            if path.removeprefix(PHOTOS).split(".")[0] != sha256:
                raise _unreadable(f"“{path}” is not what its name says")
            photos[sha256] = data
    return rows, photos


def _copy(sha256: str, data: bytes) -> tuple[bytes, str]:
    try:
        return private_copy(data)
    except PhotoError as cause:
        raise ExchangeError(
            f"The photo {sha256[:12]} can no longer be read: {cause.what}",
            "Restore it from a backup, or remove it from the series.",
        ) from cause


def _unreadable(why: str) -> ExchangeError:
    return ExchangeError(f"The archive cannot be taken in: {why}.", "Ask for it again.")


def _renamed(text: str, names: Mapping[str, str]) -> str:
    """The text with every original's SHA-256 replaced by its copy's."""
    for original, copy in names.items():
        text = text.replace(original, copy)
    return text


def _json(value: Any) -> bytes:
    return json.dumps(value, ensure_ascii=False, allow_nan=False).encode()
