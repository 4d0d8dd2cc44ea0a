"""Each block of a document on paper."""

from collections.abc import Callable

from lesioncompare.report.document import (
    Block,
    Facts,
    Figure,
    Lines,
    Paragraph,
    Patches,
    Pictures,
    Section,
    Statement,
    Statements,
    Table,
)
from lesioncompare.report.pdf.shapes import (
    drawing_height,
    pictures_side,
    write_drawing,
    write_pictures,
)
from lesioncompare.report.pdf.sheet import LINE, MARGIN_MM, POINT_MM, Sheet, wrapped, writable
from lesioncompare.report.pdf.table import PAD_MM, write_table

BODY_PT, FACTS_PT, SMALL_PT = 8.5, 8.0, 7.0
NAME_MM = 27.0  # [mm] column of names
HEADING_MM, FEW_LINES_MM = 7.0, 14.0
PATCH_MM = (9.0, 4.4)  # [mm] width and height


def write_section(sheet: Sheet, section: Section) -> None:
    """A heading and its blocks; the heading stays with what cannot be torn apart."""
    if section.new_page and sheet.page_no() == 1:
        sheet.add_page()
    sheet.need(HEADING_MM + _whole(sheet, section.blocks[0]))
    sheet.heading(section.title, 2)
    for block in section.blocks:
        _write(sheet, block)


def _whole(sheet: Sheet, block: Block) -> float:
    """Height of a block that cannot be torn apart, else of a few lines [mm]."""
    if isinstance(block, Figure):
        return drawing_height(sheet, block.drawing)
    if isinstance(block, Pictures):
        return pictures_side(sheet, len(block.shown)) + 12
    return FEW_LINES_MM


def _write(sheet: Sheet, block: Block) -> None:
    _WRITERS[type(block)](sheet, block)


def _paragraph(sheet: Sheet, block: Paragraph) -> None:
    sheet.words(block.words, bold=block.strong)


def _numbered(sheet: Sheet, block: Lines) -> None:
    for number, item in enumerate(block.items, 1):
        _named(sheet, f"{number}.", item, name_mm=6.0, size=SMALL_PT + 0.5)


def _facts(sheet: Sheet, block: Facts) -> None:
    for name, value in block.pairs:
        _named(sheet, name, value, size=FACTS_PT)


def _statements(sheet: Sheet, block: Statements) -> None:
    for item in block.items:
        _statement(sheet, item)


def _figure(sheet: Sheet, block: Figure) -> None:
    write_drawing(sheet, block.drawing)
    sheet.words(block.caption, size=SMALL_PT - 0.5)


def _table(sheet: Sheet, block: Table) -> None:
    if block.caption:
        sheet.words(block.caption, size=SMALL_PT)
    write_table(sheet, block.headings, block.rows, block.widths, small=block.small)


def _named(
    sheet: Sheet, name: str, words: str, *, name_mm: float = NAME_MM, size: float = BODY_PT
) -> None:
    """A name in bold and what belongs to it beside it."""
    height = size * POINT_MM * LINE
    sheet.type(size)
    lines = wrapped(sheet, writable(words), sheet.width - name_mm)
    sheet.type(size, bold=True)
    names = wrapped(sheet, writable(name), name_mm - 1)
    for number in range(max(len(lines), len(names))):
        sheet.need(height)
        top = sheet.get_y()
        if number < len(names):
            sheet.type(size, bold=True)
            sheet.set_xy(MARGIN_MM, top)
            sheet.cell(name_mm, height, names[number])
        if number < len(lines):
            sheet.type(size)
            sheet.set_xy(MARGIN_MM + name_mm, top)
            sheet.cell(sheet.width - name_mm, height, lines[number])
        sheet.set_xy(MARGIN_MM, top + height)


def _statement(sheet: Sheet, item: Statement) -> None:
    """A finding: its weight and sentence in bold, its parts beside a line at the left."""
    sheet.type(BODY_PT, bold=True)
    lines = wrapped(sheet, writable(f"{item.level}: {item.words}"), sheet.width)
    sheet.need((len(lines) * BODY_PT + SMALL_PT) * POINT_MM * LINE + 1)
    sheet.paragraph(f"{item.level}: {item.words}", BODY_PT)
    for name, words in item.parts:
        _named(sheet, name, words, name_mm=NAME_MM, size=SMALL_PT)
    sheet.set_y(sheet.get_y() + 1.0)


def _patches(sheet: Sheet, block: Patches) -> None:
    """Two patches and their numbers for each photo."""
    sheet.words(block.caption, size=SMALL_PT)
    widths = [26.0, 14.0, 40.0, 14.0, 40.0, 36.0]
    height = PATCH_MM[1] + 2 * PAD_MM
    _patch_head(sheet, block, widths)
    for item in block.items:
        if sheet.room < height:
            sheet.add_page()
            _patch_head(sheet, block, widths)
        top, left = sheet.get_y(), MARGIN_MM
        spot, skin, both = item.words
        cells = (item.name, item.spot, spot, item.skin, skin, both)
        sheet.type(SMALL_PT)
        for cell, width in zip(cells, widths, strict=True):
            if isinstance(cell, str):
                sheet.set_xy(left, top + PAD_MM)
                sheet.cell(width, PATCH_MM[1], writable(cell))
            else:
                sheet.set_fill_color(*cell)
                sheet.set_draw_color(90)
                sheet.set_line_width(0.15)
                sheet.rect(left + PAD_MM, top + PAD_MM, *PATCH_MM, style="DF")
            left += width
        sheet.set_xy(MARGIN_MM, top + height)


def _patch_head(sheet: Sheet, block: Patches, widths: list[float]) -> None:
    sheet.type(SMALL_PT, bold=True)
    height = SMALL_PT * POINT_MM * LINE
    cells = [heading.split("\n") for heading in block.headings]
    deep = max(len(lines) for lines in cells)
    sheet.need(deep * height + PATCH_MM[1] + 4)
    top, left = sheet.get_y(), MARGIN_MM
    for lines, width in zip(cells, widths, strict=True):
        for number, words in enumerate(lines):
            sheet.set_xy(left, top + number * height)
            sheet.cell(width, height, words)
        left += width
    sheet.set_xy(MARGIN_MM, top + deep * height)


_WRITERS: dict[type, Callable[..., None]] = {
    Paragraph: _paragraph,
    Lines: _numbered,
    Facts: _facts,
    Statements: _statements,
    Pictures: write_pictures,
    Figure: _figure,
    Table: _table,
    Patches: _patches,
}
