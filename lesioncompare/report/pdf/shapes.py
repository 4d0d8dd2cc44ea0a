"""Drawings and aligned photos on paper, their lines as lines."""

import io
from math import floor, log10

from lesioncompare.report.document import Frame, Pictures
from lesioncompare.report.drawing import Area, Dot, Drawing, Label, Shape, Stroke
from lesioncompare.report.pdf.sheet import MARGIN_MM, POINT_MM, Sheet, writable

GAP_MM = 5.0
FEW_SHARE, MANY_MM = 0.195, 22.0  # [1] of the page's height, two beside each other; [mm] a strip
CROSS_SHARE = 0.035  # [1] radius of a marked place over the picture's width
BAR_SHARE = 0.3  # [1] of the picture's width that the millimetre bar may take


def drawing_height(sheet: Sheet, drawing: Drawing) -> float:
    """Height of a drawing over the whole width [mm]."""
    return drawing.height * sheet.width / drawing.width


def pictures_side(sheet: Sheet, count: int) -> float:
    """Side of each of some pictures beside one another [mm]."""
    few = count <= 2
    gap = GAP_MM if few else 1.0
    return min(
        FEW_SHARE * float(sheet.h) if few else MANY_MM,
        (sheet.width - (count - 1) * gap) / max(count, 1),
    )


def write_drawing(sheet: Sheet, drawing: Drawing) -> None:
    """A drawing over the whole width."""
    times = sheet.width / drawing.width
    sheet.need(drawing_height(sheet, drawing))
    left, top = MARGIN_MM, float(sheet.get_y())
    for shape in drawing.shapes:
        _draw(sheet, shape, left, top, times)
    sheet.set_xy(MARGIN_MM, top + drawing.height * times)


def _draw(sheet: Sheet, shape: Shape, left: float, top: float, times: float) -> None:
    if isinstance(shape, Label):
        _label(sheet, shape, left, top, times)
        return
    if isinstance(shape, Dot):
        _dot(sheet, shape, left, top, times)
        return
    places = [(left + x * times, top + y * times) for x, y in shape.places]
    code = round(255 * shape.grey)
    if isinstance(shape, Area):
        sheet.set_fill_color(code)
        sheet.polygon(places, style="F")
        return
    _stroke(sheet, shape, places, code)


def _stroke(sheet: Sheet, shape: Stroke, places: list[tuple[float, float]], code: int) -> None:
    sheet.set_draw_color(code)
    sheet.set_line_width(shape.width)
    sheet.polyline(places)


def _label(sheet: Sheet, label: Label, left: float, top: float, times: float) -> None:
    sheet.type(label.size * times / POINT_MM)
    words = writable(label.words)
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor] * sheet.get_string_width(words)
    x, y = label.at
    sheet.text(left + x * times - back, top + y * times, words)


def _dot(sheet: Sheet, dot: Dot, left: float, top: float, times: float) -> None:
    x, y, radius = left + dot.at[0] * times, top + dot.at[1] * times, dot.radius * times
    sheet.set_draw_color(0)
    sheet.set_fill_color(255 if dot.hollow else 0)
    sheet.set_line_width(0.3)
    if dot.square:
        sheet.rect(x - radius, y - radius, 2 * radius, 2 * radius, style="DF")
    else:
        sheet.circle(x, y, radius, style="DF")


def write_pictures(sheet: Sheet, pictures: Pictures) -> None:
    """Photos side by side with their border, day and a millimetre bar."""
    count = max(len(pictures.shown), 1)
    side = pictures_side(sheet, count)
    gap = GAP_MM if count <= 2 else (sheet.width - count * side) / max(count - 1, 1)
    start = MARGIN_MM + (sheet.width - count * side - (count - 1) * gap) / 2
    sheet.need(side + 12)
    top = float(sheet.get_y()) + 0.8
    for place, number in enumerate(pictures.shown):
        left = start + place * (side + gap)
        _picture(sheet, pictures, pictures.frames[number], (left, top), side)
    sheet.set_xy(MARGIN_MM, top + side + 5.0)
    if pictures.caption:
        sheet.words(pictures.caption, size=7.0)


def _picture(
    sheet: Sheet, pictures: Pictures, frame: Frame, at: tuple[float, float], side: float
) -> None:
    left, top = at
    times = side / pictures.side_px
    alt = writable(frame.alt)
    sheet.image(io.BytesIO(frame.jpeg), left, top, side, side, alt_text=alt, title=frame.label)
    with sheet.rect_clip(left, top, side, side):
        if frame.outline is not None:
            places = [(left + (x + 0.5) * times, top + (y + 0.5) * times) for x, y in frame.outline]
            for width, code in ((0.7, 255), (0.3, 0)):
                sheet.set_line_width(width * min(1.0, side / 40))
                sheet.set_draw_color(code)
                sheet.polygon(places, style="D")
        if frame.mark is not None:
            x, y = frame.mark
            _cross(sheet, left + (x + 0.5) * times, top + (y + 0.5) * times, CROSS_SHARE * side)
    _bar(sheet, side / (pictures.side_px * pictures.mm_per_px), (left, top), side)
    sheet.type(7.5 if side > MANY_MM else 6.2, bold=True)
    sheet.set_xy(left, top + side + 0.6)
    sheet.cell(side, 3.4, writable(frame.label), align="C")


def _cross(sheet: Sheet, x: float, y: float, radius: float) -> None:
    """A cross in a circle, dark on light, over anything."""
    for width, code in ((0.9, 255), (0.35, 0)):
        sheet.set_line_width(width)
        sheet.set_draw_color(code)
        sheet.circle(x, y, radius, style="D")
        sheet.line(x - 0.6 * radius, y, x + 0.6 * radius, y)
        sheet.line(x, y - 0.6 * radius, x, y + 0.6 * radius)


def _bar(sheet: Sheet, times: float, at: tuple[float, float], side: float) -> None:
    """A bar of a round length with its length beside it; ``times`` paper over skin [1]."""
    length = round_length(BAR_SHARE * side / times)
    left, base = at[0] + 0.05 * side, at[1] + 0.95 * side
    small = side <= MANY_MM
    thick = 0.9 if small else 1.6
    for grow, code in ((0.25, 255), (0.0, 0)):
        sheet.set_fill_color(code)
        sheet.rect(
            left - grow, base - thick - grow, length * times + 2 * grow, thick + 2 * grow, style="F"
        )
    size = 5.0 if small else 7.0
    sheet.type(size, bold=True)
    words, height = f"{length:g} mm", size * POINT_MM
    width = sheet.get_string_width(words) + 1.0
    sheet.set_fill_color(255)
    low = base - thick - 0.8
    sheet.rect(left - 0.25, low - height, width, height + 0.2, style="F")
    sheet.text(left + 0.2, low - 0.12 * height, words)


def round_length(most_mm: float) -> float:
    """The longest of 1, 2, 5 times a power of ten that is not above ``most_mm`` [mm]."""
    power = 10.0 ** floor(log10(most_mm))
    return max(power * step for step in (1, 2, 5) if power * step <= most_mm * (1 + 1e-9))
