"""The measures of a series as a table for any spreadsheet program."""

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from lesioncompare.compare import change_from_first
from lesioncompare.quantity import Quantity
from lesioncompare.records import Reading, Series
from lesioncompare.terms import MEASURES

# Spreadsheets take a cell that begins so for a formula, the wide forms of East Asia included
# (OWASP, "CSV Injection").
FORMULA = tuple("=+-@|%＝＋－＠")
LAB = ("L*", "a*", "b*")
DIGITS = 6  # significant; far beyond any uncertainty here

Cell = str | float | None


@dataclass(frozen=True, slots=True, eq=False)
class Row:
    """A photo, the first one of its series, and the number of its visit from 1."""

    reading: Reading
    first: Reading
    visit: int | None


Column = tuple[str, Callable[[Row], Cell]]


def measures_table(series: Series) -> bytes:
    """One row per photo; one column per measure, its uncertainty and interval, units in the header.

    Returns
    -------
    bytes
        CSV by RFC 4180, UTF-8 with a byte order mark so that spreadsheets show the units right.
        No text in it can become a formula.
    """
    visits = {id(r): i for i, visit in enumerate(series.visits, 1) for r in visit.readings}
    first = next((r for v in series.visits for r in v.readings), None)
    columns = [*_of_the_photo(), *_of_the_measures(series), *_of_the_change()]
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow([head for head, _ in columns])
    for reading in series.readings:
        row = Row(reading, first or reading, visits.get(id(reading)))
        writer.writerow([_tame(cell(row)) for _, cell in columns])
    return b"\xef\xbb\xbf" + text.getvalue().encode()


def _of_the_photo() -> list[Column]:
    return [
        ("visit", lambda row: row.visit),
        ("taken", lambda row: _day(row.reading)),
        ("taken basis", lambda row: row.reading.photo.taken_basis),
        ("file", lambda row: row.reading.photo.name),
        ("SHA-256", lambda row: row.reading.photo.sha256),
        ("usable", lambda row: "yes" if row.reading.usable else "no"),
        ("notices", lambda row: " ".join(note.vet for note in row.reading.notices)),
        ("border by", lambda row: row.reading.outline.by if row.reading.outline else None),
        ("tilt [°]", lambda row: c.tilt_deg if (c := row.reading.calibration) else None),
    ]


def _day(reading: Reading) -> str | None:
    taken = reading.photo.taken
    return taken.isoformat(sep=" ", timespec="seconds") if taken else None


def _of_the_measures(series: Series) -> list[Column]:
    measured = [r.measurement for r in series.readings if r.measurement]
    columns: list[Column] = []
    for name, term in MEASURES.items():
        if any(name in m.quantities for m in measured):
            columns += _quantity_columns(term.vet, term.unit, partial(_measure, name=name))
    columns += [
        (f"{what} {channel} [CIELAB]", partial(_lab, what=what, channel=i))
        for what in ("spot", "skin")
        for i, channel in enumerate(LAB)
    ]
    return columns


def _of_the_change() -> list[Column]:
    return [
        *_quantity_columns("area over first", "1", lambda row: _change(row, 0)),
        *_quantity_columns("colour against first", "ΔE00", lambda row: _change(row, 1)),
    ]


def _quantity_columns(
    title: str, unit: str, quantity: Callable[[Row], Quantity | None]
) -> list[Column]:
    """Value, standard uncertainty and both ends of the 95 % interval."""
    return [
        (f"{title} [{unit}]", lambda row: q.value if (q := quantity(row)) else None),
        (f"{title}, u [{unit}]", lambda row: q.u if (q := quantity(row)) else None),
        (f"{title}, 95 % low [{unit}]", lambda row: q.low if (q := quantity(row)) else None),
        (f"{title}, 95 % high [{unit}]", lambda row: q.high if (q := quantity(row)) else None),
    ]


def _measure(row: Row, *, name: str) -> Quantity | None:
    measurement = row.reading.measurement
    return measurement.quantities.get(name) if measurement else None


def _lab(row: Row, *, what: str, channel: int) -> float | None:
    measurement = row.reading.measurement
    if measurement is None:
        return None
    return (measurement.spot_lab if what == "spot" else measurement.skin_lab)[channel]


def _change(row: Row, which: int) -> Quantity | None:
    return change_from_first(row.first, row.reading)[which]


def _tame(cell: Cell) -> Cell:
    """The cell, rounded or, if it is text, on one line and never the start of a formula."""
    if isinstance(cell, float):
        return float(f"{cell:.{DIGITS}g}")
    if not isinstance(cell, str):
        return cell
    line = " ".join("".join(sign if sign.isprintable() else " " for sign in cell).split())
    return f"'{line}" if line.startswith(FORMULA) else line
