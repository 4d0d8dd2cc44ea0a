"""The weekly appointment, read back by other readers than the one that wrote it."""

import re
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
import recurring_ical_events
from dateutil.rrule import rrulestr
from icalendar import Calendar

from lesioncompare.errors import SettingsError
from lesioncompare.exchange.calendar import Appointment, calendar_file

NOW = datetime(2026, 10, 5, 9, 30, tzinfo=UTC)
WEEKLY = Appointment("a1@lesioncompare", "Photo of the spot", 6, "18:30", date(2026, 10, 6))
GERMAN = Appointment(
    "ü",
    "Größenvergleich: " + "sehr langer Titel; mit Kommas, " * 6,
    0,
    "7:05",
    date(2026, 1, 1),
    3,
    2,
)


def content_lines(file: bytes) -> list[tuple[str, str]]:
    """Lines unfolded by the rule of RFC 5545, section 3.1, and split at the first colon."""
    text = file.decode()
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    unfolded = re.sub(r"\r\n[ \t]", "", text)
    return [tuple(line.split(":", 1)) for line in unfolded.rstrip("\r\n").split("\r\n")]


class TestCalendarFile:
    def test_it_is_a_whole_calendar_by_the_letter_of_the_standard(self) -> None:
        lines = content_lines(calendar_file(WEEKLY, NOW))
        assert lines[0] == ("BEGIN", "VCALENDAR")
        assert lines[-1] == ("END", "VCALENDAR")
        known = dict(lines)
        assert known["VERSION"] == "2.0"
        assert known["DTSTAMP"] == "20261005T093000Z"
        assert known["DTSTART"] == "20261011T183000"  # floating: no Z, no TZID
        assert known["TRIGGER"] == "-PT15M"
        assert not any(name.startswith(("TZ", "BEGIN:VTIMEZONE")) for name, _ in lines)
        depth = 0
        for name, _ in lines:
            depth += {"BEGIN": 1, "END": -1}.get(name, 0)
            assert depth >= 0
        assert depth == 0

    @pytest.mark.parametrize("appointment", [WEEKLY, GERMAN])
    def test_no_line_is_longer_than_75_octets(self, appointment) -> None:
        """RFC 5545, section 3.1."""
        for line in calendar_file(appointment, NOW).split(b"\r\n"):
            assert len(line) <= 75
            line.decode()  # never folded within a character

    def test_dateutil_finds_the_same_days(self) -> None:
        """The recurrence rules of dateutil are an implementation of their own."""
        known = dict(content_lines(calendar_file(WEEKLY, NOW)))
        start = datetime.strptime(known["DTSTART"], "%Y%m%dT%H%M%S")  # noqa: DTZ007  floating
        found = list(rrulestr(known["RRULE"], dtstart=start))
        assert len(found) == 52
        assert found[0].date() == date(2026, 10, 11)
        assert {day.weekday() for day in found} == {6}
        assert {b - a for a, b in pairwise(found)} == {timedelta(days=7)}

    def test_it_keeps_its_hour_when_the_clocks_change(self) -> None:
        """Europe puts its clocks back on 25 October 2026, between the 3rd and the 4th time."""
        calendar = Calendar.from_ical(calendar_file(WEEKLY, NOW))
        events = recurring_ical_events.of(calendar).between((2026, 10, 1), (2026, 11, 9))
        hours = {
            event["DTSTART"].dt.replace(tzinfo=ZoneInfo("Europe/Berlin")).hour for event in events
        }
        assert (len(events), hours) == (5, {18})

    def test_words_come_back_as_they_were(self) -> None:
        event = Calendar.from_ical(calendar_file(GERMAN, NOW)).walk("VEVENT")[0]
        assert str(event["SUMMARY"]) == GERMAN.summary
        assert str(event["UID"]) == "ü"
        assert int(event["SEQUENCE"]) == 2
        assert event.errors == []

    @pytest.mark.parametrize("weekday", range(7))
    def test_it_begins_within_a_week_on_that_weekday(self, weekday) -> None:
        first = Appointment("u", "s", weekday, "8:00", date(2026, 10, 7)).first.date()
        assert first.weekday() == weekday
        assert 0 <= (first - date(2026, 10, 7)).days < 7

    @pytest.mark.parametrize(
        "wrong", [{"clock": "25:00"}, {"clock": ""}, {"clock": "8"}, {"weekday": 7}, {"count": 0}]
    )
    def test_an_impossible_appointment_is_refused(self, wrong) -> None:
        usual = {"weekday": 0, "clock": "8:00", "count": 1, **wrong}
        with pytest.raises(SettingsError):
            Appointment("u", "s", start=date(2026, 1, 1), **usual)
