"""What the terminal shows: a table of numbers with their error, and sentences."""

from rich.console import Console
from rich.table import Table

from lesioncompare.records import Reading, Series
from lesioncompare.terms import MEASURES

SHOWN = (
    *("area", "longest_diameter", "perpendicular_diameter"),
    *("border_irregularity", "contrast_de00", "darkness", "redness"),
)
out = Console()
err = Console(stderr=True)


def show_reading(reading: Reading) -> None:
    """One photo: its measures with 95 % intervals, then what is to be said about it."""
    if reading.measurement is not None:
        table = Table(title=reading.photo.name, title_justify="left")
        for heading in ("measure", "value", "95 % interval", "unit"):
            table.add_column(heading, justify="left" if heading in {"measure", "unit"} else "right")
        for name, quantity in reading.measurement.quantities.items():
            if name in SHOWN:
                table.add_row(
                    MEASURES[name].vet,
                    f"{quantity.value:.3g}",
                    f"{quantity.low:.3g} – {quantity.high:.3g}",
                    quantity.unit,
                )
        out.print(table)
    show_notices(reading)


def show_notices(reading: Reading) -> None:
    """The remarks on one photo, with what to do."""
    for note in reading.notices:
        out.print(f"{reading.photo.name}: {note.says} {note.do}", highlight=False, markup=False)


def show_series(series: Series) -> None:
    """The series as a table of visits, then the findings."""
    table = Table(title="Series", title_justify="left")
    for heading in ("date", "photo", "area [mm²]", "95 % interval", "longest [mm]", "usable"):
        table.add_column(heading, justify="right" if "[" in heading or "95" in heading else "left")
    for reading in series.readings:
        table.add_row(*_row(reading))
    out.print(table)
    for reading in series.readings:
        show_notices(reading)
    out.print()
    for finding in series.findings:
        out.print(f"{finding.says} {finding.do}", highlight=False, markup=False)


def _row(reading: Reading) -> tuple[str, ...]:
    """One line of the series table."""
    taken = reading.photo.taken
    day = taken.date().isoformat() if taken else "no date"
    name = reading.photo.name
    if reading.measurement is None:
        return (day, name, "–", "–", "–", "no")
    area = reading.measurement.quantities.get("area")
    longest = reading.measurement.quantities.get("longest_diameter")
    return (
        day,
        name,
        f"{area.value:.2f}" if area else "–",
        f"{area.low:.2f} – {area.high:.2f}" if area else "–",
        f"{longest.value:.2f}" if longest else "–",
        "yes" if reading.usable else "no",
    )
