"""Reference stickers to print: a sheet with a check bar as PDF, and one bare sticker as PNG."""

import io
from datetime import UTC, datetime

from fpdf import FPDF
from fpdf.enums import XPos, YPos
from PIL import Image

from lesioncompare.design import SIZES_MM, draw_sticker, rectangles
from lesioncompare.errors import SettingsError
from lesioncompare.science.colour import encode

PAPERS_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1
DPI_RANGE = (150, 4800)  # [dots per inch] coarser than 150 the fiducial of 10 mm gets ragged
MM_PER_INCH = 25.4
MARGIN_MM = 15.0  # [mm] left white: printers cannot reach the edge
BAR_MM = 100.0
CUT_MM = 0.6  # [mm] of white kept round the printed edge
GAP_MM = 5.0  # [mm] between the cutting lines of two stickers
CUT_GREY = 170  # [code] light enough not to be taken for part of the sticker
UNDATED = datetime(2000, 1, 1, tzinfo=UTC)  # equal sheets have equal bytes
HOW_TO = (
    '1. Print at 100 % (not "fit to page") on matt white paper, in black or grey.',
    (
        "2. Measure the bar with a steel rule. If it is not 100 mm long, tell the program what you "
        "measured."
    ),
    (
        "3. Cut along the grey lines. Keep the stickers clean, flat and dry; use a new one when it "
        "is creased or stained."
    ),
    (
        "4. Hold or lay one beside the spot, flat and as high as the skin round it. Do not glue it "
        "on the cat, and keep it out of the mouth and the eyes."
    ),
    "5. Leave the whole sticker uncovered in the photo, one only, and take the photo square on.",
)
CAUTION = (
    "A photo measures a spot; it cannot say what the spot is. A sore that does not heal goes to "
    "the vet, whatever the numbers say."
)


def sticker_picture(size: int, dpi: int) -> tuple[bytes, float]:
    """One bare sticker as PNG, and its side as printed at this resolution [mm].

    Parameters
    ----------
    size
        Nominal side: 10, 14 or 20 [mm].
    dpi
        Resolution, also written into the file [dots per inch].

    Returns
    -------
    tuple[bytes, float]
        The file, whose picture edges are the sticker's printed edges; and its exact side: whole
        pixels make it differ from the nominal one by up to half a pixel [mm].

    Raises
    ------
    SettingsError
        For a size we do not draw or a resolution out of range.
    """
    _refuse_unknown(size)
    if not DPI_RANGE[0] <= dpi <= DPI_RANGE[1]:
        raise SettingsError(
            f"{dpi} dots per inch is out of range.",
            f"Choose from {DPI_RANGE[0]} to {DPI_RANGE[1]}, such as 600 or 1200.",
        )
    side_px = round(SIZES_MM[size] / MM_PER_INCH * dpi)
    file = io.BytesIO()
    Image.fromarray(draw_sticker(size, side_px)).save(file, "PNG", dpi=(dpi, dpi))
    return file.getvalue(), side_px / dpi * MM_PER_INCH


def sticker_sheet(size: int | None, paper: str) -> bytes:
    """A sheet of stickers to print, as PDF.

    Parameters
    ----------
    size
        Nominal side: 10, 14 or 20; None for some of each [mm].
    paper
        "a4" or "letter".

    Raises
    ------
    SettingsError
        For a size or a paper we do not know.
    """
    if size is not None:
        _refuse_unknown(size)
    if paper.lower() not in PAPERS_MM:
        raise SettingsError(f"“{paper}” is not a paper we know.", "Choose a4 or letter.")
    width, height = PAPERS_MM[paper.lower()]
    pdf = FPDF(unit="mm", format=(width, height))
    pdf.set_creation_date(UNDATED)
    pdf.set_title("Reference stickers")
    pdf.set_auto_page_break(False)
    pdf.set_margin(MARGIN_MM)
    pdf.add_page()
    sizes = sorted(SIZES_MM) if size is None else [size]
    top = _write_how_to(pdf, sizes)
    top = _draw_bar(pdf, top)
    for each in sizes:
        room = height - MARGIN_MM - top
        top = _draw_rows(pdf, each, top, room if each == sizes[-1] else room / 3)
    return bytes(pdf.output())


def _refuse_unknown(size: int) -> None:
    if size not in SIZES_MM:
        raise SettingsError(
            f"There is no sticker of {size} mm.",
            f"Choose one of {', '.join(str(known) for known in sorted(SIZES_MM))} mm.",
        )


def _write_how_to(pdf: FPDF, sizes: list[int]) -> float:
    """Title, steps and caution; returns where they end [mm]."""
    below = {"new_x": XPos.LMARGIN, "new_y": YPos.NEXT}
    pdf.set_font("helvetica", "B", 15)
    sides = ", ".join(str(size) for size in sizes)
    pdf.cell(0, 8, f"Reference stickers, {sides} mm", **below)
    pdf.set_font("helvetica", "", 9.5)
    for line in HOW_TO:
        pdf.multi_cell(0, 4.6, line, align="L", **below)
    pdf.set_font("helvetica", "B", 9.5)
    pdf.multi_cell(0, 4.6, CAUTION, align="L", **below)
    return float(pdf.get_y()) + 4


def _draw_bar(pdf: FPDF, top: float) -> float:
    """The check bar with a tick each 10 mm; returns where it ends [mm]."""
    pdf.set_fill_color(0)
    pdf.rect(MARGIN_MM, top, BAR_MM, 2.0, style="F")
    for tenth in range(11):
        x = MARGIN_MM + BAR_MM * tenth / 10
        inward = {0: 0.0, 10: -0.2}.get(tenth, -0.1)  # the outer ticks end with the bar
        pdf.rect(x + inward, top, 0.2, 4.0 if tenth % 5 else 5.0, style="F")
    pdf.set_font("helvetica", "", 9.5)
    pdf.text(MARGIN_MM + BAR_MM + 3, top + 3, "This bar is 100 mm long at 100 %.")
    return top + 9


def _draw_rows(pdf: FPDF, size: int, top: float, room: float) -> float:
    """As many stickers of one size as go into the room; returns where they end [mm]."""
    pitch = SIZES_MM[size] + 2 * CUT_MM + GAP_MM
    columns = int((pdf.w - 2 * MARGIN_MM + GAP_MM) / pitch)
    rows = max(1, int((room + GAP_MM) / pitch))
    for row in range(rows):
        for column in range(columns):
            _draw_sticker(pdf, size, MARGIN_MM + column * pitch, top + row * pitch)
    return top + rows * pitch


def _draw_sticker(pdf: FPDF, size: int, left: float, top: float) -> None:
    """One sticker inside its cutting line, from exact rectangles."""
    side = SIZES_MM[size]
    pdf.set_draw_color(CUT_GREY)
    pdf.set_line_width(0.1)
    pdf.rect(left, top, side + 2 * CUT_MM, side + 2 * CUT_MM)
    for shape in rectangles(size):
        pdf.set_fill_color(round(255 * float(encode(shape.reflectance))))
        pdf.rect(
            left + CUT_MM + shape.left * side,
            top + CUT_MM + shape.top * side,
            (shape.right - shape.left) * side,
            (shape.bottom - shape.top) * side,
            style="F",
        )
