"""How well the change of colour between two visits follows what was done to the spot.

Run from the root of the checkout (about ten seconds a subject, once):

    .venv/bin/python -m benchmarks.colour --subjects 40 --kept out/colour

Every subject of benchmarks/photographs.py is photographed three times, with its own sticker, light
and hair each time: as it is, as it is again, and with the spot deeper or fainter by about 2, 4, 6
or 10 ΔE00. Photographs are kept in the folder and used again.
"""

import argparse
from collections import defaultdict
from dataclasses import dataclass, replace
from pathlib import Path
from pickle import dumps, loads

import cv2
import numpy as np

from benchmarks.measurement import NOW
from benchmarks.photographs import SEED, _shot, _subject
from lesioncompare.compare import change_from_first
from lesioncompare.phantom import Snapshot, Subject, shoot
from lesioncompare.phantom.known import spot_lab
from lesioncompare.pipeline import examine_photo
from lesioncompare.records import Seed
from lesioncompare.science.colour import delta_e00

STEPS_DE00 = (2.0, 4.0, 6.0, 10.0)
HALVINGS = 9  # of the search for the contrast that gives a step


@dataclass(frozen=True)
class Visits:
    """Three photographs of one subject: first, unchanged, and of another colour."""

    kind: str
    step_de00: float
    photos: tuple[Snapshot, Snapshot, Snapshot]
    circle: Seed


def visits(number: int, seed: int, kept: Path) -> Visits:
    """The photographs of that subject, taken now or read from the folder."""
    file = kept / f"{seed}-{number}.pickle"
    if file.exists():
        return loads(file.read_bytes())  # noqa: S301  our own file, written below
    rng = np.random.default_rng([seed, number])
    one, kind, _, _ = _subject(number, rng)
    shots = [_shot(number, rng, visit) for visit in range(3)]
    step = STEPS_DE00[number // 3 % len(STEPS_DE00)]
    other = recoloured(one, step, deeper=bool(rng.integers(2)))
    first, again, changed = (
        shoot(who, how) for who, how in zip((one, one, other), shots, strict=True)
    )
    x, y, radius = first.truth.circle
    off = rng.normal(0, 0.07 * radius, 2)
    circle = Seed(x + off[0], y + off[1], radius * rng.uniform(0.85, 1.2))
    made = Visits(kind, step, (first, again, changed), circle)
    kept.mkdir(parents=True, exist_ok=True)
    file.write_bytes(dumps(made))
    return made


def recoloured(one: Subject, step_de00: float, *, deeper: bool) -> Subject:
    """The same subject with a spot of more or less contrast, that far off in colour or nearly."""
    spot = one.spots[0]
    before = spot_lab(one, spot)
    low, high = 0.0, 4.0 if deeper else 0.95 * spot.contrast
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        other = replace(spot, contrast=spot.contrast + (middle if deeper else -middle))
        far = float(delta_e00(before, spot_lab(one, other))) > step_de00
        low, high = (low, middle) if far else (middle, high)
    return one.with_spots(other)


def main() -> None:
    """Print the table of docs/benchmark.md."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--subjects", type=int, default=40)
    ask.add_argument("--seed", type=int, default=SEED)
    ask.add_argument("--kept", type=Path, required=True)
    asked = ask.parse_args()
    cv2.setNumThreads(1)
    rows: dict[str, list[tuple[float, float, bool]]] = defaultdict(list)
    for number in range(asked.subjects):
        one = visits(number, asked.seed, asked.kept)
        first = examine_photo(one.photos[0].jpeg, name="1.jpg", now=NOW, seed=one.circle)
        if first.measurement is None:
            continue
        for later, step in zip(one.photos[1:], (0.0, one.step_de00), strict=True):
            reading = examine_photo(later.jpeg, name="2.jpg", now=NOW, first=first)
            _, change = change_from_first(first, reading)
            if change is None or not reading.usable:
                continue
            true = float(delta_e00(one.photos[0].truth.spot_lab, later.truth.spot_lab))
            told = true, change.value, change.low <= true <= change.high
            changed = f"changed by {step:.0f}" if step else "unchanged"
            for row in ("all", changed, *(["all changed"] if step else []), one.kind):
                rows[row].append(told)
        print(".", end="", flush=True)
    print("\n\n| spot | n | true | estimate | error of the estimate | interval holds it |")
    print("|---|---|---|---|---|---|")
    for row in sorted(rows):
        true, value, held = np.array(rows[row], float).T
        off = np.abs(value - true)
        print(
            f"| {row} | {len(off)} | {np.median(true):.1f} | {np.median(value):.1f} "
            f"| {np.median(off):.2f} / {np.percentile(off, 90):.2f} | {100 * held.mean():.0f} % |"
        )


if __name__ == "__main__":
    main()
