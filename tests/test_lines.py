"""Lines, trends and growth rates against certified and published numbers."""

from math import log
from pathlib import Path

import numpy as np
import pytest

from lesioncompare.science.lines import (
    doubling_time,
    fit_line,
    mann_kendall,
    specific_growth_rate,
    theil_sen,
)

REFERENCES = Path(__file__).parent / "references"


def table(name):
    return np.genfromtxt(REFERENCES / name, delimiter=",", skip_header=2)


class TestFitLine:
    def test_meets_the_certified_values_of_norris(self):
        x, y = table("norris.csv").T
        line = fit_line(x, y)

        # NIST StRD, certified to 15 digits
        assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
        assert line.slope == pytest.approx(1.00211681802045, rel=1e-9)
        assert line.intercept_u == pytest.approx(0.232818234301152, rel=1e-9)
        assert line.slope_u == pytest.approx(0.000429796848199937, rel=1e-9)
        assert line.residual_sd == pytest.approx(0.884796396144373, rel=1e-9)

    def test_agrees_with_a_general_solver_when_the_errors_differ(self):
        rng = np.random.default_rng(11)
        x, u = rng.uniform(0, 90, 14), rng.uniform(0.02, 0.2, 14)
        y = 0.4 + 0.01 * x + rng.normal(0, u)
        line = fit_line(x, y, u)
        design = np.column_stack([x, np.ones_like(x)]) / u[:, None]
        covariance = np.linalg.inv(design.T @ design)

        assert (line.slope, line.intercept) == pytest.approx(covariance @ design.T @ (y / u))
        assert (line.slope_u, line.intercept_u) == pytest.approx(np.sqrt(np.diag(covariance)))

    def test_joins_two_points_exactly(self):
        line = fit_line([0, 10], [1, 3], [0.1, 0.1])

        assert (line.slope, line.intercept, line.residual_sd) == pytest.approx((0.2, 1, 0))
        assert line.slope_u == pytest.approx(0.1 * np.sqrt(2) / 10)

    def test_refuses_one_single_moment(self):
        with pytest.raises(ValueError, match="different x"):
            fit_line([3, 3], [1, 2])

    def test_refuses_an_error_of_zero(self):
        with pytest.raises(ValueError, match="u must be positive"):
            fit_line([3, 4], [1, 2], [0.1, 0.0])


class TestTheilSen:
    def test_gives_slope_and_interval_of_sens_own_example(self):
        t, y = table("sen.csv").T
        line = theil_sen(t, y, confidence=0.93)

        assert line.slope == pytest.approx(4, abs=1e-9)
        assert (line.low, line.high) == pytest.approx((26 / 7, 35 / 8), abs=1e-9)
        assert line.intercept == pytest.approx(4, abs=1e-9)

    def test_is_not_turned_by_one_lost_outline(self):
        days = np.arange(0, 70, 7.0)
        y = 0.002 * days
        y[4] += 3.0

        assert theil_sen(days, y).slope == pytest.approx(0.002, rel=0.25)

    def test_takes_two_points(self):
        line = theil_sen([0, 7], [0.0, 0.7])

        assert (line.slope, line.low, line.high) == pytest.approx((0.1, 0.1, 0.1))

    def test_refuses_one_single_moment(self):
        with pytest.raises(ValueError, match="different x"):
            theil_sen([3, 3], [1, 2])


class TestMannKendall:
    def test_gives_the_worked_example_of_the_epa(self):
        trend = mann_kendall(table("mann_kendall.csv"))

        assert trend.s == 22
        assert trend.variance == pytest.approx(155.33, abs=5e-3)
        assert trend.z == pytest.approx(1.685, abs=1e-3)

    def test_sees_nothing_in_equal_numbers(self):
        trend = mann_kendall([2.0, 2.0, 2.0])

        assert (trend.s, trend.z, trend.p) == (0, 0, 1)

    def test_changes_sign_when_time_runs_backwards(self):
        y = table("mann_kendall.csv")

        assert mann_kendall(y[::-1]).z == -mann_kendall(y).z


class TestGrowth:
    def test_200_to_450_in_30_days_doubles_in_25_64(self):
        # Schwartz (1961) Cancer 14:1272, with the worked volumes 200 and 450 mm³
        assert doubling_time(specific_growth_rate(200, 450, 30)) == pytest.approx(25.64, abs=5e-3)

    def test_areas_of_8_and_9_mm_dots_double_in_176_55_days(self):
        rate = specific_growth_rate(8**2, 9**2, 60)

        assert doubling_time(rate) == pytest.approx(176.55, abs=5e-3)
        assert rate == pytest.approx(log(2) / 176.55, rel=1e-4)

    def test_equal_sizes_grow_by_zero_and_never_double(self):
        # Mehrara (2007): the doubling time of equal sizes does not exist, the rate does
        assert specific_growth_rate(5.0, 5.0, 7) == 0
        assert doubling_time(0.0) is None

    def test_shrinking_is_a_negative_rate(self):
        assert specific_growth_rate(6.0, 5.0, 7) == -specific_growth_rate(5.0, 6.0, 7) < 0

    @pytest.mark.parametrize("bad", [(0, 1, 1), (1, -1, 1), (1, 1, 0)])
    def test_refuses_sizes_and_times_that_are_not_positive(self, bad):
        with pytest.raises(ValueError, match="must be positive"):
            specific_growth_rate(*bad)
