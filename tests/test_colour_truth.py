"""The change of colour follows what was done to a spot, and its stated interval is true.

Phantom photographs, their stickers and borders found as by the program: the first, one of the
unchanged spot, and one of the spot in another colour, each in its own light.
"""

from dataclasses import dataclass, replace
from datetime import UTC, datetime

import numpy as np
import pytest
from scipy.stats import binom

from lesioncompare.calibrate import calibrate, close_up
from lesioncompare.compare.colour import colour_change
from lesioncompare.decode import decode
from lesioncompare.locate import locate
from lesioncompare.measure import measure
from lesioncompare.outline import outline
from lesioncompare.phantom import Lamp, Shot, Snapshot, Spot, Subject, shoot
from lesioncompare.quantity import Quantity
from lesioncompare.records import Circle, Reading, StickerHint
from lesioncompare.science.colour import delta_e00
from lesioncompare.science.plane import apply_homography, local_scale
from lesioncompare.settings import Settings
from lesioncompare.terms import parse_site

pytestmark = pytest.mark.slow

COUNT = 24  # subjects
SETTINGS = Settings()
SITES = ("nose", "ear-left", "eyelid-lower-left", "lip-upper-right", "gum-upper-left")
KINDS = ("pigment", "inflamed", "ulcer")
DEEPER = (0.7, 1.4, 1.7)  # [1] times the contrast of the changed spot: 2 to 12 ΔE00


@dataclass(frozen=True)
class Case:
    """Stated change of an unchanged and of a recoloured spot, and the true one of the latter."""

    unchanged: Quantity
    changed: Quantity
    true_de00: float


def shot(rng: np.random.Generator) -> Shot:
    """A household's photograph: light of any colour, from any side."""
    return Shot(
        seed=int(rng.integers(1 << 30)),
        width_px=720,
        height_px=540,
        px_per_mm=rng.uniform(17, 20),
        tilt_deg=rng.uniform(0, 25),
        tilt_azimuth_deg=rng.uniform(0, 360),
        roll_deg=rng.uniform(-20, 20),
        sticker_id=10,
        whiskers=0,
        curve=rng.uniform(0, 0.6),
        lamp=Lamp(
            brightness=rng.uniform(0.55, 0.88),
            kelvin=rng.uniform(3800, 7800),
            azimuth_deg=rng.uniform(0, 360),
            height_deg=rng.uniform(35, 75),
            gradient=rng.uniform(0, 0.3),
            gradient_deg=rng.uniform(0, 360),
        ),
    )


def read(snapshot: Snapshot) -> Reading:
    """The measurement of one photograph."""
    photo = decode(snapshot.jpeg, name="phantom.jpg", now=datetime.now(UTC))
    sticker = locate(photo, StickerHint(), SETTINGS)
    x, y, radius = snapshot.truth.circle
    at = np.array([[x, y]])
    here = apply_homography(sticker.px_to_mm, at)[0]
    scale = float(local_scale(sticker.px_to_mm, at)[0])
    calibration = calibrate(photo, sticker, (x, y), SETTINGS)
    circle = Circle(float(here[0]), float(here[1]), radius * scale)
    scene = close_up(photo, sticker, calibration, circle)
    return Reading(photo, measurement=measure(scene, outline(scene, circle), calibration))


def examine(number: int) -> Case:
    """Three photographs of one subject."""
    rng = np.random.default_rng([47, number])
    spot = Spot(
        KINDS[number % 3],
        diameter_mm=rng.uniform(2.5, 6),
        edge_mm=rng.uniform(0.1, 0.4),
        contrast=rng.uniform(0.7, 1.0),
        seed=int(rng.integers(1 << 30)),
    )
    subject = Subject(
        parse_site(SITES[number % 5]),
        int(rng.integers(1 << 30)),
        (spot,),
        wet=rng.uniform(0.3, 1.1),
    )
    other = subject.with_spots(replace(spot, contrast=DEEPER[number // 3 % 3] * spot.contrast))
    photos = [shoot(who, shot(rng)) for who in (subject, subject, other)]
    first, again, changed = (read(photo) for photo in photos)
    true = float(delta_e00(photos[0].truth.spot_lab, photos[2].truth.spot_lab))
    return Case(colour_change(first, again), colour_change(first, changed), true)


@pytest.fixture(scope="module")
def cases() -> list[Case]:
    return [examine(number) for number in range(COUNT)]


class TestChangeOfColour:
    def test_stated_intervals_hold_the_truth_as_often_as_they_say(self, cases: list[Case]) -> None:
        held = sum(case.unchanged.low == 0 for case in cases)
        held += sum(case.changed.low <= case.true_de00 <= case.changed.high for case in cases)
        low, high = binom.interval(0.99, 2 * COUNT, 0.95)

        assert low <= held <= high

    def test_no_interval_is_wide_enough_to_hold_anything(self, cases: list[Case]) -> None:
        """Half of the spots that changed by over 6 ΔE00 are told from unchanged ones for sure."""
        sure = [case.changed.low > 0 for case in cases if case.true_de00 > 6]

        assert np.mean(sure) > 0.5

    def test_an_unchanged_spot_is_told_to_have_changed_little(self, cases: list[Case]) -> None:
        told = [case.unchanged.value for case in cases]

        assert np.percentile(told, 90) < 3

    def test_a_true_change_is_not_hidden(self, cases: list[Case]) -> None:
        """Three quarters of it on average: what noise explains is taken off, no more."""
        large = [case for case in cases if case.true_de00 > 3]
        share = [case.changed.value / case.true_de00 for case in large]

        assert len(large) > COUNT / 3
        assert 0.75 < np.mean(share) < 1.15
