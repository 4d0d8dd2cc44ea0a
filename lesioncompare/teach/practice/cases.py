"""What is practised on: invented cats, each seen twice or weekly, with a known change or none.

How much two photos of one case differ in light, slant and distance is its ``level``.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from lesioncompare.phantom import Lamp, Shot, Spot, Subject
from lesioncompare.terms import parse_site

EASY, FAIR, MEAN = "easy", "fair", "mean"
SAME, SIZE, BORDER, COLOUR, SORE, NEW = "same", "size", "border", "colour", "sore", "new"
MONDAY = datetime(2026, 3, 2, 18, 0)  # noqa: DTZ001  local time of an invented week
WIDTH_PX, HEIGHT_PX, PX_PER_MM = 1920, 1440, 27.0


@dataclass(frozen=True, slots=True)
class Case:
    """One spot over some photos. ``amounts`` holds, per photo after the first, how far it changed.

    For ``size`` an amount is the area against the first photo's; for ``border`` the rms
    irregularity; for ``colour`` the contrast; for ``new`` the new spot's diameter [mm]; for
    ``sore`` the diameter of the raw place [mm]; ``same`` keeps all as it was.
    """

    key: str
    level: str
    kind: str
    site: str
    amounts: tuple[float, ...] = (1.0,)
    spot: str = "pigment"
    diameter_mm: float = 3.2

    @property
    def seed(self) -> int:
        """Fixes the cat, and how each photo is held and lit."""
        return 4000 + int(self.key[1:]) + (500 if self.key[0] == "s" else 0)


def _pairs(rows: Sequence[tuple[str, str, str, float]]) -> tuple[Case, ...]:
    return tuple(
        Case(f"p{number:02d}", level, kind, site, (amount,))
        for number, (level, kind, site, amount) in enumerate(rows, start=1)
    )


PAIRS = _pairs(
    (
        (EASY, SAME, "nose", 1.0),
        (EASY, SIZE, "nose", 1.6),
        (EASY, SIZE, "ear-left", 1.6),
        (EASY, SORE, "nose", 2.6),
        (EASY, SAME, "ear-right", 1.0),
        (EASY, NEW, "nose", 1.3),
        (EASY, SIZE, "lip-lower-left", 1.35),
        (EASY, COLOUR, "nose", 0.45),
        (EASY, SAME, "lip-upper-right", 1.0),
        (FAIR, SIZE, "nose", 1.35),
        (FAIR, SAME, "nose", 1.0),
        (FAIR, SIZE, "ear-right", 1.6),
        (FAIR, BORDER, "nose", 0.24),
        (FAIR, SAME, "ear-left", 1.0),
        (FAIR, SIZE, "nose", 1.2),
        (FAIR, SAME, "eyelid-lower-left", 1.0),
        (FAIR, NEW, "ear-left", 1.0),
        (FAIR, SIZE, "ear-left", 1.2),
        (FAIR, SIZE, "lip-lower-right", 1.35),
        (FAIR, SAME, "nose", 1.0),
        (FAIR, SORE, "ear-right", 2.0),
        (FAIR, SIZE, "eyelid-lower-right", 1.6),
        (MEAN, SAME, "nose", 1.0),
        (MEAN, SIZE, "nose", 1.1),
        (MEAN, SIZE, "nose", 1.2),
        (MEAN, SAME, "ear-right", 1.0),
        (MEAN, SIZE, "nose", 1.35),
        (MEAN, COLOUR, "nose", 0.6),
        (MEAN, SAME, "nose", 1.0),
        (MEAN, SIZE, "ear-left", 1.1),
        (MEAN, NEW, "nose", 0.8),
        (MEAN, SIZE, "ear-right", 1.35),
        (MEAN, SAME, "lip-lower-left", 1.0),
        (MEAN, SIZE, "nose", 1.6),
        (MEAN, BORDER, "nose", 0.2),
        (MEAN, SIZE, "ear-left", 1.2),
    )
)
SERIES = (
    Case("s1", EASY, SIZE, "nose", (1.0, 1.2, 1.45, 1.75)),
    Case("s2", FAIR, SAME, "nose", (1.0, 1.0, 1.0, 1.0)),
    Case("s3", FAIR, SIZE, "ear-left", (1.05, 1.1, 1.16, 1.22)),
    Case("s4", MEAN, SORE, "nose", (0.0, 0.0, 1.6, 2.2)),
)


def subjects(case: Case) -> tuple[Subject, ...]:
    """The invented cat as it was at each photo of a case."""
    rng = np.random.default_rng([case.seed, 1])
    first = Spot(
        case.spot,
        x_mm=float(rng.uniform(-1, 1)),
        y_mm=float(rng.uniform(-1, 1)),
        diameter_mm=case.diameter_mm * float(rng.uniform(0.9, 1.15)),
        aspect=float(rng.uniform(1.05, 1.45)),
        irregularity=0.07,
        edge_mm=float(rng.uniform(0.15, 0.3)),
        contrast=float(rng.uniform(0.75, 1.0)),
        turn_deg=float(rng.uniform(0, 180)),
        seed=case.seed,
    )
    cat = Subject(
        parse_site(case.site),
        seed=case.seed,
        spots=(first,),
        coat=str(rng.choice(["white", "cream", "orange"])),
        freckles=int(rng.integers(0, 3)),
        wet=0.8,
    )
    return (cat, *(_changed(cat, case, amount) for amount in case.amounts))


def _changed(cat: Subject, case: Case, amount: float) -> Subject:
    """The cat after its spot has changed by an amount."""
    spot = cat.spots[0]
    if case.kind == SIZE:
        return cat.with_first_grown(amount)
    if case.kind == BORDER:
        return cat.with_spots(replace(spot, irregularity=amount))
    if case.kind == COLOUR:
        return cat.with_spots(replace(spot, contrast=spot.contrast * amount))
    beside = replace(spot, seed=case.seed + 9000, diameter_mm=max(amount, 0.1), aspect=1.1)
    if case.kind == NEW:
        far = spot.diameter_mm / 2 + amount / 2 + 0.7
        turn = np.radians(case.seed * 137 % 360)
        x, y = spot.x_mm + far * np.cos(turn), spot.y_mm + far * np.sin(turn)
        return cat.with_new_spot(replace(beside, x_mm=float(x), y_mm=float(y)))
    if case.kind == SORE and amount > 0:
        raw = replace(beside, kind="ulcer", irregularity=0.12, contrast=1.0)
        return cat.with_spots(spot, replace(raw, x_mm=spot.x_mm + 0.3, y_mm=spot.y_mm + 0.2))
    return cat


def shots(case: Case) -> tuple[Shot, ...]:
    """How each photo of a case is taken: a week apart, held and lit differently each time."""
    rng = np.random.default_rng([case.seed, 2])
    spread = {EASY: 0.3, FAIR: 0.65, MEAN: 1.0}[case.level]
    return tuple(_shot(case, rng, spread, week) for week in range(len(case.amounts) + 1))


def _shot(case: Case, rng: np.random.Generator, spread: float, week: int) -> Shot:
    def about(middle: float, reach: float) -> float:
        return middle + float(rng.uniform(-reach, reach)) * spread

    lamp = Lamp(
        brightness=about(0.74, 0.12),
        kelvin=about(5800, 1700),
        azimuth_deg=about(250, 90),
        height_deg=about(54, 12),
        gradient=0.3 * spread * float(rng.uniform()),
        gradient_deg=float(rng.uniform(0, 360)),
    )
    return Shot(
        seed=case.seed * 10 + week,
        width_px=WIDTH_PX,
        height_px=HEIGHT_PX,
        px_per_mm=PX_PER_MM * (1 + float(rng.uniform(-0.14, 0.14)) * spread),
        tilt_deg=3 + 24 * spread * float(rng.uniform()),
        tilt_azimuth_deg=float(rng.uniform(0, 360)),
        roll_deg=about(0, 35),
        sticker_id=14,
        sticker_height_mm=about(0.4, 0.8),
        sticker_tilt_deg=3 * spread * float(rng.uniform()),
        stretch_mm=0.3 * spread,
        lamp=lamp,
        hair=0.5,
        whiskers=1 if case.site == "nose" else None,
        blur_px=about(0.9, 0.3),
        curve=0.2,
        jpeg_quality=90,
        taken=MONDAY + timedelta(days=7 * week),
    )
