"""The truth about a practice item and what the program measured, in plain words."""

from lesioncompare.teach.practice import cases
from lesioncompare.teach.practice.album import Item, Measured

SAME_TRUTH = "The spot stayed as it was. Only light, slant and distance differ."
NOT_READ = "The program could not read this photo."
NO_AREA = "The program could not tell the size."


def truth_words(item: Item) -> str:
    """What truly happened from the first photo to the last one."""
    amount = item.amounts[-1]
    percent = round(100 * (item.area_ratios[-1] - 1))
    grown = (
        f"The spot has grown: its area is {percent} % larger, its length went from "
        f"{item.true_longest_mm[0]:.1f} to {item.true_longest_mm[-1]:.1f} mm."
    )
    paler = round(100 * (1 - amount))
    return {
        cases.SAME: SAME_TRUTH,
        cases.SIZE: grown,
        cases.BORDER: "The border has become ragged; the area stayed as it was.",
        cases.COLOUR: f"The spot has become paler, by {paler} % of its contrast.",
        cases.SORE: f"A raw, sore place of {amount:g} mm has opened in the spot.",
        cases.NEW: f"A new spot of {amount:g} mm has come beside it.",
    }[item.kind]


def measured_words(measured: Measured) -> str:
    """What the program measured on a later photo against the first, with its interval."""
    if not measured.usable:
        return " ".join((NOT_READ, *measured.says[:1]))
    if measured.ratio is None:
        return NO_AREA
    middle, low, high = (round(100 * (ratio - 1)) for ratio in measured.ratio)
    return f"Measured area: {middle:+d} % (95 % interval {low:+d} to {high:+d} %)."
