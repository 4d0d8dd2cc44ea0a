"""The truth about a practice item and what the program measured, in plain words."""

from lesioncompare.teach.practice import cases
from lesioncompare.teach.practice.album import Item

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


def measured_words(item: Item, number: int = -1) -> str:
    """What the program measured on one of the later photos, the last one if not said otherwise.

    Of spots that grew or stayed it is the area with its interval, of others what was noticed.
    """
    measured = item.measured[number]
    if not measured.usable:
        return " ".join((NOT_READ, *measured.says[:1]))
    if measured.changed and item.kind not in {cases.SIZE, cases.SAME} and measured.says:
        return measured.says[0]
    if measured.ratio is None:
        return NO_AREA
    middle, low, high = (_signed(ratio) for ratio in measured.ratio)
    return f"Measured area: {middle} % (95 % interval {low} to {high} %)."


def _signed(ratio: float) -> str:
    """A change of area in whole percent, such as "+20", "−3" or "0"."""
    percent = round(100 * (ratio - 1))
    return f"{percent:+d}".replace("-", "−") if percent else "0"
