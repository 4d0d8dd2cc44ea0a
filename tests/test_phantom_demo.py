"""The demo photographs that ship with the program, against the truth that ships with them."""

import io
import json
from pathlib import Path

import numpy as np
import pytest
from PIL import ExifTags, Image

from lesioncompare.phantom.__main__ import main
from lesioncompare.phantom.demo import GROWTH, spot_option, truth_of, visits

FOLDER = Path(__file__).parent.parent / "demo_images"


@pytest.fixture(scope="module")
def stated() -> dict:
    return json.loads((FOLDER / "truth.json").read_text())


class TestDemoImages:
    def test_there_are_at_most_eight_photos_under_6_mb(self, stated: dict) -> None:
        files = sorted(path.name for path in FOLDER.glob("*.jpg"))
        assert files == stated["photos"]
        assert len(files) <= 8
        assert sum((FOLDER / file).stat().st_size for file in files) < 6e6

    def test_each_is_2_to_3_megapixels_dated_and_marked_as_simulated(self, stated: dict) -> None:
        dates = []
        for file in stated["photos"]:
            image = Image.open(io.BytesIO((FOLDER / file).read_bytes()))
            assert 2e6 <= image.width * image.height <= 3e6
            exif = image.getexif()
            assert "Simulated" in exif[ExifTags.Base.ImageDescription]
            dates.append(exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal])
        assert dates == sorted(set(dates))

    def test_the_stated_truth_is_the_computed_one(self, stated: dict) -> None:
        """Worked out anew without taking the photographs; rounding of the file is 0.01 px."""
        for visit, known in zip(visits(), stated["truths"], strict=True):
            truth = truth_of(visit)
            assert known["file"] == visit.file
            assert known["area_mm2"] == pytest.approx(truth.area_mm2, abs=1e-3)
            np.testing.assert_allclose(known["outline_px"], truth.outline_px[::4], atol=0.01)
            np.testing.assert_allclose(known["circle_px"], truth.circle, atol=0.01)
        assert stated["spot"] == spot_option(truth_of(next(visits())))

    def test_the_spot_stays_and_then_grows_by_the_known_amount(self, stated: dict) -> None:
        areas = np.array([known["rest_area_mm2"] for known in stated["truths"]])
        np.testing.assert_allclose(areas / areas[0], GROWTH, rtol=1e-4)
        assert (np.diff(areas[:4]) == 0).all()
        assert (np.diff(areas[3:]) > 0).all()

    def test_the_page_says_that_no_animal_was_photographed(self, stated: dict) -> None:
        page = (FOLDER / "README.md").read_text()
        assert "No animal was photographed" in page
        assert f"--spot {stated['spot']}" in page
        assert all(file in page for file in stated["photos"])

    @pytest.mark.slow
    def test_the_command_writes_the_same_photographs(self, stated: dict, tmp_path: Path) -> None:
        """Same seed, same skin and place; other versions of the libraries move single codes."""
        main([str(tmp_path)])
        assert json.loads((tmp_path / "truth.json").read_text())["photos"] == stated["photos"]
        for file in stated["photos"]:
            shipped, made = (
                np.asarray(Image.open(folder / file).convert("L"), float)
                for folder in (FOLDER, tmp_path)
            )
            assert abs(shipped - made).mean() < 2.0
