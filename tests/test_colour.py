"""Colour against the published tables and two general colour libraries."""

from pathlib import Path

import colour
import numpy as np
import pytest

from lesioncompare.science.colour import (
    DECODED,
    decode,
    delta_e00,
    linear_to_lab,
    linear_to_srgb,
    luminance,
    srgb_to_linear,
    straighten,
    straightened,
)

REFERENCES = Path(__file__).parent / "references"


def table(name):
    return np.genfromtxt(REFERENCES / name, delimiter=",", skip_header=2)


class TestDecoding:
    def test_meets_the_standard_at_tabled_codes(self):
        codes, linear = table("srgb_linear.csv").T

        assert DECODED[codes.astype(int)] == pytest.approx(linear, abs=1e-9)  # table's rounding

    def test_gives_back_every_code(self):
        codes = np.arange(256, dtype=np.uint8)

        assert np.array_equal(linear_to_srgb(srgb_to_linear(codes)), codes)

    def test_never_falls_as_codes_rise(self):
        assert np.all(np.diff(DECODED) > 0)

    def test_middle_grey_codes_are_where_the_standard_puts_them(self):
        # 119 is nearest to L* = 50, 188 nearest to half the light (IEC 61966-2-1)
        lightness = linear_to_lab(np.repeat(DECODED[:, None], 3, axis=1))[:, 0]

        assert np.argmin(np.abs(lightness - 50)) == 119
        assert lightness[119] == pytest.approx(50.034, abs=0.005)
        assert np.argmin(np.abs(DECODED - 0.5)) == 188

    def test_clips_light_that_no_code_can_hold(self):
        assert linear_to_srgb(np.array([-0.1, 1.7])).tolist() == [0, 255]


class TestLab:
    def test_meets_tabled_colours(self):
        rows = table("srgb_lab.csv")
        lab = linear_to_lab(DECODED[rows[:, :3].astype(int)])

        # 0.03: what two general libraries differ by, for the rounding of matrix and white
        assert lab == pytest.approx(rows[:, 3:], abs=0.03)

    def test_agrees_with_colour_science_all_over_the_cube(self):
        light = np.random.default_rng(3).uniform(0, 1, (500, 3))
        xyz = colour.RGB_to_XYZ(light, colour.RGB_COLOURSPACES["sRGB"])
        white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]

        assert linear_to_lab(light) == pytest.approx(colour.XYZ_to_Lab(xyz, white), abs=0.04)

    def test_keeps_the_shape_of_a_picture(self):
        assert linear_to_lab(np.zeros((4, 7, 3))).shape == (4, 7, 3)

    def test_luminance_is_the_y_of_xyz(self):
        light = np.random.default_rng(4).uniform(0, 1, (50, 3))
        xyz = colour.RGB_to_XYZ(light, colour.RGB_COLOURSPACES["sRGB"])

        assert luminance(light) == pytest.approx(xyz[:, 1], abs=1e-4)  # 4-digit coefficients


class TestDeltaE00:
    def test_meets_all_34_published_pairs(self):
        rows = table("ciede2000.csv")

        assert len(rows) == 34
        assert delta_e00(rows[:, :3], rows[:, 3:6]) == pytest.approx(rows[:, 6], abs=5.1e-5)

    def test_does_not_care_which_colour_comes_first(self):
        rows = table("ciede2000.csv")
        there, back = delta_e00(rows[:, :3], rows[:, 3:6]), delta_e00(rows[:, 3:6], rows[:, :3])

        assert there == pytest.approx(back, abs=1e-10)

    def test_is_nothing_between_a_colour_and_itself(self):
        rows = table("ciede2000.csv")[:, :3]

        assert delta_e00(rows, rows) == pytest.approx(0, abs=1e-12)


class TestStraightened:
    def test_without_bend_is_plain_srgb(self):
        assert straightened(0.0) == pytest.approx(DECODED)

    @pytest.mark.parametrize("bend", [-0.4, 0.3, 0.8])
    def test_keeps_black_white_and_order(self, bend):
        light = straightened(bend)

        assert (light[0], light[255]) == pytest.approx((0, 1))
        assert np.all(np.diff(light) > 0)

    def test_undoes_a_smooth_step_to_first_order(self):
        # a phone's liveliness as a share of the smooth step 3c^2 - 2c^3 blended in
        codes = np.arange(256) / 255
        lively = codes + 0.2 * (3 * codes**2 - 2 * codes**3 - codes)
        plain = decode(lively)

        left = np.abs(straighten(plain, 0.2) - DECODED).max()

        assert left < 0.25 * np.abs(plain - DECODED).max()  # the second order

    def test_works_on_light_as_on_codes(self):
        assert straighten(DECODED, 0.25) == pytest.approx(straightened(0.25))
