"""Two rulers in one size: the skin near the spot corrects a sticker out of its plane."""

from math import exp, log, sqrt

import numpy as np
import pytest

from lesioncompare.compare.rulers import area_ratio, corrections, rulers_disagree
from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import (
    Alignment,
    Calibration,
    Light,
    Measurement,
    Photo,
    Reading,
)

LIGHT = Light(np.ones(3), np.zeros(3), np.zeros(2), 0.0, steady=True)


def reading(area=5.0, *, skin=1.0, skin_u=0.01, plane=0.03, residual=0.1, border=0.1, aligned=True):
    """A photo with an area [mm²], and a sticker of which plane is the relative scale error."""
    parts = (Component("plane", plane), Component("print", 0.02, common=True))
    quantity = Quantity(
        area,
        "mm²",
        (
            Component("plane", 2 * plane * area),
            Component("print", 2 * 0.02 * area, common=True),
            Component("border", border),
        ),
        relative=True,
    )
    return Reading(
        Photo("x.jpg", "0", np.zeros((1, 1, 3), np.uint8), None, "none"),
        calibration=Calibration(np.eye(3), 0.05, 0.0, parts, LIGHT),
        alignment=Alignment(np.eye(3), residual, 0.8, skin, skin_u) if aligned else None,
        measurement=Measurement({"area": quantity}, (40, 10, 10), (70, 15, 12), 1.0),
    )


FIRST = reading(skin_u=0.0)


class TestAreaRatio:
    def test_of_the_first_photo_with_itself_is_exactly_one(self):
        ratio = area_ratio(FIRST, FIRST)

        assert (ratio.value, ratio.u, ratio.low, ratio.high) == (1, 0, 1, 1)

    def test_believes_a_precise_skin_ruler_almost_wholly(self):
        # the sticker read 5 % too large in length; skin says so
        later = reading(5.0 * 1.05**2, skin=1 / 1.05, skin_u=0.003)

        assert area_ratio(FIRST, later).value == pytest.approx(1.0, abs=0.003)

    def test_falls_back_on_the_sticker_without_an_alignment(self):
        ratio = area_ratio(FIRST, reading(6.0, aligned=False))

        assert ratio.value == pytest.approx(1.2)
        # two stickers, each 3 % in length
        scale = next(part for part in ratio.components if part.name == "scale")
        assert scale.u / ratio.value == pytest.approx(2 * 0.03 * sqrt(2))

    def test_weighs_both_rulers_by_inverse_variance(self):
        """A second computation: the fusion of two independent estimates (JCGM 100:2008)."""
        ratio = area_ratio(FIRST, reading(5.0, skin=1.03, skin_u=0.04 * 1.03))
        sticker, skin = 0.03**2 * 2, 0.04**2
        fused = 2 * log(1.03) * sticker / (sticker + skin)
        u = 2 * sqrt(1 / (1 / sticker + 1 / skin))

        assert log(ratio.value) == pytest.approx(fused)
        scale = next(part for part in ratio.components if part.name == "scale")
        assert scale.u / ratio.value == pytest.approx(u)

    def test_does_not_count_the_print_of_the_sticker(self):
        ratio = area_ratio(FIRST, reading(5.0, skin_u=1e-6, border=1e-6))

        assert ratio.u < 0.04  # print alone would be 2 * 0.02 * sqrt(2)

    def test_is_missing_where_an_area_is_missing(self):
        assert area_ratio(FIRST, Reading(FIRST.photo)) is None

    def test_states_a_scale_error_that_simulation_confirms(self):
        rng = np.random.default_rng(3)
        misses = []
        for _ in range(400):
            g0, g1, k = rng.normal(0, (0.03, 0.03, 0.02))
            first = reading(5 * exp(2 * g0), skin_u=0.0, border=0)
            ratio = area_ratio(
                first, reading(5 * exp(2 * g1), skin=exp(g0 - g1 + k), skin_u=0.02, border=0)
            )
            scale = next(part for part in ratio.components if part.name == "scale")
            misses.append(log(ratio.value) / (scale.u / ratio.value))

        # three standard errors of a simulated sd
        assert np.std(misses) == pytest.approx(1, abs=3 / sqrt(800))


class TestCorrections:
    def test_of_many_photos_scatter_as_stated(self):
        rng = np.random.default_rng(4)
        misses = []
        for _ in range(150):
            g = rng.normal(0, 0.03, 6)
            k = rng.normal(0, 0.015, 6)
            photos = [reading(skin_u=0.0)] + [
                reading(skin=exp(g[0] - g[i] + k[i]), skin_u=0.015) for i in range(1, 6)
            ]
            found = corrections(photos)
            left = [g[i] + found[i].shift for i in range(6)]
            u = found[3].u_against(found[2].follow)
            misses.append((left[3] - left[2]) / np.hypot(u, found[2].own_u))

        assert np.std(misses) == pytest.approx(1, abs=3 / sqrt(2 * 150))

    def test_photos_without_alignment_do_not_disturb_the_others(self):
        photos = [FIRST, reading(skin=1.04, skin_u=0.01), reading(aligned=False)]

        assert corrections(photos[:2])[1].shift == pytest.approx(corrections(photos)[1].shift)


class TestDisagreement:
    def test_is_silent_within_the_errors(self):
        assert rulers_disagree(FIRST, reading(skin=1.05)) == ()

    def test_says_the_skin_is_believed_when_it_lies_well(self):
        (note,) = rulers_disagree(FIRST, reading(skin=1.2, residual=0.1))

        assert note.key == "rulers_disagree"
        assert "skin is believed" in note.says

    def test_says_the_sticker_is_believed_when_the_alignment_is_poor(self):
        poor = reading(skin=1.2, residual=0.9)
        (note,) = rulers_disagree(FIRST, poor)

        assert "sticker is believed" in note.says
        assert area_ratio(FIRST, poor).value == pytest.approx(1.0)
