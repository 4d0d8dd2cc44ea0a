"""Printed stickers: exact millimetres on the paper, exact edges in the picture."""

import io
import re

import cv2
import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from lesioncompare.design import DICTIONARY, SIZES_MM, rectangles
from lesioncompare.errors import SettingsError
from lesioncompare.exchange.sheet import sticker_picture, sticker_sheet

MM_PER_POINT = 25.4 / 72  # PDF user space, ISO 32000-1, 8.3.2.3
ROUNDING_MM = 0.004  # coordinates are written with two decimals of a point


def filled_rectangles(sheet):
    """Width and height in mm and grey of each filled rectangle of the only page."""
    stream = PdfReader(io.BytesIO(sheet)).pages[0].get_contents().get_data().decode("latin-1")
    found, grey = [], 0.0
    for line in stream.splitlines():
        shade = re.search(r"([\d.]+) g\b", line)
        grey = float(shade.group(1)) if shade else grey
        box = re.match(r"([-\d.]+) ([-\d.]+) ([-\d.]+) ([-\d.]+) re f", line)
        if box:
            found.append((*(abs(float(v)) * MM_PER_POINT for v in box.groups()[2:]), grey))
    return np.array(found)


class TestSheet:
    @pytest.mark.parametrize(
        ("paper", "width_mm", "height_mm"),
        [("a4", 210, 297), ("letter", 215.9, 279.4)],  # ISO 216; ANSI/ASME Y14.1
    )
    def test_has_the_size_of_its_paper(self, paper, width_mm, height_mm):
        page = PdfReader(io.BytesIO(sticker_sheet(14, paper))).pages[0].mediabox

        assert float(page.width) * MM_PER_POINT == pytest.approx(width_mm, abs=0.01)
        assert float(page.height) * MM_PER_POINT == pytest.approx(height_mm, abs=0.01)

    def test_check_bar_is_100_mm_long(self):
        longest = filled_rectangles(sticker_sheet(14, "a4"))[:, 0].max()

        assert longest == pytest.approx(100, abs=ROUNDING_MM)

    @pytest.mark.parametrize("size", SIZES_MM)
    def test_every_rectangle_of_the_design_is_printed_at_its_size(self, size):
        printed = filled_rectangles(sticker_sheet(size, "a4"))
        for shape in rectangles(size):
            sides = np.array([shape.right - shape.left, shape.bottom - shape.top]) * size
            near = np.abs(printed[:, :2] - sides).max(axis=1) < ROUNDING_MM
            code = 1.055 * max(shape.reflectance, 1e-9) ** (1 / 2.4) - 0.055
            grey = code if shape.reflectance > 0.01 else 0.0  # IEC 61966-2-1

            assert np.abs(printed[near, 2] - grey).min() < 0.005

    def test_holds_all_sizes_when_none_is_chosen(self):
        widths = filled_rectangles(sticker_sheet(None, "letter"))[:, 0]
        for size in SIZES_MM:
            assert np.abs(widths - size * (1 - 2 * 0.0175)).min() < ROUNDING_MM

    def test_says_what_to_do_and_that_it_is_no_verdict(self):
        text = PdfReader(io.BytesIO(sticker_sheet(14, "a4"))).pages[0].extract_text()

        for word in ("100 %", "Measure the bar", "Do not glue", "goes to the vet"):
            assert word in " ".join(text.split())

    def test_is_the_same_file_every_time(self):
        assert sticker_sheet(10, "letter") == sticker_sheet(10, "letter")

    def test_refuses_what_we_do_not_print(self):
        with pytest.raises(SettingsError, match="12 mm"):
            sticker_sheet(12, "a4")
        with pytest.raises(SettingsError, match="a3"):
            sticker_sheet(14, "a3")


class TestPicture:
    @pytest.mark.parametrize(("size", "dpi"), [(10, 600), (14, 1200), (20, 300)])
    def test_says_its_exact_side_and_resolution(self, size, dpi):
        file, side_mm = sticker_picture(size, dpi)
        picture = Image.open(io.BytesIO(file))

        assert picture.size == (round(size / 25.4 * dpi),) * 2
        assert side_mm == pytest.approx(picture.width / dpi * 25.4)
        assert side_mm == pytest.approx(size, abs=25.4 / dpi / 2)
        # pHYs counts whole pixels a metre (PNG, W3C 2003, 11.3.5.3)
        assert picture.info["dpi"][0] == pytest.approx(dpi, rel=1e-4)

    def test_shows_a_fiducial_that_opencv_reads(self):
        picture = np.array(Image.open(io.BytesIO(sticker_picture(20, 600)[0])))
        dictionary = cv2.aruco.getPredefinedDictionary(DICTIONARY)
        _, ids, _ = cv2.aruco.ArucoDetector(dictionary).detectMarkers(picture)

        assert ids.ravel().tolist() == [20]

    @pytest.mark.parametrize("dpi", [72, 9600])
    def test_refuses_a_useless_resolution(self, dpi):
        with pytest.raises(SettingsError, match=str(dpi)):
            sticker_picture(14, dpi)
