"""Change of colour: light cancels, noise is taken off, one odd visit is not believed."""

from datetime import datetime, timedelta

import numpy as np
import pytest

from lesioncompare.compare.colour import colour_change, difference, spot_as_at_first
from lesioncompare.compare.colour_course import follow_colour
from lesioncompare.records import Measurement, Photo, Reading, Visit
from lesioncompare.registry.tolerances import COLOUR_OWN
from lesioncompare.terms import Verdict

SPOT, SKIN = (38.0, 12.0, 14.0), (66.0, 20.0, 15.0)
START = datetime(2026, 3, 1)  # noqa: DTZ001  a photo's own clock has no zone


def measured(spot=SPOT, skin=SKIN, u=1.0):
    return Measurement({}, tuple(spot), tuple(skin), u)


def reading(**kinds):
    photo = Photo("x.jpg", "0", np.zeros((1, 1, 3), np.uint8), None, "none")
    return Reading(photo, measurement=measured(**kinds))


def visits(groups):
    return [
        Visit(START + timedelta(days=7 * i), tuple(reading(**one) for one in group))
        for i, group in enumerate(groups)
    ]


def verdicts(groups):
    return [change.verdict for change in follow_colour(visits(groups))]


def lit(lab, gains):
    """A Lab colour under light of other strength and tint, by a second library."""
    colour = pytest.importorskip("colour")
    illuminant = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    matrix = colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ
    xyz = colour.Lab_to_XYZ(lab, illuminant)
    return colour.XYZ_to_Lab(matrix @ (np.linalg.inv(matrix) @ xyz * np.array(gains)), illuminant)


class TestSpotAsAtFirst:
    def test_returns_the_same_colour_when_only_the_light_changed(self):
        gains = (1.3, 1.0, 0.7)
        later = measured(lit(SPOT, gains), lit(SKIN, gains))

        # libraries round white point and matrix differently, by up to 0.03 per coordinate
        assert spot_as_at_first(measured(), later) == pytest.approx(np.array(SPOT), abs=0.05)

    def test_keeps_a_change_of_the_spot_alone(self):
        later = measured((30.0, 12.0, 14.0))

        assert spot_as_at_first(measured(), later)[0] == pytest.approx(30.0, abs=1e-6)

    def test_takes_black_and_colours_outside_the_screen(self):
        assert np.isfinite(spot_as_at_first(measured(), measured((0, 0, 0), (50, 90, 80)))).all()


class TestDifference:
    def test_is_ciede2000(self):
        # Sharma, Wu & Dalal (2005) Color Res Appl 30:21–30, pairs 1 and 25
        pair = (50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485)
        assert difference(*pair) == pytest.approx(2.0425, abs=1e-4)
        pair = (60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387)
        assert difference(*pair) == pytest.approx(1.2644, abs=1e-4)


class TestColourChange:
    def test_of_the_first_photo_with_itself_is_zero(self):
        first = reading()
        change = colour_change(first, first)

        assert (change.value, change.low, change.high) == (0, 0, 0)

    def test_of_an_unchanged_spot_has_an_interval_from_zero(self):
        change = colour_change(reading(), reading(spot=(38.5, 12, 14)))

        assert change.low == 0
        assert change.high > 1

    def test_of_a_large_change_is_the_difference_itself(self):
        later = (20.0, 12.0, 14.0)
        change = colour_change(reading(), reading(spot=later))

        assert change.value == pytest.approx(difference(SPOT, later), rel=0.01)
        assert change.low < change.value < change.high

    def test_is_missing_where_nothing_was_measured(self):
        assert colour_change(reading(), Reading(reading().photo)) is None

    def test_states_an_interval_that_simulation_confirms(self):
        """Both photos err by 1 ΔE00 of their own, spread over three axes."""
        rng = np.random.default_rng(7)
        later = np.array((34.0, 14.0, 14.0))
        truth, sd = difference(SPOT, later), 1 / np.sqrt(3)
        axes = [difference(SPOT, np.array(SPOT) + step) for step in np.eye(3)]
        inside, u = [], 1 / COLOUR_OWN
        for _ in range(200):
            noisy = rng.normal(0, sd / np.array(axes), (2, 3))
            change = colour_change(
                reading(spot=SPOT + noisy[0], u=u), reading(spot=later + noisy[1], u=u)
            )
            inside.append(change.low <= truth <= change.high)

        # three binomial standard errors
        assert np.mean(inside) == pytest.approx(0.95, abs=0.046)


class TestFollowColour:
    def test_needs_a_second_visit(self):
        assert follow_colour(visits([[{}]])) == ()
        assert follow_colour([]) == ()

    def test_finds_nothing_where_nothing_changes(self):
        assert set(verdicts([[{}]] * 6)) == {Verdict.SAME}

    def test_one_odd_visit_is_not_confirmed(self):
        dark = [{"spot": (26.0, 12, 14)}]

        found = verdicts([[{}], [{}], [{}], [{}], dark, [{}], [{}]])
        assert found[3] == Verdict.UNCONFIRMED
        assert Verdict.CHANGED not in found

    def test_the_next_visit_confirms_it(self):
        dark = [{"spot": (26.0, 12, 14)}]

        assert verdicts([[{}], [{}], [{}], dark, dark])[-1] == Verdict.CHANGED

    def test_two_visits_that_went_opposite_ways_confirm_nothing(self):
        dark, light = [{"spot": (26.0, 12, 14)}], [{"spot": (50.0, 12, 14)}]

        assert Verdict.CHANGED not in verdicts([[{}], [{}], [{}], dark, light])

    def test_photos_of_one_visit_confirm_each_other(self):
        assert verdicts([[{}], [{}], [{"spot": (26.0, 12, 14)}] * 2])[-1] == Verdict.CHANGED

    def test_photos_confirm_each_other_only_where_each_is_odd_by_itself(self):
        """Eight unsure photos make a sure mean, but none of them tells anything alone."""
        steady, dark = [{}], [{"spot": (32.0, 12, 14), "u": 6.0}] * 8
        (*_, last) = follow_colour(visits([steady, steady, steady, dark]))

        assert last.difference > 4
        assert last.low > 0
        assert last.verdict == Verdict.UNCONFIRMED

    def test_a_visit_without_colour_is_passed_over(self):
        series = visits([[{}], [{}], [{}]])
        series[1] = Visit(series[1].when, (Reading(reading().photo),))

        assert [change.visit for change in follow_colour(series)] == [2]

    @pytest.mark.slow
    def test_stable_colours_are_left_alone(self):
        rng = np.random.default_rng(5)
        axes = [difference(SPOT, np.array(SPOT) + step) for step in np.eye(3)]
        called = 0
        for _ in range(20):
            noise = rng.normal(0, 1 / np.sqrt(3) / np.array(axes), (52, 3))
            called += Verdict.CHANGED in verdicts([[{"spot": SPOT + one}] for one in noise])

        assert called <= 1
