r"""When the series model speaks, and how often it is wrong: a simulation at the measure level.

Run from the root of the checkout:

    .venv/bin/python -m benchmarks.operating_point --out docs/operating_point.md \
        --curves docs/operating_point.png

Each simulated spot has its own true repeatability (log-normal about the stated one), a share that
differs between visits and cannot be averaged out on the day, and a few photos that err four times
as much (an outline half lost). The program only knows the stated value. Growth is exponential and
begins after ``--quiet`` unchanged weekly visits.
"""

import argparse
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from itertools import product
from pathlib import Path

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from numpy.typing import NDArray

from lesioncompare.compare.colour import difference
from lesioncompare.compare.colour_course import follow_colour
from lesioncompare.compare.course import Judged, Mark, follow
from lesioncompare.records import Change, Measurement, Photo, Reading, Visit
from lesioncompare.registry.tolerances import TOLERANCES
from lesioncompare.terms import Verdict

Floats = NDArray[np.float64]
GROWTHS = (10, 20, 35, 60, 100)  # [%] of area, over the whole time
WEEKS = (13, 26, 52)
COLOURS = (2, 3, 4, 6, 8, 10)  # [ΔE00]
PHOTOS = (1, 2, 3)
YEAR = 52  # [visits]
SPOT = np.array([38.0, 12.0, 14.0])
SKIN = (66.0, 20.0, 15.0)
START = datetime(2026, 1, 1)  # noqa: DTZ001  a photo's own clock has no zone
PHOTO = Photo("simulated", "0", np.zeros((1, 1, 3), np.uint8), None, "none")


@dataclass(frozen=True)
class Noise:
    """How photos of one unchanged spot scatter, and what the program is told of it."""

    within: float  # stated standard deviation of one photo
    between: float  # stated standard deviation between visits
    spread: float  # sd of the log of (true over stated)
    wild: float  # share of photos that err four times as much

    def draw(self, rng: np.random.Generator, visits: int, photos: int, axes: int = 1) -> Floats:
        """Errors, shape (visits, photos, axes)."""
        true = math.exp(rng.normal(0, self.spread))
        within = rng.normal(0, self.within, (visits, photos, axes))
        within *= np.where(rng.random((visits, photos, 1)) < self.wild, 4.0, 1.0)
        return true * (within + rng.normal(0, self.between, (visits, 1, axes)))


def area_course(
    rng: np.random.Generator, levels: Floats, photos: int, noise: Noise
) -> list[Judged]:
    """What the series model says of one spot's log areas, visited weekly."""
    errors = noise.draw(rng, levels.size, photos)[..., 0]
    marks = [
        Mark(i, 7.0 * i, level + errors[i], np.full(photos, noise.within), noise.between)
        for i, level in enumerate(levels)
    ]
    tolerance = TOLERANCES["area"]
    return follow(marks, floor=tolerance.floor, hopeless=tolerance.hopeless)


def colour_course(
    rng: np.random.Generator, shifts: Floats, photos: int, noise: Noise
) -> Sequence[Change]:
    """What it says of one spot's colours; each visit darker by ``shifts`` [ΔE00]."""
    axes = np.array([difference(SPOT, SPOT + step) for step in np.eye(3)])
    errors = noise.draw(rng, shifts.size, photos, 3) / axes
    darker = np.array([1.0, 0.0, 0.0]) / axes
    visits = [
        Visit(
            START + timedelta(days=7 * i),
            tuple(
                Reading(
                    PHOTO,
                    measurement=Measurement(
                        {},
                        tuple(SPOT - shift * darker + errors[i, j]),
                        SKIN,
                        noise.within * math.sqrt(3),
                    ),
                )
                for j in range(photos)
            ),
        )
        for i, shift in enumerate(shifts)
    ]
    return follow_colour(visits)


def called(course: Sequence[Judged] | Sequence[Change]) -> NDArray[np.bool_]:
    """At which visits after the first a change is called."""
    return np.array([one.verdict == Verdict.CHANGED for one in course])


def stable_row(simulate: Callable[[Floats], Sequence[Judged | Change]], series: int) -> str:
    """Findings and requests for a second photo on spots that never change, over five years."""
    begun, ever, odd, visits = 0, 0, 0, 0
    for _ in range(series):
        course = simulate(np.zeros(5 * YEAR))
        flags = called(course)
        begun += int(flags[0]) + int((flags[1:] & ~flags[:-1]).sum())
        ever += bool(flags.any())
        odd += sum(abs(one.difference) > 3 * one.u for one in course)
        visits += flags.size
    return f"{begun * YEAR / visits:.3f} | {ever / series:.3f} | {odd * YEAR / visits:.2f}"


def growth_row(
    simulate: Callable[[Floats], Sequence[Judged | Change]],
    levels: Floats,
    quiet: int,
    series: int,
) -> tuple[float, float, float]:
    """Share found, median delay from its begin, and from when it passes what is detectable."""
    found, delays, late = 0, [], []
    for _ in range(series):
        course = simulate(levels)
        hits = [one.visit for one in course if one.verdict == Verdict.CHANGED]
        first = next((visit for visit in hits if visit >= quiet), None)
        passed = next((c.visit for c in course if levels[c.visit] > c.smallest_detectable), None)
        if first is not None:
            found += 1
            delays.append(first - quiet + 1)
            if passed is not None:
                late.append(first - passed)
    nan = float("nan")
    return (
        found / series,
        float(np.median(delays)) if delays else nan,
        float(np.percentile(late, 90)) if late else nan,
    )


def grown(percent: float, weeks: int, quiet: int) -> Floats:
    """Log areas: ``quiet`` unchanged visits, then weekly ones up to the whole growth."""
    rise = np.linspace(0, math.log(1 + percent / 100), weeks + 1)[1:]
    return np.concatenate([np.zeros(quiet), rise])


def stable_table(options: argparse.Namespace, areas: Sequence[Noise], colour: Noise) -> list[str]:
    """False findings, for each repeatability and number of photos a visit."""
    rng = np.random.default_rng(options.seed)
    lines = [
        (
            "| stable 260 visits | S_w | photos | findings in 52 visits | series with any in 260 "
            "| odd visits in 52 |"
        ),
        "|---|---|---|---|---|---|",
    ]
    for noise, photos in product(areas, PHOTOS):
        row = stable_row(partial(area_course, rng, photos=photos, noise=noise), options.stable)
        lines.append(f"| area | {noise.within:g} | {photos} | {row} |")
        print(lines[-1], flush=True)
    row = stable_row(partial(colour_course, rng, photos=1, noise=colour), options.stable // 2)
    return [*lines, f"| colour | {colour.within:g} ΔE00 | 1 | {row} |"]


def growth_table(
    options: argparse.Namespace, areas: Sequence[Noise]
) -> tuple[list[str], dict[tuple[float, int, int], list[float]]]:
    """What is found of growth and when; and the shares found by S_w, photos and weeks."""
    rng = np.random.default_rng(options.seed + 1)
    lines = [
        (
            "| growth | in weeks | S_w | photos | found | median delay [visits] | nine of ten "
            "within visits of passing the detectable |"
        ),
        "|---|---|---|---|---|---|---|",
    ]
    shares: dict[tuple[float, int, int], list[float]] = {}
    for noise, weeks, photos, percent in product(areas, WEEKS, PHOTOS, GROWTHS):
        simulate = partial(area_course, rng, photos=photos, noise=noise)
        levels = grown(percent, weeks, options.quiet)
        share, delay, late = growth_row(simulate, levels, options.quiet, options.series)
        shares.setdefault((noise.within, photos, weeks), []).append(share)
        row = f"| +{percent} % | {weeks} | {noise.within:g} | {photos} "
        row += f"| {share:.2f} | {delay:.0f} | {late:.0f} |"
        lines.append(row)
        print(row, flush=True)
    return lines, shares


def draw(shares: dict[tuple[float, int, int], list[float]], file: Path) -> None:
    """The share of growing spots found with one photo a visit, as curves over their growth."""
    noises = sorted({key[0] for key in shares})
    figure = Figure(figsize=(4.2 * len(noises), 3.2), layout="constrained")
    for axes, within in zip(np.atleast_1d(figure.subplots(1, len(noises))), noises, strict=True):
        for weeks, style in zip(WEEKS, ("o-", "s--", "^:"), strict=True):
            axes.plot(GROWTHS, shares[within, 1, weeks], f"k{style}", label=f"in {weeks} weeks")
        axes.set(title=f"S_w {within:g}", xlabel="growth of area [%]", ylim=(-0.02, 1.02))
        axes.set_ylabel("share found")
        axes.legend(loc="lower right", frameon=False)
    FigureCanvasAgg(figure)
    figure.savefig(file, dpi=90)


def colour_table(options: argparse.Namespace, noise: Noise) -> list[str]:
    rng = np.random.default_rng(options.seed + 2)
    lines = [
        "| step of colour | photos | found within 8 visits | median delay [visits] |",
        "|---|---|---|---|",
    ]
    for shift, photos in product(COLOURS, PHOTOS):
        simulate = partial(colour_course, rng, photos=photos, noise=noise)
        levels = np.concatenate([np.zeros(options.quiet), np.full(8, float(shift))])
        share, delay, _ = growth_row(simulate, levels, options.quiet, options.series // 2)
        lines.append(f"| {shift} ΔE00 | {photos} | {share:.2f} | {delay:.0f} |")
        print(lines[-1], flush=True)
    return lines


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument(
        "--s-w", type=float, nargs="+", default=[0.03, 0.06], help="S_w of log area of one photo"
    )
    parser.add_argument("--between", type=float, default=0.02, help="of log area between visits")
    parser.add_argument("--colour-sd", type=float, default=0.6, help="ΔE00 per axis of one photo")
    parser.add_argument("--colour-between", type=float, default=0.5, help="the same between visits")
    parser.add_argument("--spread", type=float, default=0.25, help="sd of log(true / stated)")
    parser.add_argument("--wild", type=float, default=0.03, help="share of photos 4 times as bad")
    parser.add_argument("--quiet", type=int, default=4, help="unchanged visits before the growth")
    parser.add_argument("--stable", type=int, default=200, help="stable series of 260 visits")
    parser.add_argument("--series", type=int, default=200, help="growing series per row")
    parser.add_argument("--seed", type=int, default=20260301)
    parser.add_argument("--out", type=Path, help="page whose tables are replaced")
    parser.add_argument("--curves", type=Path, help="picture of the shares found")
    options = parser.parse_args()
    areas = [Noise(s_w, options.between, options.spread, options.wild) for s_w in options.s_w]
    colour = Noise(options.colour_sd, options.colour_between, options.spread, options.wild)
    stable = stable_table(options, areas, colour)
    growth, shares = growth_table(options, areas)
    lines = [
        (
            f"Of log area between visits {options.between:g}; of colour {colour.within:g} and "
            f"{colour.between:g} ΔE00 per axis; true over stated log-normal, sd "
            f"{options.spread:g}; wild photos {100 * options.wild:g} %. {options.stable} stable "
            f"and {options.series} growing series a row; seed {options.seed}."
        ),
        "",
        *stable,
        "",
        *growth,
        "",
        *colour_table(options, colour),
    ]
    if options.curves:
        draw(shares, options.curves)
    if options.out:
        above, heading, _ = options.out.read_text().partition("## Tables\n")
        options.out.write_text(above + heading + "\n" + "\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
