"""New marks are found without being pointed at; hair, glint, shadow and slips are not marks."""

from math import pi

import cv2
import numpy as np
import pytest

from lesioncompare.compare.new_spots import find_new, look_for_new
from lesioncompare.records import Alignment, Outline, Photo, Reading, Scene

PITCH = 0.08  # [mm]
WIDTH, HEIGHT = 240, 200  # not square
ORIGIN = (-9.6, -8.0)
SKIN = np.array([0.55, 0.33, 0.28])
PIGMENT = np.array([0.08, 0.05, 0.05])
RED = np.array([0.50, 0.20, 0.17])
HERE = np.eye(3)


class Skin:
    """A patch of pink skin with folds and one known spot of 4 mm, painted anew for each photo."""

    def __init__(self, seed=1):
        rng = np.random.default_rng(seed)
        folds = cv2.GaussianBlur(rng.normal(size=(HEIGHT, WIDTH)), (0, 0), 4)
        self.reflectance = SKIN * (1 + 0.06 * folds / folds.std())[..., None]
        self.mark(0, 0, 4.0, PIGMENT)

    def cover(self, x, y, diameter, soft=0.15):
        """Share of a round mark at each grid point."""
        columns = np.arange(WIDTH) * PITCH + ORIGIN[0]
        rows = np.arange(HEIGHT) * PITCH + ORIGIN[1]
        distance = np.hypot(columns[None, :] - x, rows[:, None] - y)
        return 1 / (1 + np.exp((distance - diameter / 2) / (soft / 2)))[..., None]

    def mark(self, x, y, diameter, colour=PIGMENT, soft=0.15):
        cover = self.cover(x, y, diameter, soft)
        self.reflectance = self.reflectance * (1 - cover) + colour * cover
        return self

    def line(self, start, end, width_mm, colour):
        drawn = np.zeros((HEIGHT, WIDTH), np.uint8)
        at = [tuple(int(v) for v in ((np.array(p) - ORIGIN) / PITCH).round()) for p in (start, end)]
        cv2.line(drawn, *at, 255, max(round(width_mm / PITCH), 1), cv2.LINE_AA)
        cover = (drawn / 255.0)[..., None]
        self.reflectance = self.reflectance * (1 - cover) + colour * cover
        return self

    def scene(self, seed=0, light=1.0):
        rng = np.random.default_rng(seed)
        linear = self.reflectance * light * (1 + 0.02 * rng.normal(size=(HEIGHT, WIDTH, 1)))
        lab = np.zeros((HEIGHT, WIDTH, 3), np.float32)
        return Scene(linear.astype(np.float32), lab, np.ones((HEIGHT, WIDTH), bool), ORIGIN, PITCH)


def ring(diameter=4.2):
    angle = np.linspace(0, 2 * pi, 60)
    return np.column_stack([np.cos(angle), np.sin(angle)]) * diameter / 2


def found(later, *, first=None, to_first=HERE):
    return find_new((first or Skin()).scene(1), later, to_first, [ring()])


def gradient(strength):
    """Light that falls off smoothly across the picture."""
    return 1 + strength * np.linspace(-1, 1, WIDTH)[None, :, None]


def under_sticker(scene, left, top):
    """The scene with nothing known right of ``left`` and below ``top`` [mm]."""
    valid = scene.valid.copy()
    column, row = scene.to_grid([[left, top]])[0].round().astype(int)
    valid[row:, column:] = False
    return Scene(scene.linear, scene.lab, valid, ORIGIN, PITCH)


class TestNothingNew:
    def test_the_same_skin_in_another_photo_shows_nothing(self):
        assert found(Skin().scene(2)) == ()

    @pytest.mark.parametrize("light", [0.6, 1.5, gradient(0.4)])
    def test_other_light_shows_nothing(self, light):
        assert found(Skin().scene(2, light)) == ()

    def test_a_soft_shadow_shows_nothing(self):
        shadow = 1 - 0.4 * Skin().cover(5, 4, 6.0, soft=2.5)

        assert found(Skin().scene(2, shadow)) == ()

    def test_a_dark_hair_shows_nothing(self):
        hairy = Skin().line((-7, 4), (8, 6), 0.15, PIGMENT).line((5, -6), (6, 7), 0.1, PIGMENT)

        assert found(hairy.scene(2)) == ()

    def test_a_glint_of_the_first_photo_shows_nothing(self):
        shiny = Skin().mark(5, 4, 1.5, np.array([1.0, 1.0, 1.0]))

        assert found(Skin().scene(2), first=shiny) == ()

    def test_growth_of_the_tracked_spot_is_not_a_new_spot(self):
        assert found(Skin().mark(0, 0, 4.8).scene(2)) == ()

    def test_an_old_freckle_a_little_out_of_place_shows_nothing(self):
        first, later = Skin().mark(5, 4, 1.5), Skin().mark(5.25, 4.1, 1.5)

        assert found(later.scene(2), first=first) == ()

    def test_a_spot_that_vanished_shows_nothing(self):
        assert found(Skin().scene(2), first=Skin().mark(5, 4, 2.0)) == ()

    def test_a_mark_at_the_edge_of_what_is_known_is_not_called(self):
        assert found(Skin().mark(9.4, 0, 1.5).scene(2)) == ()

    def test_a_shadow_along_the_sticker_of_the_later_photo_is_not_called(self):
        shaded = Skin()
        for y in np.arange(1.0, 8.0, 0.4):
            shaded.mark(4.9, y, 1.2)

        assert found(under_sticker(shaded.scene(2), left=5.0, top=1.0)) == ()


class TestNewMarks:
    @pytest.mark.parametrize("diameter", [1.0, 1.5, 2.0, 3.0])
    def test_a_dark_mark_is_found_in_its_place_with_its_area(self, diameter):
        (mark,) = found(Skin().mark(5, 4, diameter).scene(2))

        assert (mark.x_mm, mark.y_mm) == pytest.approx((5, 4), abs=0.15)
        # a coarse grid and half a density, not half a reflectance: two stated errors
        assert mark.area_mm2 == pytest.approx(pi / 4 * diameter**2, abs=2 * mark.area_u)
        assert mark.area_u < 0.2 * pi / 4 * diameter**2 + 0.1
        assert mark.kind == "new_spot"

    def test_a_red_mark_is_found_by_its_redness(self):
        (mark,) = found(Skin().mark(5, 4, 2.0, RED).scene(2))

        assert mark.evidence["red_contrast"] > 0.135

    def test_a_mark_beside_the_corner_of_a_sticker_is_found(self):
        """A third of the skin round it may be hidden; what is seen of it must be skin."""
        beside = under_sticker(Skin().mark(5, 4, 1.5).scene(2), left=5.9, top=3.6)

        assert len(found(beside)) == 1

    def test_it_is_found_under_other_light_too(self):
        assert len(found(Skin().mark(-6, 3, 1.5).scene(2, gradient(0.4) * 0.7))) == 1

    def test_it_is_found_through_a_turn_and_a_shift(self):
        angle = 0.2
        turn = np.array(
            [[np.cos(angle), -np.sin(angle), 0.8], [np.sin(angle), np.cos(angle), -0.5], [0, 0, 1]]
        )
        straight = Skin().mark(5, 4, 2.0).scene(2)
        back = np.linalg.inv(turn)
        grid = np.array([[PITCH, 0, ORIGIN[0]], [0, PITCH, ORIGIN[1]], [0, 0, 1]])
        warp = np.linalg.inv(grid) @ back @ grid
        linear = cv2.warpPerspective(
            straight.linear, warp, (WIDTH, HEIGHT), borderMode=cv2.BORDER_REFLECT
        )
        later = Scene(linear, straight.lab, straight.valid, ORIGIN, PITCH)
        (mark,) = found(later, to_first=turn)

        assert (mark.x_mm, mark.y_mm) == pytest.approx((5, 4), abs=0.2)

    def test_several_come_largest_first(self):
        marks = found(Skin().mark(5, 4, 1.5).mark(-5, -4, 2.5).scene(2))

        assert [round(mark.x_mm) for mark in marks] == [-5, 5]

    def test_a_mark_crossed_by_a_hair_is_one_mark(self):
        crossed = Skin().mark(5, 4, 2.5).line((-7, 3.8), (9, 4.4), 0.1, np.ones(3))

        assert len(found(crossed.scene(2))) == 1


class TestLookForNew:
    def reading(self, scene, alignment=None):
        photo = Photo("x.jpg", "0", np.zeros((1, 1, 3), np.uint8), None, "none")
        border = Outline(ring(), ring(), ring(), 0.05)
        return Reading(photo, scene=scene, alignment=alignment, outline=border)

    def test_finds_it_in_readings(self):
        first = self.reading(Skin().scene(1))
        later = self.reading(Skin().mark(5, 4, 2.0).scene(2), Alignment(HERE, 0.1, 0.8, 1, 0.01))

        assert len(look_for_new(first, later)) == 1

    def test_says_nothing_without_an_alignment_a_scene_or_against_itself(self):
        first = self.reading(Skin().scene(1))
        unaligned = self.reading(Skin().mark(5, 4, 2.0).scene(2))

        assert look_for_new(first, unaligned) == ()
        assert look_for_new(first, first) == ()
        assert look_for_new(self.reading(None), unaligned) == ()
