"""Numbers as they are written: no more digits than their error allows."""

from math import expm1, floor, isfinite, log10

from lesioncompare.quantity import Quantity
from lesioncompare.records import Change
from lesioncompare.terms import CHANGES, Verdict

SIGNS = {
    Verdict.SAME: "●",
    Verdict.CHANGED: "■",
    Verdict.UNCONFIRMED: "○",
    Verdict.UNKNOWN: "□",
}  # the marks of the curves; shapes, so that they print in grey
NONE = "–"
MINUS = "\N{MINUS SIGN}"


def decimals(spread: float) -> int:
    """Decimals that show a spread with two digits where it starts with 1 or 2, else with one."""
    if not isfinite(spread) or spread <= 0:
        return 2
    power = floor(log10(spread))
    leading = spread / 10.0**power
    return max(0, min(4, -power + (1 if leading < 2.95 else 0)))


def with_interval(quantity: Quantity | None, *, times: float = 1.0, share: bool = False) -> str:
    """The value, and on a second line its 95 % interval: "8.05" above "7.6…8.5"."""
    if quantity is None:
        return NONE
    value, low, high = (times * v for v in (quantity.value, quantity.low, quantity.high))
    places = decimals((high - low) / 4)
    if share:
        low, high = max(low, 0.0), min(high, times)
    words = [figure(v, places) for v in (value, low, high)]
    return f"{words[0]}\n{words[1]}…{words[2]}"


def with_verdict(change: Change | None) -> str:
    """A difference from the baseline with its 95 % interval and the mark of its verdict."""
    if change is None:
        return NONE
    value, low, high = change.difference, change.low, change.high
    if CHANGES[change.measure].relative:
        value, low, high = (100 * expm1(f) for f in (value, low, high))
    places = decimals((high - low) / 4)
    sign = "" if change.measure == "colour_de00" else "+"
    words = [figure(v, places, sign) for v in (value, low, high)]
    return f"{SIGNS[change.verdict]} {words[0]}\n{words[1]}…{words[2]}"


def figure(value: float, places: int, sign: str = "") -> str:
    """A number with a true minus sign, and no sign before a nought."""
    words = f"{value:{sign}.{places}f}"
    return words.lstrip("+-") if float(words) == 0 else words.replace("-", MINUS)


def detectable(change: Change | None) -> str:
    """The smallest change that a visit could have shown."""
    if change is None:
        return NONE
    seen = change.smallest_detectable
    if CHANGES[change.measure].relative:
        return f"{100 * expm1(seen):.0f}"
    return f"{seen:.{decimals(seen)}f}"
