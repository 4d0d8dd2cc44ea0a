"""The words of a report: a headline made of the findings, what it is not, how it came about."""

from lesioncompare.records import Series
from lesioncompare.terms import Level

CAUTION = (
    "Measurements of pictures, not a diagnosis. “No change measured” says nothing about health. "
    "A sore that does not heal within days, bleeds, or crusts again, or a spot that is raised, "
    "goes to the vet whatever these numbers say. Only a biopsy tells what a spot is."
)
SHORT_CAUTION = "Measurements of pictures, not a diagnosis; no word on the nature of the spot."
LEVEL_WORDS = {
    Level.NOTE: "Note",
    Level.DOUBT: "Weaker than usual",
    Level.RETAKE: "Photo to be taken again",
    Level.WATCH: "Look again",
    Level.SHOW: "To be examined",
    Level.NOW: "To be examined without delay",
}
RULERS = {
    "printed": (
        "A printed sticker of known size lies beside the spot: its edges give millimetres, its "
        "grey fields give steady colour in linear light."
    ),
    "round": (
        "A round dot of known diameter lies beside the spot: its rim gives millimetres. Nothing "
        "on it steadies colour; the photo’s own colours are compared with the skin beside the spot."
    ),
}
LAID_OVER = (
    "Each photo is laid over the first one by the skin outside the spot; that skin is a second "
    "ruler, and both are weighed by inverse variance where visits are compared."
)
MEASURED = (
    (
        "The border runs where the spot covers one half in linear reflectance; sizes are measured "
        "in each photo’s own plane. A border drawn by a person is kept as drawn and marked."
    ),
    (
        "Every number carries its parts of error (scale, plane, tilt, border, colour). Intervals "
        "are 95 %; what all photos share cancels in a difference and is not counted."
    ),
)
BORDER = (
    "Border irregularity is the area of the border’s bays and of the lobes between them over the "
    "area of the spot; 0 for a border without bays."
)
COMPARED = (
    "A change is stated when photos of one visit, two visits running, the control chart (EWMA) "
    "or a steady line confirm it; one odd visit only asks for another photo."
)
COLOUR_COMPARED = (
    "The change of colour, a distance in ΔE00, has no chart and no line: photos of one visit, or "
    "two visits running, that lie in one direction confirm it."
)
LIMITS = (
    (
        "A photo shows the surface: no depth, no thickness, nothing under skin or crust. It stages "
        "nothing."
    ),
    "Less than the smallest detectable change of a visit could not have been seen.",
    "Millimetres rest on the sticker lying in the plane of the spot; changes rest less on it.",
    "Colours are those of the spot against the skin beside it; flushed or pale skin moves them.",
    (
        "Flat dark spots on lips, nose, gums and lids of orange, tortoiseshell and calico cats "
        "grow and multiply in many animals: growth alone is weak evidence there."
    ),
)
VIEWER = {
    "title": "Compare any two photos",
    "earlier": "Earlier",
    "later": "Later",
    "show": "How to show them",
    "side": "Side by side",
    "divided": "Divided by a line",
    "turns": "One after the other",
    "difference": "Difference in mm",
    "line": "Dividing line",
    "play": "Start turning",
    "stop": "Stop turning",
    "swap": "Show the other",
    "nearer": "Zoom in",
    "farther": "Zoom out",
    "whole": "Whole picture",
    "outlines": "Borders",
    "ruler": "Ruler",
    "ruler_end": "End of the ruler; arrow keys move it",
    "mark": "Mark a place",
    "mark_how": "Touch the place on a picture.",
    "no_outline": "One of the two has no border to compare.",
    "up_to": "up to {mm} mm",
    "beyond": "beyond {mm} mm",
    "moved": "The border moved outward by at most {out} mm (hatched) and inward by at most {in} mm "
    "(dotted), as laid over each other; the area inside it went from {from} to {to} mm². Measured "
    "sizes with their errors are in the tables.",
}


def headline(series: Series) -> str:
    """Place, dates and every finding in the keeper's words, the most pressing first."""
    site = f"{series.site.keeper}".capitalize() if series.site else "Spot"
    dated = [r.photo.taken.date() for r in series.readings if r.photo.taken]
    span = f", {min(dated)} to {max(dated)}" if dated else ""
    count = sum(r.usable for r in series.readings)
    lines = [f"{site}{span}: {count} of {len(series.readings)} photos could be used."]
    lines += [f"{finding.says} {finding.do}" for finding in series.findings]
    return "\n".join(lines)


def method(series: Series) -> tuple[str, ...]:
    """How the numbers came about, of what was used and done in this series only."""
    used = {r.sticker.kind for r in series.readings if r.sticker}
    rulers = [words for kind, words in RULERS.items() if kind in used]
    measured = [r.measurement.quantities for r in series.readings if r.measurement]
    border = [BORDER] if any("border_irregularity" in found for found in measured) else []
    if not series.changes:
        return (*rulers, *MEASURED, *border)
    colour = [COLOUR_COMPARED] if "colour_de00" in series.changes else []
    return (*rulers, LAID_OVER, *MEASURED, *border, COMPARED, *colour)
