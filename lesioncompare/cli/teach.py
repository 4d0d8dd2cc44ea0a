"""Commands beside the photographs: the sun of a day, a class handout, the weekly appointment."""

import json
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Annotated

import typer
from rich.table import Table

from lesioncompare.claims import CLAIMS
from lesioncompare.cli.app import app
from lesioncompare.cli.tables import out
from lesioncompare.errors import SettingsError
from lesioncompare.exchange.calendar import WEEKDAYS, Appointment, calendar_file
from lesioncompare.science.sun import category
from lesioncompare.teach.day import CUSTOM, Span, SunDay, sun_day
from lesioncompare.teach.outings import Outing, choices, parse_outing, share_of
from lesioncompare.teach.place import Place
from lesioncompare.teach.practice.handout import SETS
from lesioncompare.teach.practice.handout import handout as make_handout

BAR = 24  # [characters] of the longest bar
SHOWN_CHOICES = 3


@app.command()
def sun(
    lat: Annotated[float, typer.Option(help="Latitude in degrees, north positive.")],
    lon: Annotated[float, typer.Option(help="Longitude in degrees, east positive.")],
    day: Annotated[str, typer.Option("--date", help="Day, such as 2026-06-21.")],
    zone: Annotated[
        str, typer.Option(help="Time zone, such as Europe/Berlin; without one, hours by longitude.")
    ] = "",
    altitude: Annotated[float, typer.Option(help="Metres above the sea.")] = 0.0,
    ozone: Annotated[
        float | None, typer.Option(help="Ozone in Dobson units; usual for place and day if left.")
    ] = None,
    outing: Annotated[
        list[str] | None, typer.Option(help="When the cat is out: 11:30-13:00. May be repeated.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON instead.")] = False,
) -> None:
    """Show the hours of strong sun at a place on a day, under a clear sky."""
    place = Place(lat, lon, zone, altitude, ozone)
    seen = sun_day(place, parse_day(day))
    outings = [parse_outing(words) for words in outing or []]
    if as_json:
        typer.echo(json.dumps(_facts(seen), indent=2))
        return
    out.print(_headline(seen), highlight=False)
    if seen.dose > 0:
        out.print(_hours(seen))
    for number, one in enumerate(outings):
        share = seen.share(seen.between(one.start, one.end))
        out.print(f"Out {_clock(one)}: {share:.0%} of the day's UV.", highlight=False)
        for choice in choices(seen, outings, number)[:SHOWN_CHOICES]:
            out.print(
                f"  {_clock(choice.outing)} instead: all outings together {choice.share:.0%} "
                f"(now {share_of(seen, outings):.0%})",
                highlight=False,
            )
    for key in ("clear_sky", "no_minutes", "sill"):
        out.print(CLAIMS[key].says, style="italic", highlight=False)


@app.command()
def calendar(
    out_file: Annotated[Path, typer.Option("--out", help="File to write: .ics.")],
    weekday: Annotated[str, typer.Option(help="mo, tu, we, th, fr, sa or su.")],
    clock: Annotated[str, typer.Option(help="Time of the clock, such as 18:30.")],
    weeks: Annotated[int, typer.Option(help="For how many weeks.")] = 52,
    title: Annotated[str, typer.Option(help="Title of the appointment.")] = "Photo of the spot",
) -> None:
    """Write a weekly appointment for the photo as a calendar file."""
    if weekday.upper() not in WEEKDAYS:
        raise SettingsError(f"“{weekday}” is no weekday.", "Write mo, tu, we, th, fr, sa or su.")
    now = datetime.now(UTC)
    start = now.astimezone().date()
    uid = f"{weekday.lower()}-{clock}@lesioncompare"
    number = WEEKDAYS.index(weekday.upper())
    appointment = Appointment(uid, title, number, clock, start, weeks)
    out_file.write_bytes(calendar_file(appointment, now))
    out.print(f"{out_file}: {weeks} weeks from {appointment.first:%Y-%m-%d %H:%M}, floating time.")


@app.command()
def handout(
    out_file: Annotated[Path, typer.Option("--out", help="File to write: .pdf.")],
    number: Annotated[int, typer.Option("--set", help=f"Which set of pairs: 1 to {SETS}.")] = 1,
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
) -> None:
    """Write a page of simulated pairs to judge by eye, with the key, for a class."""
    out_file.write_bytes(make_handout(number, paper))
    out.print(f"{out_file}: set {number}; the last page is the key.")


def parse_day(text: str) -> date:
    """A day as ISO 8601 writes it.

    Raises
    ------
    SettingsError
        When it is none.
    """
    try:
        return date.fromisoformat(text)
    except ValueError as cause:
        raise SettingsError(f"“{text}” is not a day.", "Write it as 2026-06-21.") from cause


def _headline(seen: SunDay) -> str:
    place, ozone = seen.place, seen.place.ozone_on(seen.day)
    assumed = "" if place.ozone_du else " (assumed)"
    custom = seen.share(seen.between(*CUSTOM))
    where = f"{seen.day}, {place.latitude_deg:g}, {place.longitude_deg:g}, clear sky"
    strongest = f"{seen.peak:.1f} ({category(seen.peak)})"
    lines = (
        f"{where}, {ozone:.0f} Dobson units of ozone{assumed}",
        f"UV index 3 or more: {_spans(seen.strong)}; at most {strongest}",
        f"Shadow shorter than you: {_spans(seen.short_shadow)}",
        f"Sun up: {_spans(seen.daylight)}, highest at {seen.noon:%H:%M}",
        f"10 to 16 by the clock holds {custom:.0%} of the day's UV.",
    )
    return "\n".join(lines)


def _hours(seen: SunDay) -> Table:
    table = Table()
    for heading in ("hour", "UV index", "share", ""):
        table.add_column(heading, justify="left" if heading in {"hour", ""} else "right")
    hours = [hour for hour in seen.hours() if hour.peak >= 0.05]
    largest = max((hour.share for hour in hours), default=1.0)
    for hour in hours:
        bar = "█" * round(BAR * hour.share / largest)
        table.add_row(f"{hour.start:%H:%M}", f"{hour.peak:.1f}", f"{hour.share:.0%}", bar)
    return table


def _spans(spans: tuple[Span, ...]) -> str:
    return ", ".join(f"{a:%H:%M}–{b:%H:%M}" for a, b in spans) or "not on this day"


def _clock(outing: Outing) -> str:
    start, end = outing.start, outing.end
    return f"{start:%H:%M}–{end:%H:%M}"


def _facts(seen: SunDay) -> dict[str, object]:
    def plain(spans: tuple[Span, ...]) -> list[list[str]]:
        return [
            [a.isoformat(timespec="minutes"), b.isoformat(timespec="minutes")] for a, b in spans
        ]

    return {
        "date": seen.day.isoformat(),
        "latitude_deg": seen.place.latitude_deg,
        "longitude_deg": seen.place.longitude_deg,
        "altitude_m": seen.place.altitude_m,
        "ozone_du": round(seen.place.ozone_on(seen.day), 1),
        "ozone_assumed": seen.place.ozone_du is None,
        "sky": "clear",
        "uv_index_3_or_more": plain(seen.strong),
        "shadow_shorter_than_object": plain(seen.short_shadow),
        "sun_up": plain(seen.daylight),
        "highest": seen.noon.isoformat(timespec="minutes"),
        "highest_uv_index": round(seen.peak, 2),
        "erythemal_dose_j_m2": round(seen.dose, 1),
        "share_10_to_16": round(seen.share(seen.between(*CUSTOM)), 4),
        "hours": [
            {
                "start": hour.start.isoformat(timespec="minutes"),
                "uv_index": round(hour.peak, 2),
                "share": round(hour.share, 4),
            }
            for hour in seen.hours()
        ],
    }
