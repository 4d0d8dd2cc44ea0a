"""Which chart: EWMA, CUSUM or a steady line, each with the same false alarms.

Run from the root of the checkout:

    .venv/bin/python -m benchmarks.chart_choice

Weekly single photos; a baseline of the first four visits, whose mean errs; true repeatability
log-normal about the stated one, learnt from steps between visits as the program does; one photo in
thirty-three errs four times as much. Each chart's limit is set so that one series of 260 unchanged
visits in ten signals at all; then growth begins after four visits.
"""

import argparse
import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from lesioncompare.compare.course import (
    BASELINE_VISITS,
    CHART_LIMIT,
    CLIP,
    PRIOR_FREEDOM,
    SMOOTHING,
)
from lesioncompare.science.charts import cusum_run_length, ewma_run_length

Floats = NDArray[np.float64]
Statistic = Callable[[Floats, Floats], Floats]
SCENARIOS = ((0.06, 20, 26), (0.06, 20, 52), (0.06, 35, 13), (0.06, 60, 13), (0.10, 35, 13))
FALSE = 0.10  # [1] share of series of five years that may signal


def noise(rng: np.random.Generator, series: int, visits: int) -> Floats:
    """Readings of unchanged spots in units of the stated sd, shape (series, visits)."""
    wild = np.where(rng.random((series, visits)) < 0.03, 4.0, 1.0)
    true = np.exp(rng.normal(0, 0.25, (series, 1)))
    return true * wild * rng.normal(size=(series, visits))


def learnt(y: Floats) -> Floats:
    """The sd of each series as known at each visit."""
    steps = np.minimum(np.diff(y, axis=1) ** 2 / 2, CLIP**2)
    freedom = 2 / 3 * np.arange(1, y.shape[1])
    scale = np.ones_like(y)
    mean = np.cumsum(steps, axis=1) / np.arange(1, y.shape[1])
    scale[:, 1:] = np.sqrt((PRIOR_FREEDOM + mean * freedom) / (PRIOR_FREEDOM + freedom))
    return scale


def ewma(smoothing: float) -> Statistic:
    """The program's chart: steps bounded, baseline error in the limit."""

    def statistic(y: Floats, sd: Floats) -> Floats:
        away = y - y[:, :BASELINE_VISITS].mean(axis=1, keepdims=True)
        level, variance, found = np.zeros(len(y)), 0.0, np.zeros_like(y)
        for i in range(BASELINE_VISITS, y.shape[1]):
            bound = CLIP * sd[:, i]
            level = level + smoothing * np.clip(away[:, i] - level, -bound, bound)
            variance = (1 - smoothing) ** 2 * variance + smoothing**2
            found[:, i] = np.abs(level) / sd[:, i] / math.sqrt(variance + 1 / BASELINE_VISITS)
        return found

    return statistic


def cusum(k: float) -> Statistic:
    """Tabular sums of standardised readings, each bounded."""

    def statistic(y: Floats, sd: Floats) -> Floats:
        z = (y - y[:, :BASELINE_VISITS].mean(axis=1, keepdims=True)) / sd
        up, down, found = np.zeros(len(y)), np.zeros(len(y)), np.zeros_like(y)
        for i in range(BASELINE_VISITS, y.shape[1]):
            one = np.clip(z[:, i], -2 * CLIP, 2 * CLIP)
            up, down = np.maximum(0, up + one - k), np.maximum(0, down - one - k)
            found[:, i] = np.maximum(up, down)
        return found

    return statistic


def steady(y: Floats, sd: Floats) -> Floats:
    """Slope of the line through the last year, in its own error."""
    found = np.zeros_like(y)
    for i in range(3, y.shape[1]):
        start = max(0, i - 52)
        x = np.arange(start, i + 1) - (start + i) / 2
        found[:, i] = np.abs(y[:, start : i + 1] @ x) / math.sqrt((x**2).sum()) / sd[:, i]
    return found


def row(name: str, statistic: Statistic, series: int, seed: int) -> str:
    """One chart's limit, and what it finds and when."""
    rng = np.random.default_rng(seed)
    still = noise(rng, series, 260)
    limit = float(np.quantile(statistic(still, learnt(still)).max(axis=1), 1 - FALSE))
    cells = []
    for sd, percent, weeks in SCENARIOS:
        rise = np.linspace(0, math.log(1 + percent / 100), weeks + 1)[1:] / sd
        grown = noise(rng, series, 4 + weeks) + np.concatenate([np.zeros(4), rise])
        over = statistic(grown, learnt(grown))[:, 4:] > limit
        found = over.any(axis=1)
        delay = np.median(over.argmax(axis=1)[found]) + 1 if found.any() else math.nan
        cells.append(f"{found.mean():.2f} ({delay:.0f})")
    return f"| {name} | {limit:.2f} | " + " | ".join(cells) + " |"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--series", type=int, default=3000)
    parser.add_argument("--seed", type=int, default=11)
    options = parser.parse_args()
    heads = " | ".join(f"+{p} % in {w} weeks, S_w {sd:g}" for sd, p, w in SCENARIOS)
    lines = [f"| chart | limit | {heads} |", "|---|---|" + "---|" * len(SCENARIOS)]
    charts = [(f"EWMA λ {s:g}", ewma(s)) for s in (0.1, 0.2, 0.3, 0.4, 0.6)]
    charts += [(f"CUSUM k {k:g}", cusum(k)) for k in (0.5, 0.75, 1.0, 1.25, 1.5)]
    charts += [("steady line", steady)]
    print("\n".join(lines))
    for name, statistic in charts:
        print(row(name, statistic, options.series, options.seed), flush=True)
    print(
        "\nAverage run lengths with a known mean and sd, at shifts of 0 and 1 sd: "
        f"EWMA λ {SMOOTHING:g}, L {CHART_LIMIT:g}: "
        f"{ewma_run_length(0, SMOOTHING, CHART_LIMIT):.0f} and "
        f"{ewma_run_length(1, SMOOTHING, CHART_LIMIT):.1f}; CUSUM k 0.5, h 5: "
        f"{cusum_run_length(0, 0.5, 5.0):.0f} and {cusum_run_length(1, 0.5, 5.0):.1f}."
    )


if __name__ == "__main__":
    main()
