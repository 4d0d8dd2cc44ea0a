"""What a report says, once, for every form it takes: PDF and HTML are made from these records.

A document is sections of blocks. Nothing in it is markup: every form takes the words literally.
Nothing in it means something by colour alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeAlias

from lesioncompare.records import Points, Visit
from lesioncompare.report.drawing import Drawing


@dataclass(frozen=True, slots=True)
class Entry:
    """Something a person wrote or decided: who, when, what kind, and the words."""

    when: datetime
    who: str
    kind: str
    words: str


@dataclass(frozen=True, slots=True)
class About:
    """What a report says beside the series. All of it may have been typed by anybody.

    Parameters
    ----------
    cat
        Name of the cat.
    spot
        Name of the spot.
    made
        When the report is made.
    particulars
        What is known of the cat, in words: "white", "born 2014".
    question
        What the keeper wants to know.
    entries
        Notes, decisions and results, oldest first.
    settings
        Digest of the settings that the last numbers were made with.
    simulated
        True for a cat that does not exist.
    left_out
        Photos that were left out by a person: day, reason and who.
    unmeasured
        The keeper's answers after the last photo that could be measured.
    """

    cat: str
    spot: str
    made: datetime
    particulars: tuple[str, ...] = ()
    question: str = ""
    entries: tuple[Entry, ...] = ()
    settings: str = ""
    simulated: bool = False
    left_out: tuple[Entry, ...] = ()
    unmeasured: Visit | None = None


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running words; ``strong`` ones are set apart."""

    words: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Lines:
    """A list of sentences."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Facts:
    """Names and their values."""

    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Statement:
    """A finding: how much it matters, what was found, and what goes with it by name."""

    level: str
    words: str
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Statements:
    """The findings, the most pressing first."""

    items: tuple[Statement, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """One aligned photo: a square JPEG, its day, words for who cannot see it, and the border.

    ``mark`` is a place that a person pointed at, for a sample say [px].
    """

    jpeg: bytes
    label: str
    alt: str
    outline: Points | None  # [px] of the square
    mark: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Pictures:
    """Aligned photos at one scale. ``shown`` are on the page; a screen may turn to the others."""

    frames: tuple[Frame, ...]
    shown: tuple[int, ...]
    side_px: int
    mm_per_px: float
    caption: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing with its caption and words for who cannot see it."""

    drawing: Drawing
    caption: str
    alt: str


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of words under headings; the first cell of a row names it. ``widths`` are shares [1]."""

    caption: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    small: bool = False


@dataclass(frozen=True, slots=True)
class Patch:
    """Colours of one visit as sRGB codes, with their numbers in words."""

    name: str
    spot: tuple[int, int, int]
    skin: tuple[int, int, int]
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Patches:
    """Colour patches of every visit."""

    caption: str
    headings: tuple[str, ...]
    items: tuple[Patch, ...]


Block: TypeAlias = Paragraph | Lines | Facts | Statements | Pictures | Figure | Table | Patches


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what belongs under it; ``new_page``: not on the first page."""

    title: str
    blocks: tuple[Block, ...]
    new_page: bool = False


@dataclass(frozen=True, slots=True)
class Document:
    """A whole report. ``caution`` says what it is not: at the top, and below every page."""

    title: str
    subtitle: str
    caution: str
    short_caution: str
    program: str
    made: datetime
    sections: tuple[Section, ...]
    language: str = "en"


def plain(words: object) -> str:
    """Words on one line without signs that print nothing or turn the way others are read."""
    kept = "".join(c if c.isprintable() else " " for c in str(words))
    return " ".join(kept.split())


def blocks_of(document: Document, kind: type) -> Sequence[Block]:
    """Every block of one kind, in order."""
    return [b for section in document.sections for b in section.blocks if isinstance(b, kind)]
