"""A practice set to print for a class: pairs to judge, and a key that the teacher keeps."""

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

import matplotlib as mpl
from fpdf import FPDF
from fpdf.enums import XPos, YPos

from lesioncompare.claims import CLAIMS
from lesioncompare.errors import SettingsError
from lesioncompare.teach.practice.album import Item, pairs
from lesioncompare.teach.practice.words import measured_words, truth_words

SETS = 3
PAPERS_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1
MARGIN_MM = 15.0
PHOTO_MM = 43.0
ROW_MM = PHOTO_MM + 13
COLUMNS = 2
FAMILY = "DejaVu"  # comes with matplotlib and is embedded; its own licence allows that
FONTS = {"": "DejaVuSans.ttf", "B": "DejaVuSans-Bold.ttf"}
UNDATED = datetime(2000, 1, 1, tzinfo=UTC)  # equal handouts have equal bytes
BELOW = {"new_x": XPos.LMARGIN, "new_y": YPos.NEXT}

TITLE = "Same, or changed?"
INTRO = (
    "Each number shows one spot on a cat, first in one week, then in a later week. Light, slant "
    "and distance differ, as they do at home. Has the spot itself changed? Tick what you think. "
    "Do it alone, then compare in the class before you look at the key."
)
SIMULATED = "No animal was photographed: every picture was computed, so the truth is known."
FOOT = "Set {number} · simulated photos · lesioncompare"
KEY = "Key to set {number}"
KEY_INTRO = (
    "What truly happened, and what the program measured with its error. Where it missed a change "
    "or saw one that was not there, that is said too."
)
BOXES = ("same", "changed")
VERDICTS = {True: "Program: “{said}”, right.", False: "Program: “{said}”, wrong."}
COUNT = "I had __ of {count} right. The program had {right} of {count} right."


def pairs_of_set(number: int) -> tuple[Item, ...]:
    """The pairs of one set: each third pair, so that every set goes from easy to mean.

    Raises
    ------
    SettingsError
        When there is no such set.
    """
    if number not in range(1, SETS + 1):
        raise SettingsError(f"There is no set {number}.", f"Choose a set from 1 to {SETS}.")
    return pairs()[number - 1 :: SETS]


def handout(number: int = 1, paper: str = "a4") -> bytes:
    """A set of pairs to print and its key, as PDF with embedded fonts.

    Raises
    ------
    SettingsError
        When there is no such set or paper.
    """
    if paper.lower() not in PAPERS_MM:
        raise SettingsError(f"“{paper}” is not a paper we know.", "Choose a4 or letter.")
    chosen = pairs_of_set(number)
    page = _Page(number, PAPERS_MM[paper.lower()])
    page.start(TITLE, INTRO, SIMULATED)
    page.put_pairs(chosen)
    page.start(KEY.format(number=number), KEY_INTRO, CLAIMS["practice_only"].says)
    page.put_key(chosen)
    return bytes(page.output())


class _Page(FPDF):  # type: ignore[misc]  # fpdf2 has no types
    """Paper with our font, margins and foot."""

    def __init__(self, number: int, size: tuple[float, float]) -> None:
        super().__init__(unit="mm", format=size)
        self.number = number
        self.set_creation_date(UNDATED)
        self.set_lang("en")
        self.set_title(f"{TITLE} ({KEY.format(number=number)})")
        folder = Path(mpl.get_data_path()) / "fonts" / "ttf"
        for style, file in FONTS.items():
            self.add_font(FAMILY, style, folder / file)
        self.set_margin(MARGIN_MM)
        self.c_margin = 0.0
        self.set_auto_page_break(False)

    def footer(self) -> None:
        """Which set this is, and that nothing here is an animal."""
        self.set_y(-MARGIN_MM + 3)
        self.set_font(FAMILY, "", 8)
        self.cell(0, 4, FOOT.format(number=self.number), align="C")

    def start(self, title: str, *paragraphs: str) -> None:
        """A new page with a heading."""
        self.add_page()
        self.set_font(FAMILY, "B", 16)
        self.start_section(title)
        self.cell(0, 9, title, **BELOW)
        self.set_font(FAMILY, "", 9.5)
        for text in paragraphs:
            self.multi_cell(0, 4.8, text, align="L", **BELOW)
            self.ln(1)

    def put_pairs(self, chosen: Sequence[Item]) -> None:
        """All pairs, two beside each other, over as many pages as it takes."""
        top = self.get_y() + 1
        for place, pair in enumerate(chosen):
            column = place % COLUMNS
            if column == 0 and place:
                top += ROW_MM
            if top + ROW_MM > self.h - MARGIN_MM:
                self.add_page()
                top = MARGIN_MM
            left = MARGIN_MM + column * (self.w - 2 * MARGIN_MM) / COLUMNS
            self._put_pair(place + 1, pair, left, top)

    def _put_pair(self, name: int, pair: Item, left: float, top: float) -> None:
        """Two photos under their number, with boxes to tick."""
        self.set_font(FAMILY, "B", 11)
        self.text(left, top + 4, str(name))
        for number, photo in enumerate(pair.photos):
            at = left + number * (PHOTO_MM + 1)
            alt = f"Pair {name}, {'later' if number else 'first'} photo"
            self.image(photo, at, top + 5.5, PHOTO_MM, PHOTO_MM, alt_text=alt)
        self.set_font(FAMILY, "", 9)
        for number, word in enumerate(BOXES):
            at = left + number * 26
            self.rect(at, top + PHOTO_MM + 7, 3, 3)
            self.text(at + 4.2, top + PHOTO_MM + 9.6, word)

    def put_key(self, chosen: Sequence[Item]) -> None:
        """What happened in each pair, and what the program made of it."""
        for place, pair in enumerate(chosen, start=1):
            self.set_font(FAMILY, "B", 9.5)
            self.cell(9, 4.8, str(place))
            self.multi_cell(0, 4.8, truth_words(pair), align="L", **BELOW)
            self.set_font(FAMILY, "", 9)
            self.set_x(MARGIN_MM + 9)
            verdict = VERDICTS[pair.tool_says == pair.truth].format(
                said=pair.tool_says or "nothing"
            )
            measured = f"{verdict} {measured_words(pair)}"
            self.multi_cell(0, 4.6, measured, align="L", **BELOW)
            self.ln(2)
        right = sum(pair.tool_says == pair.truth for pair in chosen)
        self.set_font(FAMILY, "B", 9.5)
        self.cell(0, 8, COUNT.format(count=len(chosen), right=right), **BELOW)
