"""The demo: eight weekly photographs of an invented cat, with a spot that first stays, then grows.

Quitte is an invented white cat of an invented lock-keeper's house; the photographs are phantoms.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta, timezone

import numpy as np

from lesioncompare.phantom.known import known
from lesioncompare.phantom.shoot import shoot
from lesioncompare.phantom.shot import Lamp, Shot
from lesioncompare.phantom.stage import set_up
from lesioncompare.phantom.subject import Spot, Subject
from lesioncompare.phantom.truth import Truth
from lesioncompare.terms import Part, Site

SEED = 23  # fixes the cat, and how each photograph is held and lit
NAME = "Quitte"
FIRST = datetime(2026, 4, 5, 17, 40, tzinfo=timezone(timedelta(hours=2)))
GROWTH = (1.0, 1.0, 1.0, 1.0, 1.15, 1.35, 1.60, 1.90)  # [1] area at each visit against the first
CAT = Subject(
    Site(Part.NOSE),
    seed=SEED,
    coat="white",
    wet=0.7,
    freckles=4,
    spots=(
        Spot(x_mm=1.6, y_mm=-3.2, diameter_mm=3.2, aspect=1.2, edge_mm=0.18, seed=7),
        Spot(x_mm=-3.8, y_mm=-3.6, diameter_mm=0.9, aspect=1.1, edge_mm=0.15, seed=9),
    ),
)


@dataclass(frozen=True, slots=True)
class Visit:
    """One photograph of the demo: its file name, and who is photographed and how."""

    file: str
    subject: Subject
    shot: Shot


def visits() -> Iterator[Visit]:
    """The visits of the demo in order of time; every one is held and lit differently."""
    rng = np.random.default_rng(SEED)
    for week, factor in enumerate(GROWTH):
        taken = FIRST + timedelta(days=7 * week, minutes=int(rng.integers(-50, 50)))
        lamp = Lamp(
            brightness=float(rng.uniform(0.62, 0.84)),
            kelvin=float(rng.uniform(4600, 7200)),
            azimuth_deg=float(rng.uniform(180, 340)),
            height_deg=float(rng.uniform(45, 65)),
            gradient=float(rng.uniform(0.0, 0.25)),
            gradient_deg=float(rng.uniform(0, 360)),
        )
        shot = Shot(
            seed=SEED * 100 + week,
            width_px=1920,
            height_px=1440,
            px_per_mm=float(rng.uniform(29, 33)),
            tilt_deg=float(rng.uniform(3, 16)),
            tilt_azimuth_deg=float(rng.uniform(0, 360)),
            roll_deg=float(rng.uniform(-25, 25)),
            sticker_height_mm=float(rng.uniform(0.0, 1.0)),
            sticker_tilt_deg=float(rng.uniform(0.0, 3.0)),
            stretch_mm=0.3,
            lamp=lamp,
            hair=0.5,
            whiskers=1,
            blur_px=float(rng.uniform(0.7, 1.1)),
            curve=0.2,
            jpeg_quality=88,
            taken=taken,
        )
        cat = replace(CAT, spots=(CAT.spots[0].grown(factor), *CAT.spots[1:]))
        yield Visit(f"{NAME.lower()}-nose-{taken:%Y-%m-%d}.jpg", cat, shot)


def photographs() -> Iterator[tuple[Visit, bytes, Truth]]:
    """Each visit with its JPEG file and its truth."""
    for visit in visits():
        snapshot = shoot(visit.subject, visit.shot)
        yield visit, snapshot.jpeg, snapshot.truth


def truth_of(visit: Visit) -> Truth:
    """The truth of a visit without taking its photograph."""
    return known(visit.subject, visit.shot, set_up(visit.subject, visit.shot))


def spot_option(truth: Truth) -> str:
    """The loose circle as ``--spot`` takes it: X,Y,R in whole pixels."""
    return ",".join(str(round(value)) for value in truth.circle)
