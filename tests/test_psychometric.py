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
    assert curve.half == pytest.approx(34.94 / 19.73, abs=1e-3)
    # the normal interval of the half point by the delta method, worked out here from the
    # information matrix of a probit model; the profile is a little lopsided
    dose, _, exposed = (np.asarray(column) for column in columns)
    z = curve.slope * dose + curve.intercept
    weight = exposed * norm.pdf(z) ** 2 / (norm.cdf(z) * norm.sf(z))
    design = np.column_stack([np.ones_like(dose), dose])
    covariance = np.linalg.inv(design.T @ (weight[:, None] * design))
    lean = np.array([-1 / curve.slope, curve.intercept / curve.slope**2])
    half_u = float(np.sqrt(lean @ covariance @ lean))
    assert curve.high - curve.half == pytest.approx(1.96 * half_u, rel=0.15)
    assert curve.half - curve.low == pytest.approx(1.96 * half_u, rel=0.15)


SIZES = np.array([0.0, 0.095, 0.18, 0.30, 0.47])  # log area ratios of 0 to 60 %


def observer(rng, sigma: float, criterion: float, trials: int):
    """How often somebody with this inner noise and readiness says "changed"."""
    return rng.binomial(trials, norm.cdf((SIZES - criterion) / sigma)), np.full(len(SIZES), trials)


def test_half_and_false_alarms_come_back() -> None:
    rng = np.random.default_rng(5)
    for criterion in (0.1, 0.3):
        curve = fit_curve(SIZES, *observer(rng, 0.15, criterion, 4000))
        assert curve.half == pytest.approx(criterion, abs=0.01)
        assert curve.share(0) == pytest.approx(norm.cdf(-criterion / 0.15), abs=0.02)


def test_stated_intervals_hold_the_truth() -> None:
    """95 % intervals on 80 simulated people with 20 answers a size; binomial limits at 4 sigma."""
    rng = np.random.default_rng(6)
    held = 0
    for _ in range(80):
        curve = fit_curve(SIZES, *observer(rng, 0.2, 0.25, 20))
        held += (-np.inf if curve.low is None else curve.low) <= 0.25
        held -= (np.inf if curve.high is None else curve.high) < 0.25
    assert held / 80 >= 0.95 - 4 * (0.95 * 0.05 / 80) ** 0.5


def test_who_never_errs_has_a_half_between_the_last_missed_and_the_first_seen() -> None:
    curve = fit_curve(SIZES, [0, 0, 0, 6, 6], [12, 6, 6, 6, 6])
    assert 0.18 <= curve.half <= 0.30
    assert curve.low < curve.half < curve.high
    assert curve.share(0) < 0.01


def test_who_guesses_or_answers_the_wrong_way_round_has_none() -> None:
    curve = fit_curve(SIZES, [3, 3, 3, 3, 3], [6, 6, 6, 6, 6])
    assert (curve.low, curve.high) == (None, None)
    falling = fit_curve(SIZES, [6, 5, 3, 2, 0], [6, 6, 6, 6, 6])
    assert (falling.half, falling.low, falling.high) == (None, None, None)


def test_the_curve_gives_back_shares() -> None:
    curve = fit_curve(SIZES, *observer(np.random.default_rng(1), 0.2, 0.2, 4000))
    assert curve.share(SIZES) == pytest.approx(norm.cdf((SIZES - 0.2) / 0.2), abs=0.03)


@pytest.mark.parametrize("wrong", [([0, 0], [1, 1], [2, 2]), ([0, 1], [3, 1], [2, 2])])
def test_impossible_counts_are_refused(wrong) -> None:
    with pytest.raises(ValueError, match="must"):
        fit_curve(*wrong)
