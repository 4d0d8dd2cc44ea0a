"""Tables on paper: headings again on every page, no row torn apart."""

from collections.abc import Sequence

from lesioncompare.report.pdf.sheet import LINE, MARGIN_MM, POINT_MM, Sheet, wrapped, writable

SIZES_PT = {False: 8.0, True: 6.4}
PAD_MM = 0.6
MOST_LINES = 14  # [1] of one cell; longer words are cut with a sign for it


def write_table(
    sheet: Sheet,
    headings: Sequence[str],
    rows: Sequence[Sequence[str]],
    widths: Sequence[float],
    *,
    small: bool,
) -> None:
    """Rows under their headings; cells may hold several lines."""
    size = SIZES_PT[small]
    total = sum(widths)
    columns = [sheet.width * share / total for share in widths]
    sheet.type(size, bold=True)
    head = [_lines(sheet, words, w) for words, w in zip(headings, columns, strict=True)]
    sheet.type(size)
    body = [[_lines(sheet, c, w) for c, w in zip(row, columns, strict=True)] for row in rows]
    first = _height(body[0], size) if body else 0.0
    sheet.need(_height(head, size) + first)
    _write_head(sheet, head, columns, size)
    for cells in body:
        if sheet.room < _height(cells, size):
            sheet.add_page()
            _write_head(sheet, head, columns, size)
        sheet.type(size)
        _write_row(sheet, cells, columns, size)
        _rule(sheet, 0.1, 170)
    sheet.set_y(sheet.get_y() + 1.2)


def _lines(sheet: Sheet, words: str, width: float) -> list[str]:
    lines = wrapped(sheet, writable(words), width - 2 * PAD_MM)
    return lines if len(lines) <= MOST_LINES else [*lines[: MOST_LINES - 1], "…"]


def _height(cells: Sequence[Sequence[str]], size: float) -> float:
    return max(len(lines) for lines in cells) * size * POINT_MM * LINE + 2 * PAD_MM * 0.6


def _write_head(
    sheet: Sheet, head: Sequence[Sequence[str]], columns: Sequence[float], size: float
) -> None:
    sheet.type(size, bold=True)
    _write_row(sheet, head, columns, size)
    _rule(sheet, 0.3, 0)


def _write_row(
    sheet: Sheet, cells: Sequence[Sequence[str]], columns: Sequence[float], size: float
) -> None:
    top, line = float(sheet.get_y()) + PAD_MM * 0.6, size * POINT_MM * LINE
    left = MARGIN_MM
    for lines, width in zip(cells, columns, strict=True):
        for number, words in enumerate(lines):
            sheet.set_xy(left, top + number * line)
            sheet.cell(width, line, words)
        left += width
    sheet.set_xy(MARGIN_MM, top + _height(cells, size) - PAD_MM * 0.6)


def _rule(sheet: Sheet, width: float, grey: int) -> None:
    sheet.set_draw_color(grey)
    sheet.set_line_width(width)
    sheet.line(MARGIN_MM, sheet.get_y(), MARGIN_MM + sheet.width, sheet.get_y())
