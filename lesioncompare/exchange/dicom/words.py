"""Codes, identifiers and text as DICOM wants them."""

import uuid
from datetime import datetime

from pydicom.dataset import Dataset
from pydicom.sr.coding import Code
from pydicom.uid import UID

from lesioncompare.terms import Part, Site

SPECIES = Code("448169003", "SCT", "Felis catus")
LESION = Code("52988006", "SCT", "Lesion")  # says nothing about its nature
IMAGING = Code("363679005", "SCT", "Imaging procedure")
COMMENT = Code("121106", "DCM", "Comment")
UNCERTAINTIES = {"371886008", "371885007"}  # SCT: + and - range of measurement uncertainty
UNITS = {
    "mm": Code("mm", "UCUM", "millimeter"),
    "mm²": Code("mm2", "UCUM", "square millimeter"),
}
MEASURED = {
    "area": Code("42798000", "SCT", "Area"),
    "longest_diameter": Code("103339001", "SCT", "Long axis"),
    "perpendicular_diameter": Code("103340004", "SCT", "Short axis"),
    "perimeter": Code("131191004", "SCT", "Perimeter"),
}
HEAD = Code("69536005", "SCT", "Head")
REGIONS = {  # DICOM PS3.16 CID 4029, 8134
    (Part.NOSE, None): Code("113179006", "SCT", "Skin of nose"),
    (Part.EAR, None): Code("28347008", "SCT", "External ear"),
    (Part.EYELID, None): Code("80243003", "SCT", "Eyelid"),
    (Part.EYELID, "upper"): Code("41310005", "SCT", "Skin of upper eyelid"),
    (Part.EYELID, "lower"): Code("40069000", "SCT", "Skin of lower eyelid"),
    (Part.LIP, None): Code("48477009", "SCT", "Lip"),
    (Part.LIP, "upper"): Code("16251004", "SCT", "Skin of upper lip"),
    (Part.LIP, "lower"): Code("66934001", "SCT", "Skin of lower lip"),
    (Part.GUM, None): Code("113277000", "SCT", "Oral mucosa"),
    (Part.GUM, "upper"): Code("245814000", "SCT", "Mucosa of maxillary gingiva"),
    (Part.GUM, "lower"): Code("245823002", "SCT", "Mucosa of mandibular gingiva"),
}
SIDES = {"left": "L", "right": "R", None: "U"}
LONGEST = 62  # [B]; VR LO and PN take 64, with separator and padding (PS3.5 table 6.2-1)

_OURS = uuid.UUID("6a6f6c0e-1f57-4c55-9d5b-6f2c9a0d4f1b")


def uid(*parts: str) -> UID:
    """The identifier of something, the same each time (PS3.5 B.2: 2.25 and a UUID)."""
    return UID(f"2.25.{uuid.uuid5(_OURS, chr(0).join(parts)).int}")


def region(site: Site | None) -> Code:
    """The place on the body."""
    return HEAD if site is None else REGIONS[site.part, site.level]


def person(family: str, given: str = "") -> str:
    """A name of VR PN; of an animal, its keeper's name and its own (PS3.5, 6.2.1.1)."""
    parts = [_short(text(part), LONGEST // 2) for part in (family, given)]
    return "^".join(parts) if any(parts) else ""


def _short(words: str, longest: int) -> str:
    """The words cut to a number of bytes: some readers count bytes where signs are meant."""
    return words.encode()[:longest].decode("utf-8", "ignore").strip()


def text(words: str) -> str:
    """Words typed by a person, without what has a meaning of its own in DICOM."""
    plain = "".join(sign if sign.isprintable() and sign not in "\\^=" else " " for sign in words)
    return _short(" ".join(plain.split()), LONGEST)


def item(code: Code) -> Dataset:
    """A code as an item of a sequence."""
    data = Dataset()
    data.CodeValue, data.CodingSchemeDesignator = code.value, code.scheme_designator
    data.CodeMeaning = code.meaning
    return data


def day(when: datetime | None) -> str:
    """VR DA."""
    return when.strftime("%Y%m%d") if when else ""


def clock(when: datetime | None) -> str:
    """VR TM."""
    return when.strftime("%H%M%S") if when else ""
