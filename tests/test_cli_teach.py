"""The commands on sun, handout and calendar, as a person types them."""

import json

import pytest
from typer.testing import CliRunner

import lesioncompare.cli.teach  # noqa: F401  registers its commands
from lesioncompare.cli.app import app
from lesioncompare.errors import SettingsError
from lesioncompare.teach.cities import cities, city_name
from lesioncompare.teach.place import Place

BERLIN = ["--lat", "52.5", "--lon", "13.4", "--date", "2026-06-21", "--zone", "Europe/Berlin"]


def run(*words: str):
    return CliRunner().invoke(app, list(words))


class TestSun:
    def test_it_shows_the_strong_hours_with_what_they_leave_out(self) -> None:
        said = run("sun", *BERLIN)
        assert said.exit_code == 0
        words = " ".join(said.output.split())
        assert "UV index 3 or more: 09:" in words
        assert "assumed" in words
        assert "no minutes without risk" in words

    def test_json_holds_the_same_and_adds_up(self) -> None:
        facts = json.loads(run("sun", *BERLIN, "--json").output)
        assert facts["sky"] == "clear"
        assert facts["ozone_assumed"] is True
        assert sum(hour["share"] for hour in facts["hours"]) == pytest.approx(1, abs=0.002)
        assert facts["uv_index_3_or_more"][0][0].endswith("+02:00")  # daylight saving

    def test_an_outing_is_weighed_against_others(self) -> None:
        words = " ".join(run("sun", *BERLIN, "--outing", "12-14").output.split())
        assert "Out 12:00–14:00" in words
        assert "instead" in words

    def test_polar_night_is_a_day_like_others(self) -> None:
        said = run("sun", "--lat", "78", "--lon", "15", "--date", "2026-12-21")
        assert said.exit_code == 0
        assert "not on this day" in said.output

    @pytest.mark.parametrize(
        "wrong",
        [
            ["--lat", "99", "--lon", "0", "--date", "2026-06-21"],
            ["--lat", "9", "--lon", "0", "--date", "yesterday"],
            [*BERLIN, "--outing", "noon"],
        ],
    )
    def test_what_cannot_be_is_refused_in_two_sentences(self, wrong) -> None:
        said = run("sun", *wrong)
        assert isinstance(said.exception, SettingsError)
        assert said.exception.advice


class TestFiles:
    def test_the_calendar_file_is_written(self, tmp_path) -> None:
        file = tmp_path / "weekly.ics"
        assert (
            run("calendar", "--out", str(file), "--weekday", "su", "--clock", "18:30").exit_code
            == 0
        )
        assert b"RRULE:FREQ=WEEKLY" in file.read_bytes()

    def test_the_handout_is_written(self, tmp_path) -> None:
        file = tmp_path / "handout.pdf"
        assert run("handout", "--out", str(file), "--set", "2").exit_code == 0
        assert file.read_bytes().startswith(b"%PDF")

    def test_no_such_weekday(self, tmp_path) -> None:
        out = str(tmp_path / "x.ics")
        said = run("calendar", "--out", out, "--weekday", "xx", "--clock", "18:30")
        assert isinstance(said.exception, SettingsError)


class TestCities:
    def test_each_is_a_place_with_a_clock(self) -> None:
        known = cities()
        assert len(known) > 300
        for zone, (latitude, longitude) in known.items():
            assert Place(latitude, longitude, zone).clock()

    def test_some_are_where_the_atlas_has_them(self) -> None:
        """Geographic coordinates to the degree, from memory of any atlas."""
        assert cities()["Europe/Berlin"] in {(52, 13), (53, 13)}
        assert cities()["Australia/Sydney"] == (-34, 151)
        assert cities()["America/New_York"] == (41, -74)
        assert city_name("America/Argentina/Buenos_Aires") == "Buenos Aires"
