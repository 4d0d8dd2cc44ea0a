"""Left against right on mirror images with a known difference."""

from dataclasses import replace
from datetime import datetime
from math import pi

import cv2
import numpy as np
import pytest

from lesioncompare.compare.sides import MIRROR, marks_of_one_side, mirrored
from lesioncompare.phantom import Shot, Spot, Subject, shoot
from lesioncompare.pipeline import examine_photo, with_other_side
from lesioncompare.records import Circle, Outline, Photo, Reading, Scene, Seed
from lesioncompare.terms import parse_site

PITCH = 0.1  # [mm]
WIDTH, HEIGHT = 200, 170  # not square
ORIGIN = (-9.0, -8.5)


def scene(*marks, seed=1):
    """Pink skin with a spot of 4 mm at the origin and further marks (x, y, diameter)."""
    folds = cv2.GaussianBlur(np.random.default_rng(5).normal(size=(HEIGHT, WIDTH)), (0, 0), 4)
    linear = np.array([0.55, 0.33, 0.28]) * (1 + 0.05 * folds / folds.std())[..., None]
    x = np.arange(WIDTH) * PITCH + ORIGIN[0]
    y = np.arange(HEIGHT) * PITCH + ORIGIN[1]
    for at_x, at_y, diameter in ((0, 0, 4.0), *marks):
        inside = np.hypot(x[None, :] - at_x, y[:, None] - at_y) < diameter / 2
        linear = np.where(inside[..., None], 0.07, linear)
    linear = cv2.GaussianBlur(linear, (0, 0), 1)
    linear *= 1 + 0.02 * np.random.default_rng(seed).normal(size=(HEIGHT, WIDTH, 1))
    lab = np.zeros((HEIGHT, WIDTH, 3), np.float32)
    return Scene(linear.astype(np.float32), lab, np.ones((HEIGHT, WIDTH), bool), ORIGIN, PITCH)


def reading(picture):
    photo = Photo("x.jpg", "0", np.zeros((1, 1, 3), np.uint8), None, "none")
    angle = np.linspace(0, 2 * pi, 40)
    ring = 2.0 * np.column_stack([np.cos(angle), np.sin(angle)])
    return Reading(photo, scene=picture, outline=Outline(ring, ring, ring, 0.05))


class TestMirrored:
    def test_puts_every_point_to_minus_its_x(self):
        picture = scene((5, 3, 2.0))
        image = mirrored(picture)
        at = picture.to_grid(np.array([[5.0, 3.0]]))[0].round().astype(int)
        mirror = image.to_grid(np.array([[-5.0, 3.0]]))[0].round().astype(int)

        assert image.linear[mirror[1], mirror[0]] == pytest.approx(picture.linear[at[1], at[0]])

    def test_twice_is_the_same_again(self):
        picture = scene((5, 3, 2.0))
        twice = mirrored(mirrored(picture))

        assert twice.origin_mm == pytest.approx(picture.origin_mm)
        assert (twice.linear == picture.linear).all()


class TestMarksOfOneSide:
    def test_mirror_images_show_none(self):
        """A right ear that is the exact mirror image of the left one."""
        left = reading(scene((5, 3, 2.0)))
        right = reading(mirrored(scene((5, 3, 2.0), seed=2)))

        assert marks_of_one_side(left, right, np.eye(3)) == ()

    def test_a_mark_of_this_side_alone_is_found(self):
        left = reading(scene((5, 3, 2.0)))
        right = reading(mirrored(scene(seed=2)))
        (mark,) = marks_of_one_side(left, right, np.eye(3))

        assert (mark.kind, mark.x_mm, mark.y_mm) == (
            "one_sided",
            pytest.approx(5, abs=0.2),
            pytest.approx(3, abs=0.2),
        )

    def test_a_mark_of_the_other_side_is_found_from_there(self):
        left, right = reading(scene((5, 3, 2.0))), reading(mirrored(scene(seed=2)))

        assert marks_of_one_side(right, left, np.eye(3)) == ()

    def test_says_nothing_without_scenes(self):
        assert marks_of_one_side(Reading(reading(scene()).photo), reading(scene()), np.eye(3)) == ()


@pytest.fixture(scope="module")
def other():
    """A right ear: the left ear's photo of another day, mirrored."""
    seen = photographed(EAR, seed=12, roll_deg=20.0)
    return replace(
        seen,
        overview=mirrored(seen.overview),
        scene=mirrored(seen.scene),
        circle=Circle(-seen.circle.x, seen.circle.y, seen.circle.radius),
        outline=replace(seen.outline, contour=seen.outline.contour @ MIRROR[:2, :2]),
    )


class TestWithOtherSide:
    """Whole photos of simulated ears; the other side is the mirror image of another photo."""

    def test_a_mark_of_one_side_is_found_where_it_is(self, other):
        mark = Spot(x_mm=3.6, y_mm=1.5, diameter_mm=1.8, seed=31)
        here = photographed(EAR.with_new_spot(mark), seed=13)
        found = [s for s in with_other_side(here, other).sightings if s.kind == "one_sided"]
        assert len(found) == 1
        assert found[0].area_mm2 == pytest.approx(pi * 0.9**2, rel=0.35)
        middle = here.outline.contour.mean(axis=0)
        away = np.hypot(found[0].x_mm - middle[0], found[0].y_mm - middle[1])
        assert away == pytest.approx(np.hypot(3.6, 1.5), abs=0.5)

    def test_sides_alike_show_none(self, other):
        here = photographed(EAR, seed=14, roll_deg=-15.0)
        beside = with_other_side(here, other)
        assert not [s for s in beside.sightings if s.kind == "one_sided"]

    def test_sides_that_cannot_be_laid_over_each_other_are_said(self, other):
        here = photographed(Subject(parse_site("nose"), 8, (Spot(diameter_mm=4.0, seed=3),)), 15)
        keys = [note.key for note in with_other_side(here, other).notices]
        assert "sides_not_compared" in keys


EAR = Subject(parse_site("ear-left"), 21, (Spot(diameter_mm=3.5, seed=4),))


def photographed(subject, seed, **options):
    """A small photo of a subject, read."""
    shot = Shot(seed=seed, width_px=1400, height_px=1050, px_per_mm=22.0, **options)
    snapshot = shoot(subject, shot)
    now = datetime(2026, 6, 1)  # noqa: DTZ001  a photo's own clock has no zone
    read = examine_photo(snapshot.jpeg, name="ear.jpg", now=now, seed=Seed(*snapshot.truth.circle))
    assert read.usable
    return read
