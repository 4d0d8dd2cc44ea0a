"""A series as a document: one page for five minutes, and the pages behind it."""

from lesioncompare import __version__
from lesioncompare.records import Series
from lesioncompare.report import details, overview
from lesioncompare.report.album import Album
from lesioncompare.report.document import About, Document, plain
from lesioncompare.report.words import CAUTION, SHORT_CAUTION


def compose(series: Series, about: About, album: Album | None) -> Document:
    """The report of one spot.

    Parameters
    ----------
    series
        The visits of one spot; their pixels are not needed.
    about
        Whom it is about, and what people said.
    album
        The aligned photos; None where nothing could be aligned.
    """
    site = series.site.vet if series.site else "spot"
    cat = plain(about.cat)
    title = f"{site[:1].upper()}{site[1:]}" + (f" of {cat}" if cat else "")
    return Document(
        title=title,
        subtitle="Photographs of a spot beside a reference sticker, measured and compared",
        caution=CAUTION,
        short_caution=SHORT_CAUTION,
        program=f"lesioncompare {__version__}",
        made=about.made,
        sections=(
            overview.facts(series, about),
            overview.first_and_last(album),
            overview.main_curve(series),
            overview.findings(series),
            overview.answers(series, about.unmeasured),
            details.measures(series),
            *details.changes(series),
            *details.all_photos(album),
            *details.rules(series),
            details.quality(series),
            *details.not_used(series, about),
            *details.other_curves(series),
            *details.colours(series),
            *details.entries(about),
            *details.method_and_limits(series, about),
        ),
    )
