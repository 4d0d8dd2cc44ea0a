"""Whole visits in, changes out: sizes, borders and colours of photos with two rulers each."""

from datetime import datetime, timedelta
from math import exp, log

import numpy as np
import pytest

from lesioncompare.compare import change_from_first, compare
from lesioncompare.compare.levels import all_marks
from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import (
    Alignment,
    Calibration,
    Light,
    Measurement,
    Photo,
    Reading,
    Visit,
)
from lesioncompare.registry.tolerances import TOLERANCES
from lesioncompare.terms import CHANGES, MEASURES, Verdict

START = datetime(2026, 3, 1)  # noqa: DTZ001  a photo's own clock has no zone
LIGHT = Light(np.ones(3), np.zeros(3), np.zeros(2), 0.0, steady=True)
PHOTO = Photo("x.jpg", "0", np.zeros((1, 1, 3), np.uint8), None, "none")
STICKER_U = 0.03  # [1] of lengths


def reading(*, gap=0.0, first_gap=0.0, first=False, skin_u=0.01, lab=(38.0, 12.0, 14.0), **values):
    """A photo whose sticker reads lengths too large by exp(gap), and whose skin shows it."""
    quantities = {}
    for name, value in values.items():
        term = MEASURES[name]
        power = {"mm": 1, "mm²": 2}.get(term.unit, 0) if term.relative else 0
        seen = value * exp(power * gap)
        parts = (Component("plane", STICKER_U * power * seen),) if power else ()
        parts += (Component("border", 0.03 * seen),)
        quantities[name] = Quantity(seen, term.unit, parts, relative=term.relative)
    skin = 1.0 if first else exp(first_gap - gap)
    return Reading(
        PHOTO,
        calibration=Calibration(np.eye(3), 0.05, 0.0, (Component("plane", STICKER_U),), LIGHT),
        alignment=Alignment(np.eye(3), 0.1, 0.8, skin, 0.0 if first else skin_u * skin),
        measurement=Measurement(quantities, lab, (66.0, 20.0, 15.0), 1.0),
    )


def visits(*groups, days=None):
    when = [7 * i for i in range(len(groups))] if days is None else days
    return [
        Visit(START + timedelta(days=day), tuple(group))
        for day, group in zip(when, groups, strict=True)
    ]


class TestCompare:
    def test_gives_one_change_per_visit_after_the_first(self):
        changes = compare(visits(*([reading(area=5.0, first=i == 0)] for i in range(4))))

        assert [change.visit for change in changes["area"]] == [1, 2, 3]
        assert {change.verdict for change in changes["area"]} == {Verdict.SAME}

    def test_sees_through_a_sticker_that_lay_nearer_every_week(self):
        """The spot is unchanged; the sticker alone would say 35 % growth, steady and sure."""
        gaps = np.linspace(0, log(1.35) / 2, 10)
        series = visits(*([reading(area=5.0, gap=gap, first=gap == 0)] for gap in gaps))
        last = compare(series)["area"][-1]

        assert last.verdict == Verdict.SAME
        assert last.difference == pytest.approx(0, abs=0.03)

    def test_sees_growth_behind_stickers_that_lay_askew(self):
        rng = np.random.default_rng(3)
        gaps = rng.normal(0, STICKER_U, 14)
        series = visits(
            *(
                [reading(area=5 * exp(0.03 * i), gap=gaps[i], first_gap=gaps[0], first=i == 0)]
                for i in range(14)
            )
        )
        last = compare(series)["area"][-1]

        assert last.verdict == Verdict.CHANGED
        assert last.course.level == pytest.approx(0.39, abs=0.03)
        assert last.course.rate == pytest.approx(0.03 / 7, rel=0.1)

    def test_states_sizes_as_logarithms_of_ratios(self):
        series = visits([reading(area=5.0, first=True)], [reading(area=6.0)])
        (change,) = compare(series)["area"]

        assert change.difference == pytest.approx(log(1.2), abs=0.01)
        assert change.low < change.difference < change.high

    def test_states_other_measures_as_plain_differences(self):
        series = visits([reading(darkness=0.3, first=True)], [reading(darkness=0.5)])

        assert compare(series)["darkness"][0].difference == pytest.approx(0.2)

    def test_follows_every_measure_that_is_known(self):
        values = dict.fromkeys(MEASURES, 0.5)
        changes = compare(visits([reading(first=True, **values)], [reading(**values)]))

        assert set(changes) == set(CHANGES)
        assert set(TOLERANCES) == set(CHANGES)

    def test_passes_over_visits_without_the_measure(self):
        series = visits(
            [reading(area=5.0, first=True)], [reading(darkness=0.3)], [reading(area=5.0)]
        )
        changes = compare(series)

        assert [change.visit for change in changes["area"]] == [2]
        assert "darkness" not in changes

    def test_starts_at_the_first_visit_that_has_the_measure(self):
        series = visits(
            [reading(area=5.0, first=True)], [reading(darkness=0.3)], [reading(darkness=0.3)]
        )

        assert [change.visit for change in compare(series)["darkness"]] == [2]

    def test_says_nothing_of_one_visit_or_none(self):
        assert compare(visits([reading(area=5.0, first=True)])) == {}
        assert compare([]) == {}

    def test_takes_photos_that_gave_nothing(self):
        series = visits([reading(area=5.0, first=True)], [Reading(PHOTO)], [reading(area=5.0)])

        assert [change.visit for change in compare(series)["area"]] == [2]

    def test_repeats_on_the_day_lower_what_can_be_detected(self):
        one = compare(visits([reading(area=5.0, first=True)], [reading(area=5.0)]))
        trio = compare(
            visits([reading(area=5.0, first=i == 0) for i in range(3)], [reading(area=5.0)] * 3)
        )

        assert trio["area"][0].smallest_detectable < 0.8 * one["area"][0].smallest_detectable

    def test_refuses_visits_out_of_order(self):
        series = visits([reading(area=5.0, first=True)], [reading(area=5.0)], days=[7, 0])

        with pytest.raises(ValueError, match="order of time"):
            compare(series)


class TestChangeFromFirst:
    def test_of_the_first_photo_is_none_at_all(self):
        first = reading(area=5.0, first=True)
        ratio, colour = change_from_first(first, first)

        assert (ratio.value, ratio.u, colour.value, colour.u) == (1, 0, 0, 0)

    def test_agrees_with_the_series(self):
        series = visits([reading(area=5.0, first=True)], [reading(area=6.0, gap=0.02)])
        first, later = (visit.readings[0] for visit in series)
        ratio, _ = change_from_first(first, later)

        assert log(ratio.value) == pytest.approx(compare(series)["area"][0].difference)


class TestMarks:
    def test_of_a_reference_photo_that_was_left_out_since_are_level_all_the_same(self):
        """The photo all are aligned to may have been excluded from the visits."""
        rng = np.random.default_rng(8)
        gaps = rng.normal(0, STICKER_U, 5)
        series = visits(*([reading(area=5.0, gap=g, first_gap=0.05, skin_u=1e-4)] for g in gaps))
        levels = [mark.value for mark in all_marks(series)["area"]]

        assert np.ptp(levels) == pytest.approx(0, abs=2e-3)
