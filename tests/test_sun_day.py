"""The sun on the clock of a place: daylight saving, polar days, and what outings take of it."""

from datetime import date, datetime, time, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from pvlib import solarposition

from lesioncompare.errors import SettingsError
from lesioncompare.teach.day import CUSTOM, sun_day
from lesioncompare.teach.outings import Outing, choices, parse_outing, share_of
from lesioncompare.teach.place import Place
from lesioncompare.teach.year import sun_year

REFERENCES = Path(__file__).parent / "references"
BERLIN = Place(52.5, 13.4, "Europe/Berlin")
SYDNEY = Place(-33.9, 151.2, "Australia/Sydney")
LONGYEARBYEN = Place(78.2, 15.6, "Arctic/Longyearbyen")
MINUTE = timedelta(minutes=1)


def minutes(span: tuple[datetime, datetime]) -> float:
    return (span[1] - span[0]) / MINUTE


class TestSunDay:
    def test_rise_noon_and_set_of_the_worked_example(self) -> None:
        """Reda and Andreas, NREL/TP-560-34302: 06:12:43, 11:46:05, 17:20:19."""
        lines = (REFERENCES / "solar_position.csv").read_text().splitlines()
        known = dict(line.split(",") for line in lines if not line.startswith("#"))
        place = Place(float(known["latitude_deg"]), float(known["longitude_deg"]), "Etc/GMT+7")
        day = sun_day(place, date(2003, 10, 17))
        (rise, down), noon = day.daylight[0], day.noon
        for seen, what in ((rise, "sunrise"), (noon, "transit"), (down, "sunset")):
            at = datetime.combine(day.day, time.fromisoformat(known[what]), seen.tzinfo)
            assert abs(seen - at) < 1.5 * MINUTE  # whole minutes here, refraction is a mean one

    @pytest.mark.parametrize("place", [BERLIN, SYDNEY, Place(1.3, 103.8, "Asia/Singapore")])
    @pytest.mark.parametrize("day", [date(2026, 3, 20), date(2026, 6, 21), date(2026, 12, 21)])
    def test_daylight_as_an_independent_library_has_it(self, place, day) -> None:
        """The sunrise and sunset of pvlib (SPA)."""
        midnight = pd.DatetimeIndex([pd.Timestamp(day.isoformat(), tz=place.zone)])
        known = solarposition.sun_rise_set_transit_spa(
            midnight, place.latitude_deg, place.longitude_deg
        ).iloc[0]
        rise, down = sun_day(place, day).daylight[0]
        assert abs(rise - known["sunrise"]) < 1.5 * MINUTE
        assert abs(down - known["sunset"]) < 1.5 * MINUTE

    def test_noon_jumps_by_an_hour_when_the_clock_does(self) -> None:
        """Europe put its clocks forward on 29 March 2026, between 1:00 and 1:00 UTC."""
        before, after = (sun_day(BERLIN, date(2026, 3, d)).noon for d in (28, 30))
        step = after.replace(tzinfo=None) - before.replace(tzinfo=None) - timedelta(days=2)
        assert abs(step - timedelta(hours=1)) < 2 * MINUTE

    @pytest.mark.parametrize(
        ("zone", "day", "count", "hours"),
        [
            ("Europe/Berlin", date(2026, 3, 29), 23 * 60, 23),
            ("Europe/Berlin", date(2026, 10, 25), 25 * 60, 25),
            ("Australia/Lord_Howe", date(2026, 4, 5), 24 * 60 + 30, 25),  # put back by half an hour
            ("Asia/Beirut", date(2026, 3, 29), 23 * 60, 23),  # midnight itself is left out
            ("Europe/Berlin", date(2026, 6, 1), 24 * 60, 24),
        ],
    )
    def test_a_day_has_as_many_hours_as_its_clock_shows(self, zone, day, count, hours) -> None:
        seen = sun_day(Place(40, 15, zone), day)
        assert len(seen.index) == count
        shown = list(seen.hours())
        assert len(shown) == hours
        assert sum(hour.share for hour in shown) == pytest.approx(1)

    def test_strong_hours_and_short_shadow_fit_the_sun(self) -> None:
        """UV index 3 needs the sun at 33.7 degrees at 300 DU, a short shadow 45 degrees."""
        day = sun_day(Place(52.5, 13.4, "Europe/Berlin", ozone_du=300), date(2026, 6, 21))
        above = lambda limit: (day.elevation_deg > limit).sum()  # noqa: E731
        assert minutes(day.strong[0]) == pytest.approx(above(33.7), abs=3)
        assert minutes(day.short_shadow[0]) == above(45)

    def test_the_custom_of_ten_to_four_fits_neither_madrid_nor_december(self) -> None:
        """Madrid's clock runs 2 h 15 min before the sun in summer; by longitude, 4 min a degree."""
        madrid = sun_day(Place(40.4, -3.7, "Europe/Madrid"), date(2026, 6, 21))
        assert madrid.noon.time() > time(14)
        assert madrid.strong[0][1].time() > time(18)
        assert 1 - madrid.share(madrid.between(*CUSTOM)) > 0.2
        assert sun_day(BERLIN, date(2026, 12, 21)).strong == ()

    def test_three_quarters_of_a_summer_day_fall_between_nine_and_three_by_the_sun(self) -> None:
        """Diffey's often quoted share for summer (75 % from 9 to 15 h sun time), from memory."""
        day = sun_day(Place(40, 0, "Etc/GMT"), date(2026, 6, 21))
        assert day.share(day.between(time(9), time(15))) == pytest.approx(0.75, abs=0.06)
        assert 0.2 < day.share(day.between(time(11), time(13))) < 0.34

    def test_polar_night_and_polar_day_are_days_like_others(self) -> None:
        night, light = (sun_day(LONGYEARBYEN, date(2026, m, 21)) for m in (12, 6))
        assert (night.daylight, night.peak, night.dose) == ((), 0, 0)
        assert night.share(night.between(time(10), time(16))) == 0
        assert minutes(light.daylight[0]) == 24 * 60
        assert light.strong == ()  # up all day, and never high

    def test_without_a_zone_the_clock_follows_the_sun(self) -> None:
        noon = sun_day(Place(10, -100), date(2026, 4, 15)).noon
        assert noon.utcoffset() == timedelta(hours=-7)
        assert abs(noon.hour * 60 + noon.minute - 720) <= 31

    @pytest.mark.parametrize(
        "wrong",
        [
            {"latitude_deg": 91},
            {"longitude_deg": 200},
            {"zone": "Mars/Base"},
            {"zone": "../etc/passwd"},
            {"altitude_m": 9000},
            {"ozone_du": 3},
        ],
    )
    def test_an_impossible_place_is_refused_in_two_sentences(self, wrong) -> None:
        with pytest.raises(SettingsError) as refused:
            Place(**{"latitude_deg": 0, "longitude_deg": 0, **wrong})
        assert refused.value.what.endswith(".")
        assert refused.value.advice.endswith(".")


class TestSunYear:
    def test_the_strong_season_is_summer_on_either_hemisphere(self) -> None:
        north, south = (sun_year(place, 2026) for place in (BERLIN, SYDNEY))
        assert date(2026, 1, 1) not in north.strong_days
        assert date(2026, 1, 1) in south.strong_days
        assert north.index[26].max() > 6 > south.index[26].max()  # the week of 2 July

    def test_each_hour_is_that_of_the_day(self) -> None:
        year = sun_year(BERLIN, 2026, every_days=1)
        which = year.days.index(date(2026, 6, 21))
        hours = [hour.peak for hour in sun_day(BERLIN, date(2026, 6, 21)).hours()]
        assert year.index[which] == pytest.approx(hours, abs=0.15)  # every 10 minutes against 1
        assert len(year.days) == 365
        assert np.isfinite(year.index).all()


class TestOutings:
    DAY = sun_day(BERLIN, date(2026, 6, 21))

    def test_shares_add_up_and_overlaps_count_once(self) -> None:
        parts = [Outing(time(0), time(9)), Outing(time(9), time(15)), Outing(time(15), time(0))]
        assert sum(share_of(self.DAY, [part]) for part in parts) == pytest.approx(1)
        assert share_of(self.DAY, [*parts, parts[1]]) == pytest.approx(1)
        assert share_of(self.DAY, []) == 0

    def test_away_from_noon_means_less(self) -> None:
        outing = Outing(time(12), time(14))
        found = choices(self.DAY, [outing], 0)
        now = share_of(self.DAY, [outing])
        moved = {choice.hours: choice.share for choice in found if choice.what == "moved"}
        assert moved[4] < moved[3] < moved[2] < now
        assert found[0].share == min(choice.share for choice in found)
        halves = [choice.share for choice in found if choice.what != "moved"]
        assert sum(halves) == pytest.approx(now)

    def test_other_outings_stay_where_they_are(self) -> None:
        evening = Outing(time(18), time(20))
        alone = share_of(self.DAY, [evening])
        for choice in choices(self.DAY, [Outing(time(12), time(13)), evening], 0):
            assert choice.share >= alone - 1e-12

    def test_nothing_is_moved_into_the_night(self) -> None:
        for choice in choices(self.DAY, [Outing(time(6), time(8))], 0):
            assert choice.outing.start >= time(5)

    def test_words_for_an_outing(self) -> None:
        assert parse_outing("9-11:30") == Outing(time(9), time(11, 30))
        assert parse_outing("22:00-24:00").end_min == 24 * 60
        for wrong in ("", "noon", "12:00", "14:00-12:00", "25:00-26:00", "1-2-3"):
            with pytest.raises(SettingsError):
                parse_outing(wrong)
