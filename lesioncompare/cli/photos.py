"""Commands on photographs: print a sticker, read one photo, compare a series, show the demo."""

import json
from datetime import datetime
from importlib.resources import files
from pathlib import Path
from typing import Annotated

import typer
from rich.progress import track

from lesioncompare.cli.app import PHOTO_REFUSED, USABLE, WRONG_USE, app
from lesioncompare.cli.arguments import make_settings, parse_dates, parse_spot, parse_sticker
from lesioncompare.cli.tables import err, out, show_reading, show_series
from lesioncompare.errors import SettingsError
from lesioncompare.exchange.record import reading_json, series_json
from lesioncompare.pipeline import examine_photo, follow_series, with_dates
from lesioncompare.records import Reading, Series, StickerHint
from lesioncompare.report.words import CAUTION
from lesioncompare.settings import Settings
from lesioncompare.terms import parse_site

Photos = Annotated[list[Path], typer.Argument(help="Photo files, the first visit first.")]
Spot = Annotated[
    str, typer.Option(help="Circle round the spot: X,Y,R in pixels of the upright photo.")
]
SiteName = Annotated[
    str | None,
    typer.Option("--site", help="Where on the cat: nose, ear-left, eyelid-upper-right, …"),
]
StickerKind = Annotated[
    str, typer.Option("--sticker", help="printed, or round:DIAMETER_MM with an optional @X,Y.")
]
PrintedBar = Annotated[
    float, typer.Option(help="What the sheet's 100 mm check bar measures on your paper, in mm.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print everything as JSON instead.")]
MANY = 3  # photos; above this a progress line is shown


@app.command()
def sticker(
    out_file: Annotated[Path, typer.Option("--out", help="File to write: .pdf or .png.")],
    paper: Annotated[str, typer.Option(help="Paper of the sheet: a4 or letter.")] = "a4",
    size: Annotated[int, typer.Option(help="Side of a sticker in mm: 10, 14 or 20.")] = 14,
    dpi: Annotated[int, typer.Option(help="Resolution of a .png, in dots per inch.")] = 1200,
) -> None:
    """Write a sheet of reference stickers to print (.pdf), or one bare sticker (.png)."""
    from lesioncompare.exchange.sheet import sticker_picture, sticker_sheet  # noqa: PLC0415  slow

    if out_file.suffix.lower() == ".png":
        picture, size_mm = sticker_picture(size, dpi)
        out_file.write_bytes(picture)
        out.print(f"{out_file}: one sticker, {size_mm:.4f} mm from edge to edge at {dpi} dpi.")
    elif out_file.suffix.lower() == ".pdf":
        out_file.write_bytes(sticker_sheet(size, paper))
        out.print(f"{out_file}: print at 100 %, then measure the bar and pass it as --printed-bar.")
    else:
        raise SettingsError(f"{out_file} is neither .pdf nor .png.", "Choose one of the two.")


@app.command()
def read(
    photo: Annotated[Path, typer.Argument(help="A photo file.")],
    spot: Spot,
    site: SiteName = None,
    sticker_kind: StickerKind = "printed",
    printed_bar: PrintedBar = 100.0,
    as_json: AsJson = False,
) -> None:
    """Read one photo: size, border and colour of the spot, with their error."""
    if site:
        parse_site(site)
    reading = examine_photo(
        load(photo),
        name=photo.name,
        now=datetime.now().astimezone(),
        seed=parse_spot(spot),
        hint=parse_sticker(sticker_kind),
        settings=make_settings(printed_bar),
    )
    if as_json:
        typer.echo(json.dumps(reading_json(reading, None), indent=2))
    else:
        show_reading(reading)
        out.print(CAUTION, style="italic")
    leave([reading])


@app.command()
def compare(
    photos: Photos,
    spot: Spot,
    site: SiteName = None,
    sticker_kind: StickerKind = "printed",
    printed_bar: PrintedBar = 100.0,
    dates: Annotated[
        str | None, typer.Option(help="Dates of the photos, separated by commas: 2026-05-31,…")
    ] = None,
    as_json: AsJson = False,
    folder: Annotated[
        Path | None, typer.Option("--out", help="Folder for the one-page picture and the data.")
    ] = None,
) -> None:
    """Compare a series of photos of one spot; the circle is drawn on the first photo only."""
    settings = make_settings(printed_bar)
    series = follow(
        photos,
        spot,
        site=site,
        dates=parse_dates(dates, len(photos)),
        hint=parse_sticker(sticker_kind),
        settings=settings,
    )
    publish(series, settings, as_json=as_json, folder=folder)
    leave(series.readings)


@app.command()
def demo(
    as_json: AsJson = False,
    folder: Annotated[
        Path | None, typer.Option("--out", help="Folder for the one-page picture and the data.")
    ] = None,
) -> None:
    """Compare the simulated photos of an invented cat that come with the program."""
    source = demo_folder()
    truth = json.loads((source / "truth.json").read_text())
    series = follow([source / name for name in truth["photos"]], truth["spot"], site=truth["site"])
    place = folder or Path("lesioncompare-demo")
    publish(series, Settings(), as_json=as_json, folder=place, cat=truth["cat"])
    leave(series.readings)


def demo_folder() -> Path:
    """The demo photos: beside the package when installed, at the top of a checkout otherwise."""
    installed = Path(str(files("lesioncompare"))) / "demo_images"
    return installed if installed.exists() else installed.parent.parent / "demo_images"


def load(path: Path) -> bytes:
    """The bytes of a file.

    Raises
    ------
    SettingsError
        When it cannot be read.
    """
    try:
        return path.read_bytes()
    except OSError as cause:
        raise SettingsError(
            f"{path} cannot be read.", "Check the name and that the file is there."
        ) from cause


def follow(
    photos: list[Path],
    spot: str,
    *,
    site: str | None = None,
    dates: list[datetime | None] | None = None,
    hint: StickerHint | None = None,
    settings: Settings | None = None,
) -> Series:
    """Read the photos one after the other and follow the spot through them."""
    place, seed, now = (
        parse_site(site) if site else None,
        parse_spot(spot),
        datetime.now().astimezone(),
    )
    given = dates or [None] * len(photos)
    readings: list[Reading] = []
    steps = list(zip(photos, given, strict=True))
    for path, taken in track(
        steps, "Reading photos", console=err, transient=True, disable=len(steps) <= MANY
    ):
        first = readings[0] if readings else None
        readings.append(
            examine_photo(
                load(path),
                name=path.name,
                now=now,
                seed=None if first else seed,
                first=first,
                others=readings[1:],
                hint=hint,
                settings=settings or Settings(),
                taken=taken,
            )
        )
    return follow_series(with_dates(readings, now), site=place)


def publish(
    series: Series, settings: Settings, *, as_json: bool, folder: Path | None, cat: str = ""
) -> None:
    """Show the series, and write its page, data and report where a folder was given.

    ``cat`` is the name of the simulated one.
    """
    if folder is not None:
        # pages and their fonts take a second to load, which a reading alone need not wait for
        from lesioncompare.cli.writing import document_of, write_report  # noqa: PLC0415
        from lesioncompare.report.page import draw_page  # noqa: PLC0415

        folder.mkdir(parents=True, exist_ok=True)
        (folder / "series.png").write_bytes(draw_page(series))
        (folder / "series.json").write_text(json.dumps(series_json(series), indent=2))
        document = document_of(series, settings, cat=cat, simulated=bool(cat))
        write_report(document, folder, "report")
    if as_json:
        typer.echo(json.dumps(series_json(series), indent=2))
        return
    show_series(series)
    if folder is not None:
        names = ("series.png", "series.json", "report.pdf", "report.html")
        out.print("Page, data and report: " + ", ".join(str(folder / name) for name in names))
    out.print(CAUTION, style="italic")


def leave(readings: list[Reading] | tuple[Reading, ...]) -> None:
    """End with the exit code that says whether every photo could be used."""
    if any(note.key == "circle_misplaced" for r in readings for note in r.notices):
        raise typer.Exit(WRONG_USE)
    refused = [r for r in readings if not r.usable]
    for reading in refused:
        reason = next((n for n in reversed(reading.notices) if n.level == "retake"), None)
        err.print(
            f"{reading.photo.name} could not be used. {reason.says} {reason.do}"
            if reason
            else f"{reading.photo.name} could not be used.",
            highlight=False,
            markup=False,
        )
    raise typer.Exit(PHOTO_REFUSED if refused else USABLE)
