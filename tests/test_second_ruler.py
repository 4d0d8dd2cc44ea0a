"""What the skin's own scale is worth: its stated error against phantoms of seeds that set nothing.

The truth is the same patch of skin, the spot's, in the millimetres of two photos' stickers.
"""

from datetime import datetime
from functools import cache

import numpy as np
import pytest
from scipy.stats import binom, chi2

from lesioncompare.align import align, find_again
from lesioncompare.calibrate import calibrate, close_up, overview
from lesioncompare.decode import decode
from lesioncompare.errors import AlignError
from lesioncompare.locate import locate
from lesioncompare.phantom import Lamp, Shot, Snapshot, Spot, Subject, shoot
from lesioncompare.pipeline import examine_photo
from lesioncompare.records import Circle, Reading, Seed, StickerHint
from lesioncompare.science.plane import apply_homography
from lesioncompare.science.shape import area
from lesioncompare.settings import Settings
from lesioncompare.terms import parse_site

pytestmark = pytest.mark.slow
SITES = ("nose", "ear-left", "eyelid-upper-left", "lip-upper-left", "gum-upper-left")
NOW = datetime(2030, 1, 1)  # noqa: DTZ001  a photo's own clock has no zone
LATER = 2  # photos after the first, of each site


@cache
def taken(number: int, visit: int) -> Snapshot:
    rng = np.random.default_rng([77, number])
    spot = Spot(diameter_mm=float(rng.uniform(2.5, 5)), contrast=1.0, seed=number)
    subject = Subject(parse_site(SITES[number]), seed=77_000 + number, spots=(spot,))
    rng = np.random.default_rng([78, number, visit])
    lamp = Lamp(azimuth_deg=float(rng.uniform(0, 360)), gradient=float(rng.uniform(0, 0.2)))
    shot = Shot(
        seed=int(rng.integers(1 << 30)),
        width_px=1200,
        height_px=900,
        px_per_mm=20.0,
        tilt_deg=float(rng.uniform(0, 20)),
        tilt_azimuth_deg=float(rng.uniform(0, 360)),
        roll_deg=float(rng.uniform(-180, 180)),
        sticker_height_mm=float(rng.uniform(-4, 4)),
        sticker_tilt_deg=float(rng.uniform(0, 6)),
        stretch_mm=float(rng.uniform(0, 0.6)),
        whiskers=0,
        lamp=lamp,
    )
    return shoot(subject, shot)


class Seen:
    """One photo with its scenes; spot and circle as they truly are."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.truth, settings = snapshot.truth, Settings()
        photo = decode(snapshot.jpeg, name="a.jpg", now=NOW)
        sticker = locate(photo, StickerHint(), settings)
        x, y, radius = self.truth.circle
        self.px_to_mm = sticker.px_to_mm
        at, side = apply_homography(self.px_to_mm, np.array([[x, y], [x + radius, y]]))
        self.circle = Circle(*at.tolist(), float(np.hypot(*(side - at))))
        calibration = calibrate(photo, sticker, (x, y), settings)
        self.wide = overview(photo, sticker, calibration)
        self.near = close_up(photo, sticker, calibration, self.circle)

    def carried(self, skin_mm: np.ndarray) -> np.ndarray:
        return apply_homography(self.px_to_mm, self.truth.skin_to_px(skin_mm))


@pytest.fixture(scope="module")
def errors() -> list[tuple[float, float, float]]:
    """For each photo that is laid over its first: log error of scale, its stated error, u."""
    found = []
    for number in range(len(SITES)):
        first = Seen(taken(number, 0))
        skin = first.truth.px_to_skin(first.truth.outline_px)
        for visit in range(1, LATER + 1):
            later = Seen(taken(number, visit))
            try:
                rough = find_again(later.wide, first.wide, first.circle)
                laid = align(later.near, first.near, rough, first.carried(skin))
            except AlignError:
                continue
            true = np.log(area(first.carried(skin)) / area(later.carried(skin))) / 2
            u = laid.anatomical_scale_u / laid.anatomical_scale
            found.append((np.log(laid.anatomical_scale) - true, u, true))
    return found


def test_decent_photos_are_laid_over_the_first(errors) -> None:
    # nine in ten are expected; fewer than six of ten would come by chance once in 600 runs
    assert len(errors) >= binom.ppf(0.002, LATER * len(SITES), 0.9)


def test_the_stated_error_covers(errors) -> None:
    within = sum(abs(off) < 1.96 * u for off, u, _ in errors)
    # 95 % are to be within; the limit is passed by chance once in 500 runs
    assert within >= binom.ppf(0.002, len(errors), 0.95)


def test_the_stated_error_is_not_a_hiding_place(errors) -> None:
    squares = sum((off / u) ** 2 for off, u, _ in errors)
    # were the errors as large as stated, the sum would fall below this once in 500 runs
    assert squares > chi2.ppf(0.002, len(errors))


def test_skin_is_a_better_ruler_than_the_sticker(errors) -> None:
    off, u, sticker = (np.sqrt(np.mean(np.square(column))) for column in zip(*errors, strict=True))
    assert off < 0.6 * sticker
    assert u < 0.6 * sticker


class TestAPhotoOfAnotherPlace:
    @staticmethod
    def read(number: int, first: Reading | None, *, drawn: bool) -> Reading:
        shot = taken(number, 0)
        seed = Seed(*shot.truth.circle) if drawn else None
        return examine_photo(shot.jpeg, name="a.jpg", now=NOW, seed=seed, first=first)

    def test_is_refused_unless_a_circle_says_where_the_spot_is(self) -> None:
        first = self.read(0, None, drawn=True)
        assert not any(n.key == "not_laid_over" for n in first.notices)
        for drawn, key in ((False, "place_not_found"), (True, "not_laid_over")):
            reading = self.read(1, first, drawn=drawn)
            assert reading.alignment is None
            assert key in [n.key for n in reading.notices]
            assert reading.usable is drawn
