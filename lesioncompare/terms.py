"""The words of the trade: sites, levels and the names and units of the measures."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from lesioncompare.errors import SettingsError


class Part(StrEnum):
    """A part of the head where sun-exposed or pigmented skin is photographed."""

    NOSE = "nose"
    EAR = "ear"
    EYELID = "eyelid"
    LIP = "lip"
    GUM = "gum"


KEEPER_PART = {
    Part.NOSE: "nose",
    Part.EAR: "ear tip",
    Part.EYELID: "eyelid",
    Part.LIP: "lip",
    Part.GUM: "gum",
}
VET_PART = {
    Part.NOSE: "nasal planum",
    Part.EAR: "pinna",
    Part.EYELID: "eyelid margin",
    Part.LIP: "lip",
    Part.GUM: "gingiva",
}


@dataclass(frozen=True, slots=True)
class Site:
    """A photographed place: a part, and where it matters its jaw or lid and its side.

    ``side`` is the cat's own left or right.
    """

    part: Part
    side: str | None = None  # "left" | "right"
    level: str | None = None  # "upper" | "lower"

    def __str__(self) -> str:
        return "-".join(word for word in (self.part, self.level, self.side) if word)

    @property
    def keeper(self) -> str:
        """What a keeper calls it: "left ear tip"."""
        return " ".join(w for w in (self.side, self.level, KEEPER_PART[self.part]) if w)

    @property
    def vet(self) -> str:
        """What a vet calls it: "left pinna"."""
        return " ".join(w for w in (self.side, self.level, VET_PART[self.part]) if w)

    @property
    def opposite(self) -> "Site | None":
        """The same place on the other side, if the site has a side."""
        if self.side is None:
            return None
        return Site(self.part, "right" if self.side == "left" else "left", self.level)


def parse_site(text: str) -> Site:
    """Read a site from words such as ``nose``, ``ear-left`` or ``eyelid-upper-left``.

    Raises
    ------
    SettingsError
        When a word is not one of ours.
    """
    part, *rest = text.strip().lower().split("-")
    sides = [w for w in rest if w in {"left", "right"}]
    levels = [w for w in rest if w in {"upper", "lower"}]
    known = part in {p.value for p in Part} and len(sides) + len(levels) == len(rest)
    if not known or len(sides) > 1 or len(levels) > 1:
        raise SettingsError(
            f"“{text}” is not a site.",
            "Use nose, ear-left, ear-right, or eyelid, lip or gum with upper or lower and left "
            "or right, such as eyelid-upper-left.",
        )
    return Site(Part(part), sides[0] if sides else None, levels[0] if levels else None)


class Level(StrEnum):
    """How much a sentence matters. Words, never colours."""

    NOTE = "note"  # good to know
    DOUBT = "doubt"  # the numbers are weaker than usual
    RETAKE = "retake"  # this photo cannot be used: take it again
    WATCH = "watch"  # a change that was measured: look again
    SHOW = "show"  # show it to the vet
    NOW = "now"  # ring the vet now


class Verdict(StrEnum):
    """What a comparison can say of one measure. Deliberately nothing about health."""

    SAME = "no change measured"
    CHANGED = "changed"
    UNCONFIRMED = "odd once, not confirmed"
    UNKNOWN = "cannot tell"


@dataclass(frozen=True, slots=True)
class MeasureTerm:
    """A measure's fixed name, unit and words."""

    name: str
    unit: str
    keeper: str
    vet: str
    relative: bool  # sizes: judged as ratios, on the logarithm


MEASURES: dict[str, MeasureTerm] = {
    term.name: term
    for term in (
        MeasureTerm("area", "mm²", "size (area)", "area", True),
        MeasureTerm("longest_diameter", "mm", "length", "longest diameter", True),
        MeasureTerm("perpendicular_diameter", "mm", "width", "greatest perpendicular", True),
        MeasureTerm("equivalent_diameter", "mm", "as a round dot", "equivalent diameter", True),
        MeasureTerm("perimeter", "mm", "length of the edge", "perimeter", True),
        MeasureTerm("circularity", "1", "roundness", "circularity 4πA/P²", False),
        MeasureTerm("solidity", "1", "fullness", "solidity", False),
        MeasureTerm(
            "border_irregularity", "1", "roughness of the edge", "border irregularity", False
        ),
        MeasureTerm("edge_width", "mm", "softness of the edge", "edge width (10–90 %)", False),
        MeasureTerm("asymmetry", "1", "lopsidedness", "asymmetry about principal axes", False),
        MeasureTerm("contrast_de00", "ΔE00", "contrast with the skin", "spot–skin ΔE00", False),
        MeasureTerm("density_red", "1", "darkness in red", "red density over skin", False),
        MeasureTerm("density_green", "1", "darkness in green", "green density over skin", False),
        MeasureTerm("density_blue", "1", "darkness in blue", "blue density over skin", False),
        MeasureTerm("darkness", "1", "darkness", "luminance density over skin", False),
        MeasureTerm("redness", "1", "redness", "red–green density over skin", False),
        MeasureTerm("variegation", "ΔE00", "mix of colours", "variegation inside", False),
        MeasureTerm("raw_red_fraction", "1", "raw red share", "raw red fraction", False),
        MeasureTerm(
            "crust_fraction", "1", "crust-coloured share", "crust-coloured fraction", False
        ),
        MeasureTerm("glint_fraction", "1", "wet glints", "specular fraction", False),
        MeasureTerm("roughness", "1", "rough surface", "roughness, 0.2–1 mm", False),
        MeasureTerm("broken_pigment", "1", "broken pigment", "broken pigment fraction", False),
    )
}
CHANGES: dict[str, MeasureTerm] = {
    **MEASURES,
    "colour_de00": MeasureTerm(
        "colour_de00", "ΔE00", "change of colour", "ΔE00 from the baseline, over skin", False
    ),
}  # what compare() follows: the measures, and colour as a distance
_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)  # whatever the language of the computer


def long_day(day: date) -> str:
    """Such as "5 April 2026"."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def short_day(day: date) -> str:
    """Such as "5 Apr 2026"."""
    return f"{day.day} {_MONTHS[day.month - 1][:3]} {day.year}"
