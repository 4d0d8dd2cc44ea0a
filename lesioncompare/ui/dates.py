"""Dates in words."""

from datetime import date, datetime

from lesioncompare.ui.texts import DATES


def on_day(day: date) -> str:
    """Such as "4 November 2026"."""
    return f"{day.day} {DATES['months'][day.month - 1]} {day.year}"


def short_day(day: date) -> str:
    """Such as "4 Nov 26"."""
    return f"{day.day} {DATES['months'][day.month - 1][:3]} {day.year % 100:02d}"


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
