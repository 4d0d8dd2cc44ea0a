"""The error budget, against the worked examples of JCGM 100:2008 (the GUM), annex H."""

from pathlib import Path

import numpy as np
import pytest

from lesioncompare.science import budget

REFERENCES = Path(__file__).parent / "references"


class TestEndGauge:
    """JCGM 100:2008, H.1: an end gauge compared with a standard; all of table H.1."""

    # l = l_S + d - l_S (δα θ + α_S δθ); nanometres and kelvins
    VALUES = np.array([50.000623e6, 215.0, 0.0, -0.1, 11.5e-6, 0.0])  # l_S d δα θ α_S δθ
    U = np.array([25.0, 9.7, 0.58e-6, 0.41, 1.2e-6, 0.029])
    FREEDOM = np.array([18, 25.6, 50, np.inf, np.inf, 2])

    @staticmethod
    def length_nm(inputs: np.ndarray) -> float:
        standard, difference, alphas, theta, alpha, thetas = inputs
        return standard + difference - standard * (alphas * theta + alpha * thetas)

    def shares(self) -> np.ndarray:
        slopes = budget.sensitivities(self.length_nm, self.VALUES, self.U)
        return np.abs(slopes[0]) * self.U

    def test_the_length_is_that_of_the_guide(self) -> None:
        assert self.length_nm(self.VALUES) == pytest.approx(50.000838e6, abs=0.5)

    def test_the_contributions_are_those_of_the_table(self) -> None:
        # the guide prints 25, 9.7, 2.9, 0, 0, 16.6 nm
        assert self.shares() == pytest.approx([25, 9.7, 2.9, 0, 0, 16.6], abs=0.1)

    def test_the_combined_uncertainty_is_32_nm(self) -> None:
        slopes = budget.sensitivities(self.length_nm, self.VALUES, self.U)
        variance = budget.combine(slopes, self.U)[0, 0]
        assert variance == pytest.approx(1002, abs=4)  # the guide cuts 16.675 to 16.6 first
        assert np.sqrt(variance) == pytest.approx(32, abs=0.5)

    def test_sixteen_effective_degrees_of_freedom_expand_it_to_93_nm(self) -> None:
        freedom = budget.effective_freedom(self.shares(), self.FREEDOM)
        assert freedom == pytest.approx(16.7, abs=0.1)
        factor = budget.coverage_factor(freedom, 0.99)
        assert factor == pytest.approx(2.92, abs=0.005)
        assert factor * np.sqrt((self.shares() ** 2).sum()) == pytest.approx(93, abs=0.6)


class TestResistanceAndReactance:
    """JCGM 100:2008, H.2: three correlated readings, three correlated results (table H.4)."""

    @pytest.fixture
    def readings(self) -> np.ndarray:
        values = np.loadtxt(REFERENCES / "gum_h2.csv", delimiter=",", skiprows=3)
        return values * [1, 1e-3, 1]

    @staticmethod
    def impedance(inputs: np.ndarray) -> np.ndarray:
        volt, ampere, radian = inputs
        return volt / ampere * np.array([np.cos(radian), np.sin(radian), 1.0])

    def results(self, readings: np.ndarray) -> np.ndarray:
        mean = readings.mean(axis=0)
        covariance = np.cov(readings.T) / len(readings)
        slopes = budget.sensitivities(self.impedance, mean, np.sqrt(np.diag(covariance)))
        return budget.combine(slopes, covariance)

    def test_the_correlations_of_the_readings_are_found(self, readings: np.ndarray) -> None:
        r = budget.correlation_of(np.cov(readings.T))
        assert (r[0, 1], r[0, 2], r[1, 2]) == pytest.approx((-0.36, 0.86, -0.65), abs=0.006)

    def test_values_and_uncertainties_are_those_of_the_table(self, readings: np.ndarray) -> None:
        assert self.impedance(readings.mean(axis=0)) == pytest.approx(
            [127.732, 219.847, 254.260], abs=0.001
        )
        u = np.sqrt(np.diag(self.results(readings)))
        assert u == pytest.approx([0.071, 0.295, 0.236], abs=0.001)

    def test_the_correlations_of_the_results_are_those_of_the_table(
        self, readings: np.ndarray
    ) -> None:
        r = budget.correlation_of(self.results(readings))
        assert (r[0, 1], r[0, 2], r[1, 2]) == pytest.approx((-0.588, -0.485, 0.993), abs=0.001)


class TestCombining:
    def test_an_area_counts_the_error_of_its_scale_twice(self) -> None:
        # A = N s²; scale 1 %, count 1.5 %: √(1.5² + (2·1)²) = 2.5 % (JCGM 100:2008, eq. 12)
        assert budget.of_powers([1, 2], [0.015, 0.01]) == pytest.approx(0.025, rel=1e-12)

    def test_correlated_errors_that_cancel_leave_nothing(self) -> None:
        u = budget.combine([1.0, -1.0], np.full((2, 2), 4.0))
        assert u[0, 0] == pytest.approx(0, abs=1e-12)

    def test_a_result_that_has_no_error_has_infinite_freedom(self) -> None:
        assert budget.effective_freedom([0.0, 0.0], [3, 4]) == np.inf

    def test_a_known_uncertainty_is_covered_by_the_normal_factor(self) -> None:
        assert budget.coverage_factor(np.inf) == pytest.approx(1.959964, abs=1e-6)

    def test_inputs_of_the_wrong_number_are_a_programmers_mistake(self) -> None:
        with pytest.raises(ValueError, match="covariance"):
            budget.combine([1.0, 2.0], [0.1, 0.1, 0.1])

    def test_first_order_agrees_with_random_draws_where_the_model_is_nearly_straight(self) -> None:
        """An independent second computation: 200 000 draws of a product of powers."""
        rng = np.random.default_rng(3)
        at, u = np.array([3.0, 0.5]), np.array([0.03, 0.004])
        draws = at + u * rng.standard_normal((200_000, 2))
        slopes = budget.sensitivities(lambda x: x[0] * x[1] ** 2, at, u)
        stated = np.sqrt(budget.combine(slopes, u)[0, 0])
        assert stated == pytest.approx((draws[:, 0] * draws[:, 1] ** 2).std(), rel=0.01)
