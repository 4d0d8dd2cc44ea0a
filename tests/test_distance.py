"""A distance is positive even without change: what can be said of the true one."""

import numpy as np
import pytest

from lesioncompare.science.distance import noise_distance, true_distance


class TestTrueDistance:
    @pytest.mark.parametrize("truth", [0.0, 1.0, 3.0, 8.0])
    def test_interval_covers_the_truth_nineteen_times_in_twenty(self, truth):
        rng = np.random.default_rng(int(truth) + 1)
        seen = np.linalg.norm(rng.normal([truth, 0, 0], 1.0, (300, 3)), axis=1)
        spans = [true_distance(one, 1.0)[1:] for one in seen]
        covered = np.mean([low <= truth <= high for low, high in spans])

        # three binomial standard errors; no change at all is covered a little more often
        assert 0.95 - 3 * 0.0126 < covered <= (0.99 if truth else 1.0)

    def test_estimate_is_nearer_to_no_change_than_what_was_seen(self):
        rng = np.random.default_rng(9)
        seen = np.linalg.norm(rng.normal(0, 1.0, (300, 3)), axis=1)

        assert np.median([true_distance(one, 1.0)[0] for one in seen]) < 0.3 < np.median(seen)

    def test_estimate_of_a_large_change_is_what_was_seen(self):
        assert true_distance(20.0, 1.0)[0] == pytest.approx(20.0, rel=0.01)

    def test_interval_of_a_large_change_is_that_of_one_axis(self):
        _, low, high = true_distance(50.0, 1.0)

        # far from zero only the axis along the change counts: ±1.96
        assert (50 - low, high - 50) == pytest.approx((1.96, 1.96), abs=0.05)

    @pytest.mark.parametrize("seen", [0.0, 0.01, 0.3])
    def test_interval_is_never_empty(self, seen):
        estimate, low, high = true_distance(seen, 1.0)

        assert low <= estimate <= high
        assert high > 1

    def test_without_noise_it_is_what_was_seen(self):
        assert true_distance(2.5, 0.0) == (2.5, 2.5, 2.5)


class TestNoiseDistance:
    def test_is_the_root_of_the_tabled_quantile(self):
        # chi-square with 3 degrees of freedom, 95 %: 7.815 (any table)
        assert noise_distance(2.0) == pytest.approx(2 * np.sqrt(7.815), rel=1e-4)
