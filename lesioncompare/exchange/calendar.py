"""A weekly appointment as a calendar file that any calendar takes in.

References
----------
Desruisseaux B (2009) Internet Calendaring and Scheduling Core Object Specification (iCalendar),
RFC 5545.
"""

import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from icalendar import Alarm, Calendar, Event

from lesioncompare import __version__
from lesioncompare.errors import SettingsError

WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
LENGTH = timedelta(minutes=10)
BEFORE = timedelta(minutes=-15)
MOST_WEEKS = 520
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")


@dataclass(frozen=True, slots=True)
class Appointment:
    """A weekly appointment. Monday is 0; ``clock`` is like "18:30".

    A later file with the same ``uid`` and a larger ``changed`` replaces it. ``summary`` is its
    title: give no names that others should not see. It begins on the first such weekday from
    ``start`` on and comes ``count`` times.
    """

    uid: str
    summary: str
    weekday: int
    clock: str
    start: date
    count: int = 52
    changed: int = 0

    def __post_init__(self) -> None:
        parse_clock(self.clock)
        if self.weekday not in range(7) or not 1 <= self.count <= MOST_WEEKS:
            raise SettingsError(
                "That is not a weekly appointment.",
                f"Choose a weekday and 1 to {MOST_WEEKS} weeks.",
            )

    @property
    def first(self) -> datetime:
        """When it falls for the first time, on whatever clock hangs on the wall."""
        ahead = (self.weekday - self.start.weekday()) % 7
        return datetime.combine(self.start + timedelta(days=ahead), parse_clock(self.clock))


def calendar_file(appointment: Appointment, now: datetime) -> bytes:
    """An iCalendar file with the appointment in floating local time, made at ``now`` (aware).

    Floating means: at that time of the clock wherever the phone is, daylight saving or not. It
    needs no time zone and says nothing of where people live.
    """
    weekly = {"freq": "weekly", "byday": WEEKDAYS[appointment.weekday], "count": appointment.count}
    event = Event()
    event.add("uid", appointment.uid)
    event.add("dtstamp", now)
    event.add("dtstart", appointment.first)
    event.add("duration", LENGTH)
    event.add("rrule", weekly)
    event.add("sequence", appointment.changed)
    event.add("transp", "TRANSPARENT")
    event.add("summary", appointment.summary)
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", BEFORE)
    alarm.add("description", appointment.summary)
    event.add_component(alarm)
    calendar = Calendar()
    calendar.add("prodid", f"-//lesioncompare//{__version__}//EN")
    calendar.add("version", "2.0")
    calendar.add_component(event)
    return bytes(calendar.to_ical())


def parse_clock(text: str) -> time:
    """A time of the clock such as 18:30.

    Raises
    ------
    SettingsError
        When it is none.
    """
    found = _CLOCK.fullmatch(text.strip())
    if found is None:
        raise SettingsError(f"“{text}” is not a time.", "Write it like 18:30.")
    return time(int(found[1]), int(found[2]))
