"""A clinic's picture archive takes the photos and reports, and finds the numbers in them."""

import io
import subprocess
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from lesioncompare.exchange.dicom import Animal, dicom_files
from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import (
    Calibration,
    Light,
    Measurement,
    Outline,
    Photo,
    Reading,
    Series,
    Visit,
)
from lesioncompare.terms import parse_site

pydicom = pytest.importorskip("pydicom", reason="needs the extra: pip install '.[dicom]'")
highdicom_sr = pytest.importorskip("highdicom.sr")

NOW = datetime(2026, 6, 30, 12, tzinfo=UTC)
TIGER = Animal("cat-1", "Tiger", neutered=True, keeper="R. Keeper")
OCTAGON = np.array([[np.cos(a), np.sin(a)] for a in np.arange(8) * np.pi / 4])  # [mm]
HOSTILE = "=1+1\\..\\evil^x\n<script>\0" + "ü" * 80


def jpeg(seed: int, **options) -> bytes:
    rng = np.random.default_rng(seed)
    coarse = rng.integers(20, 235, (8, 10, 3)).astype(np.uint8)
    buffer = io.BytesIO()
    picture = Image.fromarray(coarse).resize((400, 320), Image.Resampling.BICUBIC)
    picture.save(buffer, options.pop("form", "JPEG"), **{"quality": 90, **options})
    return buffer.getvalue()


def reading(number: int, taken: datetime | None) -> Reading:
    px_to_mm = np.array([[0.05, 0, -10], [0, 0.05, -8], [0, 0, 1.0]])  # middle at (200, 160)
    light = Light(np.ones(3), np.zeros(3), np.zeros(2), 0.5, steady=True)
    u = (Component("scale", 0.05),)
    return Reading(
        Photo(f"{number}.jpg", f"{number:064x}", np.zeros((2, 2, 3), np.uint8), taken, "given"),
        calibration=Calibration(px_to_mm, 0.05, 5.0, (Component("scale", 0.01),), light),
        outline=Outline(OCTAGON, OCTAGON * 0.9, OCTAGON * 1.1, 0.05),
        measurement=Measurement(
            {
                "area": Quantity(2.83, "mm²", u, relative=True),
                "longest_diameter": Quantity(2.0, "mm", u, relative=True),
                "perpendicular_diameter": Quantity(1.9, "mm", u, relative=True),
                "circularity": Quantity(0.9, "1", u),
            },
            (40.0, 10.0, 12.0),
            (65.0, 15.0, 14.0),
            1.0,
        ),
    )


TIMES = [
    datetime(2026, 5, 31, 8, 15, 30, tzinfo=timezone(timedelta(hours=2))),
    datetime(2026, 6, 7, 8, 20),  # noqa: DTZ001  a photo without offset
    datetime(2026, 6, 14, 8, 10, tzinfo=UTC),
]
ORIGINALS = {
    f"{1:064x}": jpeg(1),
    f"{2:064x}": jpeg(2, progressive=True),
    f"{3:064x}": jpeg(3, form="PNG"),
}


def exported(site: str = "ear-left", animal: Animal = TIGER, spot: str = "spot 1"):
    readings = tuple(reading(n, taken) for n, taken in enumerate(TIMES, 1))
    visits = tuple(Visit(r.photo.taken, (r,)) for r in readings)
    series = Series(parse_site(site) if site else None, readings, visits, {}, ())
    files = dicom_files(series, ORIGINALS, animal, spot=spot, now=NOW)
    return files, {name: pydicom.dcmread(io.BytesIO(data)) for name, data in files.items()}


@pytest.fixture(scope="module")
def objects():
    return exported()[1]


class TestPhoto:
    def test_each_photo_and_each_measurement_is_a_file(self, objects):
        kinds = ("photo", "report")
        assert set(objects) == {f"{kind}-{n:03}.dcm" for kind in kinds for n in (1, 2, 3)}

    def test_a_baseline_jpeg_is_kept_byte_for_byte(self, objects):
        frame = next(
            pydicom.encaps.generate_frames(objects["photo-001.dcm"].PixelData, number_of_frames=1)
        )
        assert frame.rstrip(b"\0") == ORIGINALS[f"{1:064x}"].rstrip(b"\0")

    @pytest.mark.parametrize("number", [1, 2, 3])
    def test_it_shows_the_photo(self, objects, number):
        """Decoded by pydicom 3 with Pillow; up to 3 levels on average where it was encoded anew."""
        shown = objects[f"photo-{number:03}.dcm"].pixel_array
        original = Image.open(io.BytesIO(ORIGINALS[f"{number:064x}"])).convert("RGB")
        frame = Image.open(
            io.BytesIO(
                next(
                    pydicom.encaps.generate_frames(
                        objects[f"photo-{number:03}.dcm"].PixelData, number_of_frames=1
                    )
                )
            )
        ).convert("RGB")
        assert shown.shape == (320, 400, 3)
        assert np.abs(np.asarray(frame).astype(int) - np.asarray(original)).mean() < 3

    def test_it_names_the_animal_and_the_place(self, objects):
        image = objects["photo-001.dcm"]
        assert (str(image.PatientName), image.PatientID) == ("R. Keeper^Tiger", "cat-1")
        assert image.PatientSpeciesCodeSequence[0].CodeMeaning == "Felis catus"
        assert image.PatientSexNeutered == "ALTERED"
        assert image.AnatomicRegionSequence[0].CodeMeaning == "External ear"
        assert image.ImageLaterality == "L"

    def test_it_says_when_it_was_taken(self, objects):
        assert objects["photo-001.dcm"].AcquisitionDateTime == "20260531081530+0200"
        assert objects["photo-002.dcm"].AcquisitionDateTime == "20260607082000"

    def test_the_same_series_makes_the_same_identifiers(self, objects):
        again = exported()[1]
        for name, one in objects.items():
            assert one.SOPInstanceUID == again[name].SOPInstanceUID
        assert len({one.SOPInstanceUID for one in objects.values()}) == len(objects)


class TestReport:
    def groups(self, report):
        content = highdicom_sr.srread(report).content
        return content.get_planar_roi_measurement_groups()

    def test_it_holds_the_border_in_pixels(self):
        """±1 mm about (200, 160) at 20 px/mm; read back by highdicom 0.28."""
        buffer = io.BytesIO(exported()[0]["report-001.dcm"])
        region = self.groups(buffer)[0].roi
        np.testing.assert_allclose(region.value[:-1], OCTAGON * 20 + [200, 160], atol=0.006)
        np.testing.assert_allclose(region.value[0], region.value[-1])

    def test_it_holds_the_sizes_with_their_uncertainty(self):
        buffer = io.BytesIO(exported()[0]["report-001.dcm"])
        found = {m.name.meaning: m for m in self.groups(buffer)[0].get_measurements()}
        assert found["Area"].value == pytest.approx(2.83)
        assert found["Area"].unit.value == "mm2"
        assert found["Long axis"].value == pytest.approx(2.0)
        assert {"Area", "Long axis", "Short axis"} <= set(found)

    def test_an_uncertainty_has_the_unit_of_its_size(self, objects):
        area = Quantity(2.83, "mm²", (Component("scale", 0.05),), relative=True)
        text = str(objects["report-001.dcm"])
        assert f"{area.high - area.value:.4f}"[:6] in text
        assert "'1'" not in [
            element.value
            for element in objects["report-001.dcm"].iterall()
            if element.keyword == "CodeValue"
        ]

    def test_a_spot_keeps_its_identifier_from_visit_to_visit(self):
        uids = {
            group.tracking_uid
            for name in exported()[0]
            if name.startswith("report")
            for group in self.groups(io.BytesIO(exported()[0][name]))
        }
        assert len(uids) == 1

    def test_it_makes_no_statement_on_the_nature_of_the_spot(self, objects):
        texts = [e.value for e in objects["report-001.dcm"].iterall() if e.keyword == "TextValue"]
        assert any("No statement on the nature of the spot" in text for text in texts)


@pytest.fixture
def dciodvfy(program) -> Callable[[Path], dict[str, list[str]]]:
    """The errors that the independent validator finds in a folder, by file."""
    validator = program("dciodvfy", package="dicom3tools")

    def faults(folder: Path) -> dict[str, list[str]]:
        found = {}
        for path in sorted(folder.glob("*.dcm")):
            run = subprocess.run(
                [validator, "-new", str(path)], capture_output=True, text=True, check=False
            )
            lines = (run.stdout + run.stderr).splitlines()
            found[path.name] = [line for line in lines if line.startswith(("Error", "Warning"))]
        return found

    return faults


class TestStandard:
    @pytest.mark.parametrize(
        "site", ["nose", "ear-right", "eyelid-lower-left", "lip", "gum-upper-right", ""]
    )
    def test_the_independent_validator_finds_nothing(self, tmp_path, site, dciodvfy):
        """Checked by dciodvfy of dicom3tools, which knows the definition of each kind of object."""
        for name, data in exported(site)[0].items():
            (tmp_path / name).write_bytes(data)
        assert dciodvfy(tmp_path) == {name: [] for name in exported(site)[0]}

    def test_hostile_words_stay_words(self, tmp_path, dciodvfy):
        animal = Animal("id" + HOSTILE, HOSTILE, "X", None, HOSTILE, HOSTILE)
        files, read = exported("nose", animal, HOSTILE)
        for name, data in files.items():
            (tmp_path / name).write_bytes(data)
            assert len(read[name].PatientID) <= 64
            assert "\\" not in read[name].PatientBreedDescription
        assert dciodvfy(tmp_path) == {name: [] for name in files}

    def test_a_photo_without_date_is_valid_too(self, tmp_path, dciodvfy):
        undated = Series(None, (reading(1, None),), (), {}, ())
        for name, data in dicom_files(undated, ORIGINALS, Animal("", ""), spot="", now=NOW).items():
            (tmp_path / name).write_bytes(data)
        assert not [
            line for lines in dciodvfy(tmp_path).values() for line in lines if "Error" in line
        ]
