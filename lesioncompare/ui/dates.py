"""Dates in words."""

from datetime import date, datetime

from lesioncompare import terms
from lesioncompare.ui.texts import DATES


def on_day(day: date) -> str:
    """Such as "4 November 2026"."""
    return terms.long_day(day)


def short_day(day: date) -> str:
    """Such as "4 Nov 26"."""
    words, year = terms.short_day(day).rsplit(" ", 1)
    return f"{words} {year[-2:]}"


def from_today(day: date, today: date) -> str:
    """Such as "today", "3 days ago" or "in 4 days"."""
    days = (day - today).days
    near = {0: DATES["today"], -1: DATES["yesterday"], 1: DATES["tomorrow"]}
    if days in near:
        return str(near[days])
    words = DATES["days_ago"] if days < 0 else DATES["in_days"]
    return str(words).format(days=abs(days))


def local_day(moment: datetime) -> date:
    """The day on this computer's calendar, or as it stands where the zone is not known."""
    return (moment.astimezone() if moment.tzinfo else moment).date()
