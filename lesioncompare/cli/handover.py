"""Commands that hand a series over and take one in: report, archive, import, DICOM."""

import json
from pathlib import Path
from typing import Annotated

import typer

from lesioncompare.cli.app import PHOTO_REFUSED, app
from lesioncompare.cli.arguments import make_settings, parse_dates, parse_sticker
from lesioncompare.cli.choosing import CatName, SiteName, chosen_sites, the_store
from lesioncompare.cli.keeping import say_added, writable_place
from lesioncompare.cli.photos import PrintedBar, StickerKind, demo_folder, follow, leave
from lesioncompare.cli.tables import err, out
from lesioncompare.cli.writing import document_of, write_report
from lesioncompare.errors import SettingsError
from lesioncompare.exchange.archive import open_archive, write_archive
from lesioncompare.exchange.handover import handover_files, taken_in
from lesioncompare.records import Series
from lesioncompare.report.document import Document
from lesioncompare.series.handover import NAME, bag_facts, dicom_of, handover_of, spot_folders
from lesioncompare.series.report import report_of
from lesioncompare.settings import Settings

Folder = Annotated[Path, typer.Option("--out", help="Folder to write into; made if missing.")]
Paper = Annotated[str, typer.Option(help="Paper of the PDF: a4 or letter.")]


@app.command()
def report(
    photos: Annotated[
        list[Path] | None,
        typer.Argument(help="Photo files, the first visit first; none: what the store holds."),
    ] = None,
    spot: Annotated[
        str | None, typer.Option(help="With photos: circle X,Y,R in pixels of the first one.")
    ] = None,
    site: SiteName = None,
    cat: CatName = None,
    folder: Folder = Path("lesioncompare-report"),
    paper: Paper = "a4",
    demo: Annotated[bool, typer.Option("--demo", help="Report on the simulated cat.")] = False,
    dates: Annotated[str | None, typer.Option(help="With photos: their dates, by commas.")] = None,
    sticker_kind: StickerKind = "printed",
    printed_bar: PrintedBar = 100.0,
) -> None:
    """Write a report for the vet, as PDF and as one HTML file that opens on any phone."""
    if paper.lower() not in {"a4", "letter"}:
        raise SettingsError(f"“{paper}” is not a paper we know.", "Choose a4 or letter.")
    if demo:
        series, document = _of_demo()
    elif photos:
        if spot is None:
            raise SettingsError("Where the spot is was not said.", "Give --spot X,Y,R.")
        settings = make_settings(printed_bar)
        series = follow(
            photos,
            spot,
            site=site,
            dates=parse_dates(dates, len(photos)),
            hint=parse_sticker(sticker_kind),
            settings=settings,
        )
        document = document_of(series, settings, cat=cat or "")
    else:
        _of_store(cat, site, folder, paper.lower())
        return
    _said(write_report(document, folder, "report", paper.lower()))
    leave(series.readings)


def _of_demo() -> tuple[Series, Document]:
    """The series and the report of the simulated cat."""
    source = demo_folder()
    truth = json.loads((source / "truth.json").read_text())
    series = follow([source / name for name in truth["photos"]], truth["spot"], site=truth["site"])
    return series, document_of(series, Settings(), cat=truth["cat"], simulated=True)


def _of_store(cat: str | None, site: str | None, folder: Path, paper: str) -> None:
    """A report of each spot that was chosen."""
    with the_store() as store:
        sites = [s.id for s in chosen_sites(store, cat, site)]
        for name, spot_id in spot_folders(store, sites).items():
            _said(write_report(report_of(store, spot_id), folder, name, paper))


def _said(files: list[Path]) -> None:
    out.print("Report: " + ", ".join(str(f) for f in files), highlight=False, markup=False)


@app.command()
def archive(
    file: Annotated[Path, typer.Argument(help="The zip file to write.")],
    cat: CatName = None,
    site: SiteName = None,
) -> None:
    """Hand everything over in one zip: photos without location, measures, report, and the data."""
    writable_place(file)
    with the_store() as store:
        sites = [s.id for s in chosen_sites(store, cat, site)]
        handover = handover_of(store, sites)
        write_archive(file, handover_files(handover), name=NAME, about=bag_facts(store))
        count = len(handover.photos)
    out.print(f"{file}: {count} photos, checked after writing.", highlight=False, markup=False)


@app.command("import")
def import_(
    file: Annotated[Path, typer.Argument(help="A zip file written by archive.")],
) -> None:
    """Take in an archive, whole or not at all; taking it in twice changes nothing."""
    with open_archive(file) as opened:
        rows, photos = taken_in(opened)
    with the_store() as store:
        added = store.bring_in(rows, photos)
    say_added(file, added)


@app.command()
def dicom(
    folder: Annotated[Path, typer.Argument(help="Folder to write into; made if missing.")],
    cat: CatName = None,
    site: SiteName = None,
) -> None:
    """Write each photo and its measures as DICOM files for a clinic's picture archive."""
    with the_store() as store:
        sites = [s.id for s in chosen_sites(store, cat, site)]
        count = 0
        for name, spot_id in spot_folders(store, sites).items():
            for file, data in dicom_of(store, spot_id).items():
                place = folder / name
                place.mkdir(parents=True, exist_ok=True)
                (place / file).write_bytes(data)
                count += 1
    if not count:
        err.print("There was no photo to write. Take one in the app first.", markup=False)
        raise typer.Exit(PHOTO_REFUSED)
    out.print(f"{folder}: {count} DICOM files.", highlight=False, markup=False)
