"""Reports of photos that are in no store."""

from datetime import datetime
from pathlib import Path

from lesioncompare.records import Series
from lesioncompare.report.album import album_of
from lesioncompare.report.compose import compose
from lesioncompare.report.document import About, Document
from lesioncompare.report.html import as_html
from lesioncompare.report.pdf import as_pdf
from lesioncompare.settings import Settings


def document_of(
    series: Series, settings: Settings, *, cat: str = "", simulated: bool = False
) -> Document:
    """The report of a series with its pixels, measured by these settings."""
    now, digest = datetime.now().astimezone(), settings.digest()
    about = About(cat, "", now, settings=digest, simulated=simulated)
    return compose(series, about, album_of(series))


def write_report(document: Document, folder: Path, name: str, paper: str = "a4") -> list[Path]:
    """The two files of a report, both written whole."""
    folder.mkdir(parents=True, exist_ok=True)
    files = [folder / f"{name}.pdf", folder / f"{name}.html"]
    for file, data in zip(files, (as_pdf(document, paper=paper), as_html(document)), strict=True):
        part = file.with_name(f".{file.name}.part")
        part.write_bytes(data)
        part.replace(file)
    return files
