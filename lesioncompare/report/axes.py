"""Where the ticks of an axis go, and how they are written."""

from datetime import date, timedelta
from math import ceil, floor, log10

from lesioncompare.terms import short_day

MOST_DATES = 7  # [1] ticks of a time axis
DAY_STEPS = (1, 2, 7, 14, 28)  # [days]
MONTH_STEPS = (1, 2, 3, 6, 12, 24, 60)  # [months]


def value_ticks(low: float, high: float, *, most: int = 4) -> list[float]:
    """Round values between two ends, at most ``most`` + 1 of them."""
    if not high > low:
        return [low]
    raw = (high - low) / most
    power = 10.0 ** floor(log10(raw))
    step = next(power * times for times in (1, 2, 5, 10) if power * times >= raw * (1 - 1e-9))
    return [step * k for k in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1)]


def date_ticks(first: date, last: date) -> list[date]:
    """Days to mark between two dates: every few days from the first, or starts of months."""
    days = (last - first).days
    for step in DAY_STEPS:
        if days / step < MOST_DATES:
            return [first + timedelta(days=k) for k in range(0, days + 1, step)]
    for step in MONTH_STEPS:
        found = _month_starts(first, last, step)
        if len(found) <= MOST_DATES:
            return found
    return found


def _month_starts(first: date, last: date, step: int) -> list[date]:
    months = range(first.year * 12 + first.month - 1, last.year * 12 + last.month)
    starts = (date(m // 12, m % 12 + 1, 1) for m in months if m % 12 % min(step, 12) == 0)
    every = max(step // 12, 1)
    return [s for s in starts if first <= s <= last and (step < 12 or s.year % every == 0)]


def date_words(days: list[date]) -> list[str]:
    """Such as "5 Apr 26", the year only where it is new."""
    words, year = [], None
    for day in days:
        short, its_year = short_day(day).rsplit(" ", 1)
        words.append(short if day.year == year else f"{short} {its_year[-2:]}")
        year = day.year
    return words
