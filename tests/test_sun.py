"""Height of the sun, UV index and dose against published tables and an independent library."""

import csv
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from pvlib import solarposition

from lesioncompare.science.ozone import usual_ozone
from lesioncompare.science.sun import (
    SED,
    category,
    days_since_2000,
    erythemal_dose,
    sun_elevation,
    uv_index,
)

REFERENCES = Path(__file__).parent / "references"


def table(name: str) -> list[dict[str, str]]:
    lines = (REFERENCES / name).read_text().splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


class TestSunElevation:
    def test_the_worked_example_of_nrel(self) -> None:
        """Reda and Andreas, NREL/TP-560-34302, appendix A.5."""
        known = {row["what"]: row["value"] for row in table("solar_position.csv")}
        parts = [int(known[p]) for p in ("year", "month", "day", "hour", "minute", "second")]
        zone = timezone(timedelta(hours=float(known["utc_offset_h"])))
        moment = datetime(*parts, tzinfo=zone)
        seen = sun_elevation(
            days_since_2000(moment), float(known["latitude_deg"]), float(known["longitude_deg"])
        )
        # the almanac's own limit is 0.01 degrees
        assert float(seen) == pytest.approx(
            float(known["elevation_without_refraction_deg"]), abs=0.01
        )
        # refraction is left out: at this height it lifts the sun by 0.016 degrees
        assert 90 - float(seen) == pytest.approx(float(known["zenith_deg"]), abs=0.03)

    @pytest.mark.parametrize("latitude", [-90, -54.8, -33.9, -1.3, 0, 23.4, 47.4, 69.6, 90])
    def test_an_independent_library_agrees_all_over_the_earth(self, latitude) -> None:
        """SPA of NREL as pvlib implements it, 1950 to 2050, both hemispheres."""
        longitudes = (-179.5, -70.0, 0.0, 18.4, 151.2)
        years = range(1950, 2051, 10)
        moments = pd.DatetimeIndex(
            [
                datetime(y, m, 21, h, 17, tzinfo=UTC)
                for y in years
                for m in (3, 6, 12)
                for h in (2, 13)
            ]
        )
        days = np.array([days_since_2000(t.to_pydatetime()) for t in moments])
        for longitude in longitudes:
            known = solarposition.spa_python(moments, latitude, longitude)["elevation"].to_numpy()
            seen = sun_elevation(days, latitude, longitude)
            assert np.abs(seen - known).max() < 0.015  # its limit is 0.01; ours and SPA's differ

    def test_a_moment_without_zone_is_refused(self) -> None:
        with pytest.raises(ValueError, match="time zone"):
            days_since_2000(datetime(2026, 6, 1))  # noqa: DTZ001  the very point


class TestUvIndex:
    def test_the_published_formula(self) -> None:
        for row in table("uv_index.csv"):
            for ozone in (250, 300, 350, 400):
                seen = uv_index(90 - float(row["zenith_deg"]), ozone_du=ozone)
                assert float(seen) == pytest.approx(float(row[str(ozone)]), abs=6e-4)

    def test_there_is_none_when_the_sun_is_down(self) -> None:
        assert uv_index(np.array([-0.1, -30.0, -90.0])).tolist() == [0, 0, 0]

    def test_it_passes_three_at_34_degrees(self) -> None:
        """Sun elevation 33.7 degrees at 300 DU, solved by hand from Madronich's formula."""
        grid = np.arange(0, 90, 0.01)
        assert grid[uv_index(grid) >= 3][0] == pytest.approx(33.7, abs=0.05)

    def test_a_thousand_metres_add_eight_percent(self) -> None:
        """COST-713 (2000) UV-Index for the Public, section 4."""
        assert float(uv_index(60, altitude_m=1000) / uv_index(60)) == pytest.approx(1.08)

    def test_the_categories_of_the_who(self) -> None:
        for row in table("uv_categories.csv"):
            for index in range(int(row["least"]), int(row["most"]) + 1):
                assert category(index) == row["category"]
                assert category(index + 0.49) == row["category"]
        assert (category(2.5), category(10.5)) == ("moderate", "extreme")  # halves are rounded up


class TestDose:
    @pytest.mark.parametrize(("index", "minutes"), [(1, 66.7), (3, 22.2), (6, 11.1), (11, 6.1)])
    def test_one_standard_erythema_dose(self, index, minutes) -> None:
        """100 J/m², CIE; an index of 1 is 25 mW/m², so it takes 66.67 minutes over the index."""
        assert erythemal_dose(np.array([index]), minutes) == pytest.approx(SED, rel=0.01)


class TestUsualOzone:
    def test_the_mean_of_the_earth_is_about_300(self) -> None:
        """Some 300 DU, weighted by area: the reference of Madronich's formula; from memory."""
        latitudes = np.arange(-89, 90, 2.0)
        weight = np.cos(np.radians(latitudes))
        months = [date(2026, m, 15) for m in range(1, 13)]
        means = [np.mean([usual_ozone(lat, day) for day in months]) for lat in latitudes]
        assert np.average(means, weights=weight) == pytest.approx(295, abs=10)

    def test_spring_has_more_than_autumn_on_both_hemispheres(self) -> None:
        """Known of the ozone layer since Dobson: the maximum of middle latitudes is in spring."""
        april, october = date(2026, 4, 1), date(2026, 10, 1)
        assert usual_ozone(50, april) > usual_ozone(50, october) + 40
        assert usual_ozone(-40, october) > usual_ozone(-40, april) + 40

    def test_an_independent_climatology_is_not_far_off(self) -> None:
        """Van Heuklon (1979) Solar Energy 22:63-68 gives 328.3 for 45 N, 0 E on 1 January."""
        assert usual_ozone(45, date(2026, 1, 1)) == pytest.approx(328.3, abs=35)

    def test_years_join_without_a_step(self) -> None:
        for latitude in (-75, -30, 0, 52.5, 90):
            last, first = date(2026, 12, 31), date(2027, 1, 1)
            assert usual_ozone(latitude, last) == pytest.approx(usual_ozone(latitude, first), abs=2)
