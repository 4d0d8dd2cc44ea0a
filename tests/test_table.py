"""The table opens in any spreadsheet with its units, and no text in it can act."""

import csv
import io
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from lesioncompare.exchange.table import measures_table
from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import Measurement, Photo, Reading, Series, Visit
from lesioncompare.registry import notice
from lesioncompare.terms import MEASURES, parse_site

HOSTILE = [
    *('=HYPERLINK("http://x","y")', "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "\n=1+1", "  =1"),
    *("|calc", "%0A", "＝1", "\0=1", '";=1;"', "a\r\n=1,b"),
]


def reading(day: int, name: str = "photo.jpg", **quantities: float) -> Reading:
    blank = np.zeros((4, 4, 3), np.uint8)
    photo = Photo(name, f"{day:064x}", blank, datetime(2026, 5, day, 8, 15, tzinfo=UTC), "given")
    measures = {
        n: Quantity(v, MEASURES[n].unit, (Component("border", 0.1),), MEASURES[n].relative)
        for n, v in quantities.items()
    }
    measurement = Measurement(measures, (40.0, 10.0, -12.5), (65.0, 15.0, 14.0), 1.0)
    return Reading(photo, measurement=measurement)


def table(*readings: Reading) -> list[dict[str, str]]:
    visits = tuple(Visit(r.photo.taken, (r,)) for r in readings if r.usable)
    data = measures_table(Series(parse_site("nose"), readings, visits, {}, ()))
    assert data.startswith(b"\xef\xbb\xbf")
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


class TestTable:
    def test_every_photo_has_its_row_and_every_measure_its_unit(self):
        unread = Reading(reading(5).photo, notices=(notice("no_date"),))
        rows = table(reading(3, area=4.3, longest_diameter=2.5), unread, reading(10, area=5.0))
        assert [row["visit"] for row in rows] == ["1", "", "2"]
        assert [row["usable"] for row in rows] == ["yes", "no", "yes"]
        assert [row["area [mm²]"] for row in rows] == ["4.3", "", "5.0"]
        assert rows[0]["longest diameter [mm]"] == "2.5"
        assert rows[0]["taken"] == "2026-05-03 08:15:00+00:00"
        assert rows[0]["spot b* [CIELAB]"] == "-12.5"
        assert rows[1]["notices"] == notice("no_date").vet

    def test_the_interval_is_that_of_the_quantity(self):
        row = table(reading(3, area=4.0))[0]
        area = Quantity(4.0, "mm²", (Component("border", 0.1),), relative=True)
        assert float(row["area, u [mm²]"]) == pytest.approx(area.u)
        assert float(row["area, 95 % low [mm²]"]) == pytest.approx(area.low, rel=1e-5)
        assert float(row["area, 95 % high [mm²]"]) == pytest.approx(area.high, rel=1e-5)

    def test_change_is_told_against_the_first_visit(self):
        rows = table(reading(3, area=4.0), reading(10, area=5.0))
        assert float(rows[0]["area over first [1]"]) == 1
        assert float(rows[1]["area over first [1]"]) == pytest.approx(1.25)

    def test_a_series_without_a_usable_photo_is_a_table_too(self):
        assert [row["usable"] for row in table(Reading(reading(5).photo))] == ["no"]

    @pytest.mark.parametrize("text", HOSTILE)
    def test_no_text_becomes_a_formula(self, text):
        """OWASP "CSV Injection": no cell of text may begin with one of these signs."""
        row = table(reading(3, name=text, area=4.0), reading(4, area=4.0))
        assert len(row) == 2
        assert not row[0]["file"].strip().startswith(("=", "+", "-", "@", "|", "%", "＝", "\t"))
        assert "\n" not in row[0]["file"]

    def test_pandas_reads_it_alike(self):
        """A second reader: numbers come as numbers, the header with its units."""
        pandas = pytest.importorskip("pandas")
        series = Series(None, (reading(3, "Süß, „a“.jpg", area=4.0),), (), {}, ())
        frame = pandas.read_csv(io.BytesIO(measures_table(series)), encoding="utf-8-sig")
        assert frame["area [mm²]"].dtype.kind == "f"
        assert frame["file"][0] == "Süß, „a“.jpg"

    def test_lines_end_as_the_standard_says(self):
        """RFC 4180, section 2: CRLF after every record."""
        data = measures_table(Series(None, (replace(reading(3), notices=()),), (), {}, ()))
        assert data.count(b"\r\n") == 2
        assert data.count(b"\n") == 2
