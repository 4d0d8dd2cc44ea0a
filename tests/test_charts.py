"""Sequential charts against textbook charts and run-length tables."""

from pathlib import Path

import numpy as np
import pytest

from lesioncompare.science.charts import cusum, cusum_run_length, ewma, ewma_run_length

REFERENCES = Path(__file__).parent / "references"
EXAMPLE = np.genfromtxt(REFERENCES / "chart_example.csv", skip_header=2) - 10.0
CUSUM_TABLE = np.genfromtxt(REFERENCES / "cusum_run_lengths.csv", delimiter=",", skip_header=2)
EWMA_TABLE = np.genfromtxt(REFERENCES / "ewma_run_lengths.csv", delimiter=",", skip_header=2)
EWMA_CHARTS = [(0.40, 3.054), (0.25, 2.998), (0.20, 2.962), (0.10, 2.814), (0.05, 2.615)]


class TestCusum:
    def test_draws_the_textbook_chart(self):
        # Montgomery, Table 9.1 with k 0.5, h 5: out at sample 29, shift placed after sample 22
        chart = cusum(EXAMPLE, 0.5)

        assert chart.up[27:30] == pytest.approx([4.47, 5.28, 5.30], abs=5e-3)
        assert np.argmax(chart.up > 5) + 1 == 29
        assert 29 - chart.up_run[28] == 22
        assert chart.down.max() == pytest.approx(1.77, abs=5e-3)

    def test_is_the_same_upside_down(self):
        chart, turned = cusum(EXAMPLE), cusum(-EXAMPLE)

        assert list(turned.down) == list(chart.up)
        assert list(turned.up_run) == list(chart.down_run)


class TestEwma:
    def test_draws_the_textbook_chart(self):
        # Montgomery, Table 9.1 with λ 0.1, L 2.7
        chart = ewma(EXAMPLE, 1.0, 0.1)

        assert 10 + chart.smoothed[[0, 1, 28]] == pytest.approx([9.945, 9.7495, 10.64682])
        assert 2.7 * chart.u[[0, 1]] == pytest.approx([0.27, 0.3632], abs=5e-5)
        assert 2.7 * chart.u[-1] == pytest.approx(0.6194, abs=1e-3)
        assert list(np.flatnonzero(np.abs(chart.smoothed) > 2.7 * chart.u) + 1) == [29, 30]

    def test_states_an_uncertainty_that_simulation_confirms_for_unequal_readings(self):
        rng = np.random.default_rng(2)
        u = np.array([0.05, 0.2, 0.1, 0.05, 0.3])
        ends = [ewma(rng.normal(0, u), u, 0.3).smoothed[-1] for _ in range(4000)]

        # three standard errors of a simulated sd
        assert np.std(ends) == pytest.approx(ewma(u, u, 0.3).u[-1], rel=3 / np.sqrt(2 * 4000))


class TestRunLengths:
    @pytest.mark.parametrize("column", [1, 2])
    def test_of_the_cusum_are_those_of_the_table(self, column):
        # three printed figures
        for shift, *lengths in CUSUM_TABLE:
            found = cusum_run_length(shift, 0.5, 3.0 + column)
            assert found == pytest.approx(lengths[column - 1], rel=6e-3)

    @pytest.mark.parametrize("column", range(5))
    def test_of_the_ewma_are_those_of_the_table(self, column):
        smoothing, limit = EWMA_CHARTS[column]
        for shift, *lengths in EWMA_TABLE:
            found = ewma_run_length(shift, smoothing, limit)
            # printed with one decimal at most, and limits with three
            assert found == pytest.approx(lengths[column], rel=4e-3, abs=0.06)

    def test_of_the_ewma_meet_the_digits_of_a_statistics_package(self):
        # SAS/QC documentation: EWMAARL(1, 0.25, 3.0) = 11.154267016
        assert ewma_run_length(1.0, 0.25, 3.0) == pytest.approx(11.154267016, abs=1e-8)

    def test_of_a_cusum_are_those_of_runs_really_drawn(self):
        rng = np.random.default_rng(8)
        runs = []
        for _ in range(1500):
            chart = cusum(rng.normal(1.0, 1.0, 80), 0.5)
            runs.append(np.argmax(np.maximum(chart.up, chart.down) > 5) + 1)

        # three standard errors
        error = 3 * np.std(runs) / np.sqrt(len(runs))
        assert np.mean(runs) == pytest.approx(cusum_run_length(1.0, 0.5, 5.0), abs=error)
