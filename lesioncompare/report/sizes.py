"""How large the spot is, in millimetres, and how fast it grew: what a decision is made on."""

from lesioncompare.records import Reading, Series
from lesioncompare.report.album import day_words
from lesioncompare.report.figures import decimals, figure

DIAMETERS = ("longest_diameter", "perpendicular_diameter")


def size_line(series: Series) -> str:
    """Diameters and area of the last usable photo and, in brackets, of the first; "" of none.

    Such as "24 May 2026: 5.1 × 4.3 mm, 15.3 mm² (5 Apr 2026: 3.6 × 3.1 mm, 7.9 mm²), each photo
    by its own sticker". The tables have every digit and the errors.
    """
    sized = [(day_words(r), words) for r in series.readings if r.usable and (words := _size(r))]
    if not sized:
        return ""
    (first_day, first), (last_day, last) = sized[0], sized[-1]
    if len(sized) == 1:
        return f"{last_day}: {last}"
    return f"{last_day}: {last} ({first_day}: {first}), each photo by its own sticker"


def _size(reading: Reading) -> str:
    """Such as "5.1 × 4.3 mm, 15.3 mm²"; what was not measured is left out."""
    across = [found for name in DIAMETERS if (found := _figure(reading, name))]
    area = _figure(reading, "area")
    return ", ".join(
        f"{found} {unit}" for found, unit in ((" × ".join(across), "mm"), (area, "mm²")) if found
    )


def _figure(reading: Reading, name: str) -> str:
    found = reading.measurement.quantities.get(name) if reading.measurement else None
    return figure(found.value, min(1, decimals(found.u))) if found else ""
