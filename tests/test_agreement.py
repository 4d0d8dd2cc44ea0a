"""Agreement and repeatability against the worked examples of the papers that defined them."""

from pathlib import Path

import numpy as np
import pytest

from lesioncompare.science.agreement import (
    bland_altman,
    intraclass_correlations,
    smallest_detectable_change,
    within_subject_sd,
)

REFERENCES = Path(__file__).parent / "references"
PEAK_FLOW = np.genfromtxt(REFERENCES / "peak_flow.csv", delimiter=",", skip_header=2)
RATINGS = np.genfromtxt(REFERENCES / "shrout_fleiss.csv", delimiter=",", skip_header=2)


class TestBlandAltman:
    def test_gives_the_published_mean_and_limits_of_the_two_meters(self):
        agreement = bland_altman(PEAK_FLOW[:, 0], PEAK_FLOW[:, 2])

        # published -2.1 and 38.8; more digits recomputed from the table, limits with 1.96 exactly
        assert agreement.mean == pytest.approx(-2.1176, abs=1e-4)
        assert agreement.sd == pytest.approx(38.7651, abs=1e-4)
        assert (agreement.low, agreement.high) == pytest.approx((-78.097, 73.862), abs=2e-3)

    def test_refuses_lists_that_do_not_pair(self):
        with pytest.raises(ValueError, match="first and second"):
            bland_altman([1, 2, 3], [1, 2])


class TestWithinSubjectSd:
    @pytest.mark.parametrize(("columns", "published"), [((0, 1), 15.3), ((2, 3), 19.9)])
    def test_gives_the_published_value_for_each_meter(self, columns, published):
        # Bland & Altman (1999) print 15.3 and 19.9 l/min
        sd, freedom = within_subject_sd(list(PEAK_FLOW[:, columns]))

        assert sd == pytest.approx(published, abs=0.05)
        assert freedom == 17

    def test_learns_nothing_from_single_measurements(self):
        assert within_subject_sd([[3.0], [4.0]]) == (0.0, 0)

    def test_agrees_with_a_simulated_truth_for_uneven_groups(self):
        rng = np.random.default_rng(4)
        groups = [rng.normal(rng.uniform(0, 9), 0.3, rng.integers(1, 5)) for _ in range(800)]

        sd, freedom = within_subject_sd(groups)

        # relative standard error of an sd is 1/sqrt(2 freedom); three of them
        assert sd == pytest.approx(0.3, rel=3 / np.sqrt(2 * freedom))


class TestSmallestDetectableChange:
    def test_is_2_77_within_subject_sds(self):
        # Bland & Altman (1996) BMJ 313:744; for the two meters 42.40 and 55.15 l/min
        assert smallest_detectable_change(1.0) == pytest.approx(2.7719, abs=1e-4)
        assert smallest_detectable_change(15.3067) == pytest.approx(42.43, abs=0.03)

    def test_shrinks_with_the_root_of_the_repeats(self):
        assert smallest_detectable_change(1.0, 3) == pytest.approx(1.600, abs=5e-4)


class TestIntraclassCorrelations:
    def test_gives_the_six_published_coefficients(self):
        found = intraclass_correlations(RATINGS)

        # Shrout & Fleiss print two decimals
        assert (
            found.one_way,
            found.two_way_random,
            found.two_way_mixed,
            found.one_way_mean,
            found.two_way_random_mean,
            found.two_way_mixed_mean,
        ) == pytest.approx((0.17, 0.29, 0.71, 0.44, 0.62, 0.91), abs=5e-3)

    def test_refuses_a_single_row(self):
        with pytest.raises(ValueError, match="ratings"):
            intraclass_correlations([[1.0, 2.0]])
