"""The psychometric curve against a published probit fit, and against observers of known noise."""

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

from lesioncompare.science.psychometric import fit_curve

TABLE = Path(__file__).parent / "references" / "beetles.csv"


def test_a_published_probit_fit() -> None:
    """Bliss (1935) as fitted in Dobson's textbook: -34.94 and 19.73."""
    lines = [line for line in TABLE.read_text().splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    columns = [[float(row[c]) for row in rows] for c in ("log_dose", "killed", "exposed")]
    curve = fit_curve(*columns)
    assert curve.intercept == pytest.approx(-34.94, abs=0.01)
    assert curve.slope == pytest.approx(19.73, abs=0.01)
    # a slope's normal interval is 19.73 ± 1.96 × 1.48; the profile is a little lopsided
    assert 1 / curve.high == pytest.approx(19.73 - 1.96 * 1.48, abs=0.3)
    assert 1 / curve.low == pytest.approx(19.73 + 1.96 * 1.48, abs=0.3)


SIZES = np.array([0.0, 0.095, 0.18, 0.30, 0.47])  # log area ratios of 0 to 60 %


def observer(rng, sigma: float, criterion: float, trials: int):
    """How often somebody with this inner noise and readiness says "changed"."""
    return rng.binomial(trials, norm.cdf(SIZES / sigma - criterion)), np.full(len(SIZES), trials)


def test_the_threshold_does_not_depend_on_how_readily_a_person_says_changed() -> None:
    rng = np.random.default_rng(5)
    for criterion in (0.2, 1.2):
        said, asked = observer(rng, 0.2, criterion, 4000)
        assert fit_curve(SIZES, said, asked).threshold == pytest.approx(0.2, rel=0.06)


def test_stated_intervals_hold_the_truth() -> None:
    """95 % intervals on 80 simulated people with 20 answers a size; binomial limits at 4 sigma."""
    rng = np.random.default_rng(6)
    held = 0
    for _ in range(80):
        curve = fit_curve(SIZES, *observer(rng, 0.25, 1.0, 20))
        held += (curve.low or 0) <= 0.25 <= (curve.high or np.inf)
    assert held / 80 >= 0.95 - 4 * (0.95 * 0.05 / 80) ** 0.5


def test_who_sees_everything_gets_an_upper_bound_only() -> None:
    curve = fit_curve(SIZES, [0, 6, 6, 6, 6], [12, 6, 6, 6, 6])
    assert curve.threshold is None or curve.threshold < 0.03
    assert curve.low is None
    assert curve.high < 0.095


def test_who_guesses_gets_no_threshold() -> None:
    curve = fit_curve(SIZES, [3, 3, 3, 3, 3], [6, 6, 6, 6, 6])
    assert curve.high is None
    falling = fit_curve(SIZES, [6, 5, 3, 2, 0], [6, 6, 6, 6, 6])
    assert (falling.threshold, falling.low, falling.high) == (None, None, None)


def test_the_curve_gives_back_shares() -> None:
    curve = fit_curve(SIZES, *observer(np.random.default_rng(1), 0.2, 1.0, 4000))
    assert curve.share(SIZES) == pytest.approx(norm.cdf(SIZES / 0.2 - 1), abs=0.03)


@pytest.mark.parametrize("wrong", [([0, 0], [1, 1], [2, 2]), ([0, 1], [3, 1], [2, 2])])
def test_impossible_counts_are_refused(wrong) -> None:
    with pytest.raises(ValueError, match="must"):
        fit_curve(*wrong)
