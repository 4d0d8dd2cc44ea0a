"""The JSON of a series keeps its names, fits its published schema and speaks in stored pixels."""

import json
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from lesioncompare.exchange.record import FORMAT, reading_json, series_json
from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import (
    Alignment,
    Calibration,
    Change,
    Finding,
    Light,
    Measurement,
    Outline,
    Photo,
    Reading,
    Series,
    Sticker,
    Visit,
)
from lesioncompare.registry import notice
from lesioncompare.terms import MEASURES, Level, Verdict, parse_site

DOCS = Path(__file__).parent.parent / "docs"
SCHEMA = json.loads((DOCS / "series.schema.json").read_text())
SQUARE = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])  # [mm]


def quantity(value: float, unit: str, u: float) -> Quantity:
    return Quantity(value, unit, (Component("border", u),), relative=unit.startswith("mm"))


def reading(day: int, *, stored_per_px: float = 1.0, shift_px: float = 0.0) -> Reading:
    """A photo at 20 px/mm as decoded, the sticker's middle at (400 + shift_px, 300)."""
    px_to_mm = np.array([[0.05, 0, -20 - 0.05 * shift_px], [0, 0.05, -15], [0, 0, 1.0]])
    light = Light(np.ones(3), np.zeros(3), np.zeros(2), 0.5, steady=True)
    photo = Photo(
        name=f"week {day}.jpg",
        sha256=f"{day:064x}",
        rgb=np.zeros((600, 800, 3), np.uint8),
        taken=datetime(2026, 5, day, 8, 15),  # noqa: DTZ001
        taken_basis="original, local time",
        stored_per_px=stored_per_px,
    )
    return Reading(
        photo=photo,
        sticker=Sticker(
            "printed", 14, 14.0, SQUARE * 140 + [400, 300], px_to_mm, 0.1, np.zeros((0, 6))
        ),
        calibration=Calibration(px_to_mm, 0.05, 12.0, (Component("scale", 0.01),), light),
        alignment=Alignment(np.eye(3), 0.0, 1.0, 1.0, 0.0),
        outline=Outline(SQUARE, SQUARE * 0.9, SQUARE * 1.1, 0.05),
        measurement=Measurement(
            {"area": quantity(4.0 + day / 10, "mm²", 0.2), "circularity": quantity(0.7, "1", 0.1)},
            (40.0, 10.0, 12.0),
            (65.0, 15.0, 14.0),
            1.0,
        ),
        notices=(notice("no_date"),),
    )


def series(*readings: Reading) -> Series:
    visits = tuple(Visit(r.photo.taken, (r,), {"raised": "no"}) for r in readings if r.usable)
    change = Change("area", 1, 0.1, 0.05, 0.002, 0.198, 0.2, Verdict.SAME)
    found = Finding(
        "no_change", Level.NOTE, 1, "Nothing.", "Look.", "None.", ("a freckle",), {"x": 1.5}
    )
    return Series(parse_site("ear-left"), readings, visits, {"area": (change, change)}, (found,))


def fits(data: dict) -> None:
    validator = jsonschema.Draft202012Validator(SCHEMA)
    validator.validate(json.loads(json.dumps(data, allow_nan=False)))


class TestSchema:
    def test_the_schema_is_one(self):
        """Against the meta-schema of JSON Schema 2020-12, by the jsonschema package."""
        jsonschema.Draft202012Validator.check_schema(SCHEMA)

    def test_a_whole_series_fits(self):
        fits(
            series_json(
                series(reading(3), reading(10, stored_per_px=4.0), Reading(reading(17).photo))
            )
        )

    def test_a_single_photo_fits(self):
        fits(reading_json(reading(3), None))

    def test_a_photo_that_could_not_be_read_fits(self):
        photo = Photo("x.jpg", "0" * 64, np.zeros((1, 1, 3), np.uint8), None, "none")
        fits(reading_json(Reading(photo), None))

    @pytest.mark.parametrize("part", ["photo", "sticker", "change"])
    def test_a_name_that_is_not_registered_does_not_fit(self, part):
        data = series_json(series(reading(3), reading(10)))
        photo = data["photos"][0]
        {"photo": photo, "sticker": photo["sticker"], "change": data["changes"]["area"]}[part][
            "surprise"
        ] = 1
        with pytest.raises(jsonschema.ValidationError):
            fits(data)

    def test_its_words_are_those_of_the_program(self):
        defs = SCHEMA["$defs"]
        assert defs["format"]["const"] == FORMAT
        assert set(defs["change"]["properties"]["verdict"]["enum"]) == {v.value for v in Verdict}
        assert set(defs["finding"]["properties"]["level"]["enum"]) == {v.value for v in Level}
        assert set(defs["measure"]["properties"]["unit"]["enum"]) == {
            term.unit for term in MEASURES.values()
        }

    def test_every_name_is_explained_in_the_documentation(self):
        text = (DOCS / "json.md").read_text()

        def names(schema: dict):
            for name, inner in schema.get("properties", {}).items():
                yield name, inner.get("description", "")
                yield from names(inner)
                for choice in inner.get("anyOf", ()):
                    yield from names(choice)

        found = {pair for part in SCHEMA["$defs"].values() for pair in names(part)}
        assert len(found) > 50
        for name, words in found:
            assert f"{name}` | {words}" in text, name


class TestPhoto:
    def test_it_has_the_names_that_were_promised(self):
        data = reading_json(reading(3), None)
        assert list(data) == [
            *("format", "file", "sha256", "taken", "taken_basis", "sticker"),
            *("outline_px", "outline_inner_px", "outline_outer_px", "measures", "colours"),
            *("alignment", "change_from_first", "notices", "usable"),
        ]
        assert {"found", "kind", "id", "mm_per_px", "mm_per_px_u", "tilt_deg", "corners_px"} == set(
            data["sticker"]
        )
        assert {"value", "u", "low", "high", "unit"} == set(data["measures"]["area"])
        assert {"key", "level", "says", "do"} == set(data["notices"][0])

    def test_the_outline_is_in_pixels(self):
        """±1 mm about the sticker's middle at 20 px/mm is ±20 px about (400, 300)."""
        assert reading_json(reading(3), None)["outline_px"] == (SQUARE * 20 + [400, 300]).tolist()

    def test_pixels_are_those_of_the_stored_photo(self):
        data = reading_json(reading(3, stored_per_px=4.0), None)
        assert data["outline_px"] == (4 * (SQUARE * 20 + [400, 300])).tolist()
        assert data["sticker"]["corners_px"][2] == [4 * 540, 4 * 440]
        assert data["sticker"]["mm_per_px"] == pytest.approx(0.05 / 4)
        assert data["sticker"]["mm_per_px_u"] == pytest.approx(0.0005 / 4)

    def test_pixels_lie_over_those_of_the_first_photo(self):
        """Same millimetres, sticker 40 px further right and the photo read at half its size."""
        first, later = reading(3), reading(10, stored_per_px=2.0, shift_px=40.0)
        matrix = np.array(reading_json(later, first)["alignment"]["px_to_first"])
        np.testing.assert_allclose(matrix @ [2 * 440, 2 * 300, 1], [400, 300, 1], atol=1e-9)
        np.testing.assert_allclose(matrix @ [2 * 460, 2 * 310, 1], [420, 310, 1], atol=1e-9)

    def test_photos_laid_over_a_third_one_lie_over_each_other(self):
        moved = np.array([[1, 0, 2.0], [0, 1, -1.0], [0, 0, 1]])  # 2 mm right, 1 mm up
        first = replace(reading(3), alignment=Alignment(moved, 0.1, 0.9, 1.0, 0.01))
        data = reading_json(reading(10), first)
        np.testing.assert_allclose(
            np.array(data["alignment"]["px_to_first"]) @ [400, 300, 1], [360, 320, 1], atol=1e-9
        )

    def test_the_first_photo_has_not_changed_against_itself(self):
        data = reading_json(reading(3), None)["change_from_first"]
        assert data["area_ratio"]["value"] == 1
        assert data["colour_de00"]["value"] == 0

    def test_what_is_not_known_is_null(self):
        data = reading_json(Reading(reading(3).photo), None)
        assert data["usable"] is False
        assert data["sticker"]["found"] is False
        assert data["outline_px"] is data["alignment"] is data["sticker"]["mm_per_px"] is None
        assert data["measures"] == {}


class TestSeries:
    def test_visits_point_at_their_photos(self):
        data = series_json(series(reading(3), Reading(reading(5).photo), reading(10)))
        assert [visit["photos"] for visit in data["visits"]] == [[0], [2]]
        assert [photo["usable"] for photo in data["photos"]] == [True, False, True]

    def test_changes_tell_the_last_visit_and_keep_the_way_there(self):
        data = series_json(series(reading(3), reading(10)))
        assert data["changes"]["area"]["verdict"] == "no change measured"
        assert data["changes_by_visit"]["area"][-1] == data["changes"]["area"]

    def test_change_is_told_against_the_first_photo(self):
        first, later = series_json(series(reading(3), reading(10)))["photos"]
        assert first["change_from_first"]["area_ratio"]["value"] == 1
        ratio = later["change_from_first"]["area_ratio"]
        assert ratio["low"] < 5.0 / 4.3 < ratio["high"]
