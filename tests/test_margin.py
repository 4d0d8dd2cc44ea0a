"""Tissue missing from the edge of an ear: found with its area, not confused with a new spot."""

from math import pi

import cv2
import numpy as np
import pytest

from lesioncompare.compare.margin import look_for_loss
from lesioncompare.records import Alignment, Outline, Photo, Reading, Scene

PITCH = 0.1  # [mm]
WIDTH, HEIGHT = 260, 220  # not square
ORIGIN = (-13.0, -11.0)
SKIN = np.array([0.60, 0.38, 0.30])
COLUMNS, ROWS = np.meshgrid(
    np.arange(WIDTH) * PITCH + ORIGIN[0], np.arange(HEIGHT) * PITCH + ORIGIN[1]
)


def ear(*, notch=0.0, background=(0.2, 0.25, 0.3), seed=1, spot=None, light=1.0, fringe=True):
    """A pointed ear with the tip up; ``notch`` is the radius of a half disc cut from its edge."""
    rng = np.random.default_rng(seed)
    edge = -9 + 0.14 * COLUMNS**2
    inside = edge < ROWS
    if notch:
        inside &= np.hypot(COLUMNS - 5.0, ROWS + 5.5) > notch
    vessels = cv2.GaussianBlur(np.random.default_rng(9).normal(size=(HEIGHT, WIDTH)), (0, 0), 6)
    skin = SKIN * (1 + 0.05 * vessels / vessels.std())[..., None]
    behind = np.broadcast_to(np.array(background), skin.shape)
    if fringe:
        fur = cv2.dilate(inside.astype(np.uint8), np.ones((15, 15))) > 0
        behind = np.where(fur[..., None], np.array([0.75, 0.72, 0.68]), behind)
    linear = np.where(inside[..., None], skin, behind)
    linear = np.where((np.hypot(COLUMNS, ROWS) < 1.6)[..., None], 0.08, linear)
    if spot is not None:
        linear = np.where(
            (np.hypot(COLUMNS - spot[0], ROWS - spot[1]) < 1)[..., None], 0.08, linear
        )
    linear = cv2.GaussianBlur(linear * light, (0, 0), 1.0)
    linear *= 1 + 0.02 * rng.normal(size=(HEIGHT, WIDTH, 1))
    lab = np.zeros((HEIGHT, WIDTH, 3), np.float32)
    return Scene(linear.astype(np.float32), lab, np.ones((HEIGHT, WIDTH), bool), ORIGIN, PITCH)


def reading(scene):
    photo = Photo("x.jpg", "0", np.zeros((1, 1, 3), np.uint8), None, "none")
    angle = np.linspace(0, 2 * pi, 40)
    ring = 1.6 * np.column_stack([np.cos(angle), np.sin(angle)])
    here = Alignment(np.eye(3), 0.1, 0.8, 1.0, 0.01)
    return Reading(photo, scene=scene, outline=Outline(ring, ring, ring, 0.05), alignment=here)


FIRST = reading(ear())


class TestLookForLoss:
    def test_a_whole_ear_has_lost_nothing(self):
        assert look_for_loss(FIRST, reading(ear(seed=2))) == ()

    def test_another_background_and_light_are_no_loss(self):
        later = ear(seed=2, background=(0.7, 0.3, 0.2), light=np.array([0.8, 0.7, 0.55]))

        assert look_for_loss(FIRST, reading(later)) == ()

    @pytest.mark.parametrize("radius", [1.3, 2.0, 3.0])
    def test_a_notch_is_found_with_its_area(self, radius):
        first, later = ear(), ear(notch=radius, seed=2)
        cut = np.hypot(COLUMNS - 5.0, ROWS + 5.5) <= radius
        truth = (cut & (-9 + 0.14 * COLUMNS**2 < ROWS)).sum() * PITCH**2
        (loss,) = look_for_loss(reading(first), reading(later))

        assert loss.kind == "margin_loss"
        assert loss.area_mm2 == pytest.approx(truth, abs=2 * loss.area_u)

    def test_a_new_dark_spot_away_from_the_edge_is_no_loss(self):
        assert look_for_loss(FIRST, reading(ear(seed=2, spot=(0.0, -5.0)))) == ()

    def test_a_fringe_of_fur_that_lies_differently_is_no_loss(self):
        assert look_for_loss(FIRST, reading(ear(seed=2, fringe=False))) == ()

    def test_an_ear_slipped_by_a_fifth_of_a_millimetre_has_lost_nothing(self):
        later = reading(ear(seed=2))
        slipped = Alignment(
            np.array([[1, 0, 0.15], [0, 1, 0.15], [0, 0, 1.0]]), 0.2, 0.8, 1.0, 0.01
        )
        later = Reading(later.photo, scene=later.scene, outline=later.outline, alignment=slipped)

        assert look_for_loss(FIRST, later) == ()

    def test_says_nothing_against_itself_or_without_scenes(self):
        bare = Reading(FIRST.photo, outline=FIRST.outline, alignment=FIRST.alignment)

        assert look_for_loss(FIRST, FIRST) == ()
        assert look_for_loss(bare, FIRST) == ()
        assert look_for_loss(FIRST, bare) == ()
