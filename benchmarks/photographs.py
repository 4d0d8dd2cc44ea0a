"""Pairs of phantom photographs of one spot, and where they are kept once taken.

Parameters are chosen on subjects of other seeds and other ranges (see docs/benchmark.md).
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from pickle import dumps, loads

import numpy as np

from lesioncompare.phantom import Lamp, Shot, Snapshot, Spot, Subject, shoot
from lesioncompare.records import Seed
from lesioncompare.terms import Site, parse_site

SEED = 9000  # of the first subject; no parameter was chosen on seeds from here on
SITES = (
    "nose", "ear-left", "eyelid-upper-left", "lip-upper-left", "gum-upper-left",
    "ear-right", "nose", "eyelid-lower-right", "lip-lower-right", "gum-lower-right",
)  # fmt: skip
KINDS = ("pigment", "inflamed", "ulcer")
GROWN = (1.0, 1.0, 1.25, 1.6)  # [1] area of the second visit over the first
SIDES = ((1632, 1224), (2048, 1536), (2048, 1536), (4000, 3000))  # [px] 2, 3, 3 and 12 MP


@dataclass(frozen=True)
class Pair:
    """Two visits of one subject; ``clear`` is False for pink on pink."""

    number: int
    site: Site
    kind: str
    clear: bool
    growth: float
    tilts_deg: tuple[float, float]
    first: Snapshot
    later: Snapshot
    circle: Seed


def pair(number: int, kept: Path) -> Pair:
    """The pair of that number, taken now or read from the folder."""
    file = kept / f"pair-{number}.pickle"
    if file.exists():
        return _read(file)
    rng = np.random.default_rng([SEED, number])
    subject, kind, clear, growth = _subject(number, rng)
    shots = _shot(number, rng, 0), _shot(number, rng, 1)
    first = shoot(subject, shots[0])
    later = shoot(subject.with_first_grown(growth), shots[1])
    x, y, radius = first.truth.circle
    off = rng.normal(0, 0.07 * radius, 2)
    circle = Seed(x + off[0], y + off[1], radius * rng.uniform(0.85, 1.2))
    tilts = shots[0].tilt_deg, shots[1].tilt_deg
    made = Pair(number, subject.site, kind, clear, growth, tilts, first, later, circle)
    kept.mkdir(parents=True, exist_ok=True)
    file.write_bytes(dumps(made))
    return made


@cache
def _read(file: Path) -> Pair:
    return loads(file.read_bytes())  # noqa: S301  our own file, written above


def _subject(number: int, rng: np.random.Generator) -> tuple[Subject, str, bool, float]:
    kind = KINDS[number % 3]
    contrast = float(rng.choice([0.5, 0.8, 1.0, 1.2]))
    clear = kind == "pigment" or (kind == "ulcer" and contrast > 0.6)
    spot = Spot(
        kind=kind,
        diameter_mm=float(np.exp(rng.uniform(np.log(2.0), np.log(6.5)))),
        aspect=float(rng.uniform(1, 1.7)),
        irregularity=float(rng.uniform(0.02, 0.13)),
        edge_mm=float(rng.uniform(0.1, 0.4)),
        contrast=contrast,
        turn_deg=float(rng.uniform(0, 180)),
        seed=int(rng.integers(1 << 30)),
    )
    subject = Subject(
        parse_site(SITES[number % len(SITES)]),
        seed=int(rng.integers(1 << 30)),
        spots=(spot,),
        coat=str(rng.choice(["white", "cream", "orange", "grey"])),
        wet=float(rng.uniform(0.3, 1.1)),
        freckles=int(rng.integers(0, 6)),
    )
    return subject, kind, clear, float(GROWN[(number // 3) % len(GROWN)])


def _shot(number: int, rng: np.random.Generator, visit: int) -> Shot:
    width, height = SIDES[(number + visit) % len(SIDES)]
    across_mm = rng.uniform(34, 60)  # [mm] of skin across the picture: sticker and spot fit in
    lamp = Lamp(
        brightness=float(rng.uniform(0.55, 0.88)),
        kelvin=float(rng.uniform(3800, 7800)),
        azimuth_deg=float(rng.uniform(0, 360)),
        height_deg=float(rng.uniform(35, 75)),
        ambient=float(rng.uniform(0.35, 0.8)),
        gradient=float(rng.uniform(0, 0.3)),
        gradient_deg=float(rng.uniform(0, 360)),
        shadow=float(rng.choice([0, 0, 0, 0.35])),
    )
    return Shot(
        seed=int(rng.integers(1 << 30)),
        width_px=width,
        height_px=height,
        px_per_mm=float(np.clip(width / across_mm, 15, 60)),
        tilt_deg=float(rng.uniform(0, 35)),
        tilt_azimuth_deg=float(rng.uniform(0, 360)),
        roll_deg=float(rng.uniform(-60, 60)),
        sticker_height_mm=float(rng.uniform(-5, 5)),
        sticker_tilt_deg=float(rng.uniform(0, 10)),
        stretch_mm=float(rng.uniform(0, 1)),
        lamp=lamp,
        hair=float(rng.uniform(0.4, 1.5)),
        blur_px=float(rng.uniform(0.5, 1.4)),
        noise=float(rng.uniform(0.6, 1.8)),
        curve=float(rng.uniform(0, 0.6)),
        jpeg_quality=int(rng.integers(70, 96)),
    )
