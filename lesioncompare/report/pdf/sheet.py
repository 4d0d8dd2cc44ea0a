"""The paper: size, margins, fonts, running foot, and words set on it."""

from functools import cache, lru_cache

import matplotlib as mpl
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from fpdf import FPDF
from fpdf.enums import XPos, YPos

from lesioncompare.report.document import Document, plain

PAPERS_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1
MARGIN_MM, TOP_MM, FOOT_MM = 15.0, 11.0, 14.0
FAMILY = "DejaVu"
FILES = {"": "DejaVuSans.ttf", "B": "DejaVuSans-Bold.ttf"}  # matplotlib brings them along
POINT_MM = 25.4 / 72  # [mm]
LINE = 1.28  # [1] of the size, from line to line
HEADINGS_PT = {1: 16.0, 2: 10.5}
LOST = "\N{REPLACEMENT CHARACTER}"
BELOW = {"new_x": XPos.LMARGIN, "new_y": YPos.NEXT}


def _font_file(style: str) -> str:
    return f"{mpl.get_data_path()}/fonts/ttf/{FILES[style]}"


@cache
def _known_signs() -> frozenset[int]:
    """Code points that both fonts can show."""
    signs: set[int] | None = None
    for style in FILES:
        with TTFont(_font_file(style), lazy=True) as font:
            found = set(font.getBestCmap())
        signs = found if signs is None else signs & found
    return frozenset(signs or ())


@lru_cache(maxsize=4096)
def writable(words: str) -> str:
    """Words with a stand-in for each sign that the fonts cannot show."""
    known = _known_signs()
    return "".join(c if c == "\n" or ord(c) in known else LOST for c in words)


class Sheet(FPDF):  # type: ignore[misc]  # fpdf2 has no types
    """Pages with a running foot. Lengths in millimetres, sizes of type in points."""

    def __init__(self, document: Document, paper: str) -> None:
        super().__init__(unit="mm", format=PAPERS_MM[paper])
        self.document = document
        self.set_margin(MARGIN_MM)
        self.set_top_margin(TOP_MM)
        self.c_margin = 0.0
        self.set_auto_page_break(False)
        for style in FILES:
            self.add_font(FAMILY, style, _font_file(style))
        self.set_title(plain(document.title))
        self.set_lang(document.language)
        self.set_creator(document.program)
        self.set_creation_date(document.made)
        self.set_image_filter("AUTO")

    @property
    def bottom(self) -> float:
        """Where the foot begins [mm]."""
        return float(self.h) - FOOT_MM

    @property
    def room(self) -> float:
        """Height left on this page [mm]."""
        return self.bottom - float(self.get_y())

    @property
    def width(self) -> float:
        """Width between the margins [mm]."""
        return float(self.epw)

    def footer(self) -> None:
        """What it is not, who it is about, and the number of the page."""
        self.set_y(self.bottom + 2.5)
        self.set_draw_color(150)
        self.set_line_width(0.2)
        self.line(MARGIN_MM, self.bottom + 1.5, self.w - MARGIN_MM, self.bottom + 1.5)
        self.type(7.0)
        self.cell(0, 3.4, writable(self.document.short_caution), align="L", **BELOW)
        made = f"{self.document.made.date().isoformat()}, {self.document.program}"
        title = _cut(self, writable(plain(self.document.title)), self.width * 0.5)
        self.cell(self.width * 0.8, 3.4, f"{title} – {made}", align="L")
        self.cell(0, 3.4, f"page {self.page_no()} of {{nb}}", align="R")

    def type(self, size: float, *, bold: bool = False) -> None:
        """Choose the type."""
        self.set_font(FAMILY, "B" if bold else "", size)

    def need(self, height: float) -> None:
        """A new page where less height than this is left [mm]."""
        if self.room < height and self.get_y() > TOP_MM + 1:
            self.add_page()

    def heading(self, words: str, level: int) -> None:
        """A heading, never alone at the end of a page, listed in the outline."""
        size = HEADINGS_PT[level]
        self.need(size * POINT_MM * LINE + 14)
        if level > 1:
            self.set_y(self.get_y() + 1.8)
        self.type(size, bold=True)
        self.start_section(plain(words), level=level - 1)
        self.paragraph(words, size)

    def words(self, words: str, *, size: float = 8.5, bold: bool = False) -> None:
        """Running words over the whole width."""
        self.type(size, bold=bold)
        self.paragraph(words, size)

    def paragraph(self, words: str, size: float) -> None:
        """Words in the present type; lines go over to the next page where they must."""
        height = size * POINT_MM * LINE
        for line in wrapped(self, writable(words), self.width):
            self.need(height)
            self.cell(0, height, line, align="L", **BELOW)

    def boxed(self, words: str) -> None:
        """Words inside a frame."""
        size, pad = 8.0, 1.6
        height = size * POINT_MM * LINE
        self.type(size, bold=True)
        lines = wrapped(self, writable(words), self.width - 2 * pad)
        top = self.get_y() + 0.8
        self.set_draw_color(0)
        self.set_line_width(0.35)
        self.rect(MARGIN_MM, top, self.width, len(lines) * height + 2 * pad)
        self.set_y(top + pad)
        for line in lines:
            self.set_x(MARGIN_MM + pad)
            self.cell(0, height, line, **BELOW)
        self.set_y(self.get_y() + pad + 0.6)


def wrapped(sheet: Sheet, words: str, width: float) -> list[str]:
    """The words in lines that fit a width in the present type; a word too long is broken."""
    lines = []
    for line in words.split("\n"):
        now = ""
        for word in line.split(" "):
            longer = f"{now} {word}" if now else word
            if sheet.get_string_width(longer) <= width:
                now = longer
                continue
            if now:
                lines.append(now)
            *whole, now = _broken(sheet, word, width)
            lines += whole
        lines.append(now)
    return lines


def _broken(sheet: Sheet, word: str, width: float) -> list[str]:
    """A word in pieces that fit."""
    pieces, now = [], ""
    for sign in word:
        if now and sheet.get_string_width(now + sign) > width:
            pieces.append(now)
            now = ""
        now += sign
    return [*pieces, now]


def _cut(sheet: Sheet, words: str, width: float) -> str:
    """The words, their end left off where they do not fit on one line."""
    if sheet.get_string_width(words) <= width:
        return words
    return _broken(sheet, words, width - 3)[0].rstrip() + "…"
