"""A document as PDF: embedded fonts, page numbers, what it is not on every page."""

from lesioncompare.report.document import Document
from lesioncompare.report.pdf.blocks import write_section
from lesioncompare.report.pdf.sheet import PAPERS_MM, Sheet

__all__ = ["PAPERS_MM", "as_pdf"]


def as_pdf(document: Document, *, paper: str = "a4") -> bytes:
    """The pages as bytes; the same document makes the same text in the same order.

    Parameters
    ----------
    document
        What the report says.
    paper
        "a4" or "letter".

    Raises
    ------
    ValueError
        When the paper is neither.
    """
    if paper not in PAPERS_MM:
        raise ValueError(f"paper must be one of {sorted(PAPERS_MM)}, not {paper!r}")
    sheet = Sheet(document, paper)
    sheet.add_page()
    sheet.heading(document.title, 1)
    sheet.words(document.subtitle, size=9.0)
    sheet.boxed(document.caution)
    for section in document.sections:
        write_section(sheet, section)
    return bytes(sheet.output())
