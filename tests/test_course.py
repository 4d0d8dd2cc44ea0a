"""The series model on numbers alone: what it learns, when it speaks and when it keeps still."""

from math import log

import numpy as np
import pytest

from lesioncompare.compare.course import BASELINE_VISITS, Mark, follow, visit_u
from lesioncompare.quantity import COVERAGE_95
from lesioncompare.terms import Verdict

FLOOR = log(1.1)


def marks(levels, u=0.06, *, step_days=7, days=None, between=0.0):
    """Visits from a list of levels, a level being a number or the several photos of a visit."""
    rows = [np.atleast_1d(np.asarray(level, float)) for level in levels]
    when = [i * step_days for i in range(len(rows))] if days is None else days
    return [
        Mark(i, float(when[i]), row, np.full(row.size, float(u)), between)
        for i, row in enumerate(rows)
    ]


def verdicts(judged):
    return [one.verdict for one in judged]


class TestTwoVisits:
    def test_equal_sizes_change_by_zero_and_grow_by_zero(self):
        (one,) = follow(marks([0.3, 0.3]))

        assert (one.difference, one.course.rate, one.verdict) == (0, 0, Verdict.SAME)

    def test_the_smallest_detectable_change_is_2_77_within_subject_sds(self):
        # Bland & Altman (1996) BMJ 313:744; equal visits confirm the stated u only a little
        (one,) = follow(marks([0.0, 0.06 * np.sqrt(2)]))

        assert one.smallest_detectable == pytest.approx(2.77 * 0.06, rel=1e-3)

    def test_one_large_difference_of_single_photos_is_odd_but_not_confirmed(self):
        (one,) = follow(marks([0.0, 0.5]))

        assert one.verdict == Verdict.UNCONFIRMED

    def test_three_photos_a_visit_that_agree_confirm_it_at_once(self):
        (one,) = follow(marks([[0.0, 0.02, -0.02], [0.47, 0.5, 0.53]]))

        assert one.verdict == Verdict.CHANGED

    def test_one_odd_photo_among_three_confirms_nothing(self):
        (one,) = follow(marks([[0.0, 0.02, -0.02], [0.0, 0.02, 1.2]]))

        assert one.verdict != Verdict.CHANGED


class TestTwoStepSpeaking:
    def test_one_odd_visit_then_nothing_stays_unconfirmed(self):
        judged = follow(marks([0, 0.02, -0.03, 0.01, 0.02, 0.6, 0.0, 0.01, -0.02]))

        assert verdicts(judged)[4] == Verdict.UNCONFIRMED
        assert Verdict.CHANGED not in verdicts(judged)

    def test_the_next_visit_confirms_an_odd_one(self):
        judged = follow(marks([0, 0.02, -0.03, 0.01, 0.02, 0.4, 0.42]))

        assert verdicts(judged)[-2:] == [Verdict.UNCONFIRMED, Verdict.CHANGED]

    def test_the_next_visit_confirms_an_odd_second_visit_too(self):
        assert verdicts(follow(marks([0, 0.5, 0.48]))) == [Verdict.UNCONFIRMED, Verdict.CHANGED]

    def test_odd_visits_on_opposite_sides_confirm_nothing(self):
        judged = follow(marks([0, 0.02, -0.03, 0.01, 0.4, -0.4, 0.0]))

        assert Verdict.CHANGED not in verdicts(judged)

    def test_shrinking_speaks_like_growth(self):
        levels = np.array([0, 0.02, -0.03, 0.01, 0.02, 0.4, 0.42, 0.4])
        up, down = follow(marks(levels)), follow(marks(-levels))

        assert verdicts(up) == verdicts(down)
        assert [-one.difference for one in down] == pytest.approx([o.difference for o in up])

    def test_what_was_said_of_a_visit_does_not_depend_on_later_ones(self):
        levels = np.random.default_rng(3).normal(0, 0.06, 20)
        levels[12:] += 0.4

        assert verdicts(follow(marks(levels)))[:10] == verdicts(follow(marks(levels[:11])))

    def test_a_sure_change_below_the_floor_is_not_called_one(self):
        judged = follow(marks([0] * 5 + [0.05] * 9, u=0.005), floor=FLOOR)

        assert Verdict.CHANGED not in verdicts(judged)
        assert Verdict.CHANGED in verdicts(follow(marks([0] * 5 + [0.05] * 9, u=0.005)))

    @pytest.mark.parametrize("back", [log(0.95), log(1.02)])
    def test_a_spot_that_went_back_is_not_called_changed(self, back):
        """Six visits a third larger do not make a smaller or an equal spot one that changed."""
        grown = [0, 0.01, -0.01, 0.0] + [log(1.3)] * 6
        judged = follow(marks([*grown, back], u=0.03), floor=FLOOR)

        assert verdicts(judged)[-2] == Verdict.CHANGED
        assert judged[-1].course.smoothed > judged[-1].course.limit  # the chart remembers
        assert judged[-1].verdict != Verdict.CHANGED

    def test_a_steady_line_needs_a_last_visit_beyond_the_floor(self):
        levels = [*np.linspace(0, 0.2, 9), 0.08]
        judged = follow(marks(levels, u=0.02), floor=FLOOR)

        assert verdicts(judged)[-2:] == [Verdict.CHANGED, Verdict.SAME]

    def test_a_visit_that_could_not_show_a_doubling_cannot_tell(self):
        (one,) = follow(marks([0.0, 0.4], u=0.5), hopeless=log(2))

        assert one.verdict == Verdict.UNKNOWN


class TestBaseline:
    def test_is_the_mean_of_the_first_visits(self):
        levels = [0.0, 0.06, 0.02, 0.04, 0.1]
        last = follow(marks(levels))[-1]

        assert last.difference == pytest.approx(0.1 - np.mean(levels[:BASELINE_VISITS]))

    def test_leaves_out_an_odd_early_visit(self):
        last = follow(marks([0.0, 0.9, 0.01, 0.02, 0.03]))[-1]

        assert last.difference == pytest.approx(0.03 - 0.01)

    def test_never_takes_visits_from_beyond_the_first_month(self):
        last = follow(marks([0.0, 0.1, 0.2], u=0.2, days=[0, 60, 120]))[-1]

        assert last.difference == pytest.approx(0.2)

    def test_monthly_visits_show_growth_of_a_third_in_three_months(self):
        judged = follow(marks([0.0, 0.1, 0.2, 0.3], u=0.04, days=[0, 30, 61, 91]))

        assert judged[-1].verdict == Verdict.CHANGED


class TestDates:
    def test_gaps_of_years_do_no_harm(self):
        judged = follow(marks([0, 0.01, 0.02, 0.01], days=[0, 7, 900, 1900]))

        assert verdicts(judged) == [Verdict.SAME] * 3

    def test_the_rate_is_growth_per_day_whatever_the_spacing(self):
        days = np.array([0, 5, 6, 19, 40, 41, 80])
        rate = log(2) / 100  # doubles in 100 days
        course = follow(marks(rate * days, days=days))[-1].course

        assert course.rate == pytest.approx(rate)
        assert course.rate_low < rate < course.rate_high

    def test_levels_and_steps_are_plain_differences(self):
        course = follow(marks([0.1, 0.2, 0.5]))[-1].course

        assert (course.level, course.since_last) == pytest.approx((0.4, 0.3))


class TestRepeatability:
    def test_starts_from_what_the_photos_state(self):
        assert visit_u(marks([0.0, 0.0]))[0, 0] == pytest.approx(0.06)

    @pytest.mark.parametrize("true", [0.03, 0.12])
    def test_is_learnt_from_the_repeats_of_a_spot(self, true):
        rng = np.random.default_rng(5)
        known = visit_u(marks(rng.normal(0, true, (60, 3)), u=0.06))[-1, -1]

        # 120 repeats and 60 steps against a prior worth 10, in variance
        assert known == pytest.approx(true / np.sqrt(3), rel=0.25)

    def test_is_learnt_from_visits_of_single_photos_too(self):
        rng = np.random.default_rng(6)
        known = visit_u(marks(rng.normal(0, 0.03, 80), u=0.06))[-1, -1]

        assert 0.025 < known < 0.042

    def test_is_not_spoilt_by_one_lost_outline(self):
        levels = np.random.default_rng(7).normal(0, 0.06, 30)
        kept = visit_u(marks(levels))[-1, -1]
        levels[15] += 2.0

        assert visit_u(marks(levels))[-1, -1] == pytest.approx(kept, rel=0.2)

    def test_repeats_of_the_day_cannot_average_out_what_differs_between_days(self):
        many = visit_u(marks([np.zeros(50), np.zeros(50)], between=0.05))[0, 0]

        assert many == pytest.approx(0.05, rel=0.1)

    def test_the_stated_uncertainty_of_a_difference_is_true(self):
        """Over many stable series the differences scatter as stated: 95 % within ±1.96 u."""
        rng = np.random.default_rng(12)
        ends = [follow(marks(rng.normal(0, 0.06, 7)))[-1] for _ in range(500)]
        inside = [abs(one.difference) < COVERAGE_95 * one.u for one in ends]

        # three binomial standard errors
        assert np.mean(inside) == pytest.approx(0.95, abs=0.03)


@pytest.mark.slow
class TestOperatingPoint:
    """A small sample of what benchmarks/operating_point.py reports at length."""

    def test_stable_spots_are_left_alone_for_five_years(self):
        rng = np.random.default_rng(21)
        called = sum(
            Verdict.CHANGED in verdicts(follow(marks(rng.normal(0, 0.06, 260)), floor=FLOOR))
            for _ in range(25)
        )

        assert called <= 4

    def test_a_third_more_in_three_months_is_found_in_nine_of_ten(self):
        rng = np.random.default_rng(22)
        growth = np.concatenate([np.zeros(5), np.linspace(0, log(1.35), 14)[1:]])
        found = sum(
            Verdict.CHANGED
            in verdicts(follow(marks(growth + rng.normal(0, 0.06, growth.size)), floor=FLOOR))
            for _ in range(60)
        )

        assert found >= 54
