"""Millimetres and steady colours come out as they were put in, with the error that is stated."""

import cv2
import numpy as np
import pytest

from lesioncompare.calibrate import calibrate, close_up, overview, take_scene
from lesioncompare.calibrate.light import fit_light
from lesioncompare.design import ladder, paper
from lesioncompare.records import Circle, Photo, Sticker
from lesioncompare.science.colour import (
    delta_e00,
    linear_to_lab,
    linear_to_srgb,
    srgb_to_linear,
    straightened,
)
from lesioncompare.science.plane import apply_homography, homography_between, local_scale
from lesioncompare.settings import Settings

WIDTH, HEIGHT = 1200, 900  # [px]
SIZE_MM = 14.0
GREYS = np.array(
    [[(p.x - 0.5) * 14, (p.y - 0.5) * 14, p.reflectance] for p in (*ladder(), *paper())]
)
SQUARE = SIZE_MM / 2 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1.0]])


def seen_greys(gain=(0.8, 0.7, 0.5), offset=(0, 0, 0), gradient=(0, 0), noise=0.0, seed=1):
    """What a camera sees of the ladder, by the formula of the record ``Light``."""
    lit = GREYS[:, 2] * (1 + GREYS[:, :2] @ np.asarray(gradient, float))
    seen = np.asarray(offset) + np.asarray(gain) * lit[:, None]
    seen = seen * (1 + noise * np.random.default_rng(seed).standard_normal(seen.shape))
    return np.column_stack([GREYS, np.clip(seen, 0, 1)])


def pose(tilt_deg=0.0, distance_mm=150.0, focal_px=3000.0, aside_mm=(0.0, 0.0), azimuth=0.9):
    """Homography from a plane's millimetres to pixels, written out: K [r1 r2 t]."""
    axis = np.radians(tilt_deg) * np.array([np.cos(azimuth), np.sin(azimuth), 0])
    rotation = cv2.Rodrigues(axis)[0]
    camera = np.array([[focal_px, 0, (WIDTH - 1) / 2], [0, focal_px, (HEIGHT - 1) / 2], [0, 0, 1]])
    return camera @ np.column_stack([rotation[:, 0], rotation[:, 1], [*aside_mm, distance_mm]])


def sticker_seen(to_px, *, u_px=0.03, greys=None, kind="printed"):
    """A sticker located exactly."""
    to_mm = np.linalg.inv(to_px)
    greys = seen_greys() if greys is None else greys
    return Sticker(
        kind, 14, SIZE_MM, apply_homography(to_px, SQUARE), to_mm / to_mm[2, 2], u_px, greys
    )


def photo(rgb=None, focal_px=None):
    blank = np.full((HEIGHT, WIDTH, 3), 90, np.uint8) if rgb is None else rgb
    return Photo("x", "0" * 64, blank, None, "none", focal_px=focal_px)


def calibrated(to_px, *, at_mm=(0.0, 0.0), focal_px=None, settings=None, **how):
    at = apply_homography(to_px, [at_mm])[0]
    place = (float(at[0]), float(at[1]))
    return calibrate(
        photo(focal_px=focal_px), sticker_seen(to_px, **how), place, settings or Settings()
    )


def part(calibration, name):
    return next(p.u for p in calibration.scale_parts if p.name == name)


class TestScale:
    @pytest.mark.parametrize("tilt_deg", [0, 20, 40])
    @pytest.mark.parametrize("at_mm", [(0, 0), (12, -7)])
    def test_is_that_of_the_plane_at_the_spot(self, tilt_deg, at_mm):
        to_px = pose(tilt_deg)
        found = calibrated(to_px, at_mm=at_mm).mm_per_px

        assert found == pytest.approx(1 / local_scale(to_px, [at_mm])[0], rel=1e-9)

    def test_follows_a_worked_homography(self):
        """Heckbert (1989) Fundamentals of Texture Mapping, 2.2: unit square onto a trapezium.

        Its local areas at the middle and at a corner are 128/27 and 2.
        """
        square = np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]])
        quad = 100 * np.array([[0, 0], [4, 0], [3, 2], [1, 2.0]])
        to_px = homography_between(square, quad)
        to_mm = np.linalg.inv(to_px)
        sticker = Sticker("printed", 14, 1.0, quad, to_mm / to_mm[2, 2], 0.03, seen_greys())
        for at, area in ([(0.5, 0.5), 128 / 27], [(1, 1), 2.0]):
            x, y = apply_homography(to_px, [at])[0]
            found = calibrate(photo(), sticker, (float(x), float(y)), Settings()).mm_per_px

            assert found == pytest.approx(1 / (100 * np.sqrt(area)))

    @pytest.mark.parametrize("tilt_deg", [0, 25])
    def test_error_from_corners_is_what_jittered_corners_show(self, tilt_deg):
        """200 draws: their standard deviation is known to 5 %; 15 % is three of that."""
        to_px, u_px = pose(tilt_deg), 0.3
        rng = np.random.default_rng(3)
        corners, at = apply_homography(to_px, SQUARE), apply_homography(to_px, [(10, 4)])
        drawn = [
            local_scale(homography_between(corners + rng.normal(0, u_px, (4, 2)), SQUARE), at)[0]
            for _ in range(200)
        ]
        stated = part(calibrated(to_px, at_mm=(10, 4), u_px=u_px), "scale")

        assert stated == pytest.approx(np.std(drawn) / np.mean(drawn), rel=0.15)

    @pytest.mark.parametrize("distance_mm", [100, 150, 300])
    def test_error_of_the_plane_is_the_parallax(self, distance_mm):
        """Closed form: a length z nearer looks longer by z / D; D must be known to 25 %."""
        to_px = pose(20, distance_mm, 20.0 * distance_mm)
        stated = part(calibrated(to_px, settings=Settings(plane_offset_mm=1.0)), "plane")

        assert stated == pytest.approx(1 / distance_mm, rel=0.25)

    def test_error_of_the_sticker_turned_against_the_skin(self):
        """A turn t of a plane seen at tilt T changes its area by cos(T + t) / cos(T)."""
        turn, tilt = np.radians(4.0), np.radians(30.0)
        stated = part(calibrated(pose(30)), "tilt")
        longer = np.sqrt(np.cos(tilt + turn) / np.cos(tilt)) - 1

        assert stated == pytest.approx(abs(longer), rel=0.2)

    def test_printer_tolerance_is_common_to_all_photos(self):
        printed = next(p for p in calibrated(pose()).scale_parts if p.name == "print")

        assert printed.common
        assert printed.u == Settings().print_tolerance

    def test_stated_error_grows_off_the_middle_of_the_picture(self):
        near = part(calibrated(pose(), at_mm=(3, 0)), "lens")
        far = part(calibrated(pose(), at_mm=(28, 0)), "lens")

        assert far > 5 * near


class TestTilt:
    @pytest.mark.parametrize("tilt_deg", [6, 15, 30, 45])
    @pytest.mark.parametrize("distance_mm", [80, 150, 300])
    def test_is_the_one_it_was_seen_at(self, tilt_deg, distance_mm):
        """Corners are exact here; the paper's flatness, 0.1 %, leaves about a degree."""
        to_px = pose(tilt_deg, distance_mm, 20.0 * distance_mm)

        assert calibrated(to_px).tilt_deg == pytest.approx(tilt_deg, abs=1.0)

    def test_square_on_is_no_slant(self):
        assert calibrated(pose(0)).tilt_deg < 1.5

    def test_a_stated_focal_length_steadies_it_off_the_middle(self):
        """Corners 0.6 px off: over 30 draws the error with a focal length is not the greater."""
        rng = np.random.default_rng(11)
        to_px = pose(15, 150, 3000, aside_mm=(10, -6))
        errors = {None: [], 3000.0: []}
        for _ in range(30):
            corners = apply_homography(to_px, SQUARE) + rng.normal(0, 0.6, (4, 2))
            to_mm = homography_between(corners, SQUARE)
            sticker = Sticker("printed", 14, SIZE_MM, corners, to_mm, 0.6, seen_greys())
            for focal_px, tilts in errors.items():
                tilts.append(
                    calibrate(photo(focal_px=focal_px), sticker, (600, 450), Settings()).tilt_deg
                    - 15
                )
        rms = {focal_px: np.sqrt(np.mean(np.square(e))) for focal_px, e in errors.items()}

        assert rms[3000.0] <= rms[None] * 1.02
        assert rms[3000.0] < 3

    def test_a_dot_shows_it_by_its_axes(self):
        """A circle turned by T is foreshortened to cos T."""
        ends = np.array([[700, 450], [600, 530], [500, 450], [600, 370.0]])
        to_mm = np.diag([4 / 100, 4 / 80, 1.0])
        to_mm[:2, 2] = -to_mm[:2, :2] @ [600, 450]
        dot = Sticker("round", None, 8.0, ends, to_mm, 0.1, np.zeros((0, 6)))
        found = calibrate(photo(focal_px=3000.0), dot, (600, 450), Settings())

        assert found.tilt_deg == pytest.approx(np.degrees(np.arccos(0.8)))
        assert not found.light.steady
        # D = f x mm/px: 3000 x 0.0447
        assert part(found, "plane") == pytest.approx(
            Settings().plane_offset_mm / (3000 * np.sqrt(0.04 * 0.05))
        )


class TestLight:
    def test_recovers_gain_offset_and_gradient(self):
        """Exact greys; what was held to be likely beforehand pulls by a few per cent of itself."""
        gain, offset, gradient = (0.8, 0.65, 0.4), (0.012, 0.01, 0.008), (0.015, -0.01)
        found = fit_light(seen_greys(gain, offset, gradient))

        assert found.gain == pytest.approx(gain, rel=0.02)
        assert found.offset == pytest.approx(offset, abs=0.002)
        assert found.gradient == pytest.approx(gradient, abs=0.001)
        assert found.bend == pytest.approx(0, abs=0.03)

    @pytest.mark.parametrize("seed", range(4))
    def test_steadies_noisy_greys_to_within_a_just_noticeable_step(self, seed):
        light = fit_light(seen_greys((0.9, 0.6, 0.3), (0.01,) * 3, (-0.01, 0.02), 0.02, seed))
        factor = 1 + GREYS[:, :2] @ light.gradient
        white = np.array(
            [0.01 + g * GREYS[:, 2] * (1 + GREYS[:, :2] @ [-0.01, 0.02]) for g in (0.9, 0.6, 0.3)]
        ).T
        steadied = (white - light.offset) / (light.gain * factor[:, None])
        apart = delta_e00(linear_to_lab(steadied), linear_to_lab(GREYS[:, [2, 2, 2]]))

        assert np.median(apart) < 1.0

    def test_a_whisker_and_a_glint_over_greys_do_not_count(self):
        greys = seen_greys()
        greys[2, 3:], greys[9, 3:] = 0.02, 0.95
        clean, spoilt = fit_light(seen_greys()), fit_light(greys)

        assert spoilt.gain == pytest.approx(clean.gain, rel=0.02)

    def test_paper_that_fills_the_sensor_in_one_channel_does_not_count_there(self):
        """Warm light: red would need 1.2 of the sensor's range on white paper."""
        found = fit_light(seen_greys((1.2, 0.75, 0.4)))

        assert found.gain == pytest.approx((1.2, 0.75, 0.4), rel=0.02)
        assert found.residual_de00 < 0.5

    @pytest.mark.parametrize("bend", [0.2, 0.4])
    def test_undoes_a_lively_tone_curve(self, bend):
        codes = np.interp(GREYS[:, 2] * 0.8, straightened(bend), np.arange(256.0))
        seen = srgb_to_linear(np.round(codes).astype(np.uint8))
        found = fit_light(np.column_stack([GREYS, seen, seen, seen]))

        assert found.bend == pytest.approx(bend, abs=0.08)
        assert found.gain == pytest.approx([0.8] * 3, rel=0.05)

    def test_without_greys_the_photo_keeps_its_colours(self):
        light = fit_light(np.zeros((0, 6)))

        assert not light.steady
        assert (light.gain == 1).all()


def chequered(to_px, light=(0.8, 0.8, 0.8)):
    """A plane of patches of 6 mm in known colours, seen through a homography."""
    rows, columns = np.indices((HEIGHT, WIDTH), dtype=float)
    at = apply_homography(np.linalg.inv(to_px), np.column_stack([columns.ravel(), rows.ravel()]))
    which = (np.floor(at / 6).astype(int).sum(axis=1) % 2).reshape(HEIGHT, WIDTH)
    colours = np.array([[0.45, 0.27, 0.22], [0.12, 0.07, 0.06]])
    return colours, linear_to_srgb(colours[which] * light)


class TestScene:
    def test_shows_each_place_in_its_own_colour(self):
        """Through a tilted camera and warm light; 1 ΔE00 is left to codes and their mixture."""
        to_px, light = pose(25, aside_mm=(-8, 3)), (0.8, 0.6, 0.4)
        colours, rgb = chequered(to_px, light)
        sticker = sticker_seen(to_px, greys=seen_greys(light))
        taken = photo(rgb)
        found = calibrate(taken, sticker, (700, 400), Settings())
        scene = take_scene(
            taken, sticker, found, centre_mm=(15, -9), half_width_mm=5.9, pitch_mm=0.05
        )
        at = scene.to_mm(np.array([[c, r] for r in range(10, 227, 24) for c in range(10, 227, 24)]))
        inside = (np.abs(at % 6 - 3) < 2.5).all(axis=1)
        column, row = np.round(scene.to_grid(at[inside])).astype(int).T
        true = colours[np.floor(at[inside] / 6).astype(int).sum(axis=1) % 2]
        apart = delta_e00(scene.lab[row, column], linear_to_lab(true))

        assert inside.sum() > 30
        assert apart.max() < 1.0

    def test_averages_a_photo_finer_than_its_grid(self):
        """Noise falls with the root of the pixels that a cell holds, here 8 x 8, or more."""
        rng = np.random.default_rng(2)
        rgb = np.clip(128 + rng.normal(0, 12, (HEIGHT, WIDTH, 3)), 0, 255).astype(np.uint8)
        to_px = pose(0, 150, 3000)  # 20 px/mm
        sticker, taken = sticker_seen(to_px, greys=np.zeros((0, 6))), photo(rgb)
        found = calibrate(taken, sticker, (600, 450), Settings())
        scene = take_scene(taken, sticker, found, centre_mm=(0, 0), half_width_mm=16, pitch_mm=0.4)
        raw = srgb_to_linear(rgb)

        assert raw.std() / 20 < scene.linear.std() < 1.1 * raw.std() / 8
        assert scene.linear.mean() == pytest.approx(
            raw.mean(), rel=0.02
        )  # blocks are averaged in codes

    def test_leaves_out_the_sticker_and_what_is_not_in_the_photo(self):
        to_px = pose(0, 150, 3000)
        taken, sticker = photo(), sticker_seen(to_px)
        found = calibrate(taken, sticker, (600, 450), Settings())
        scene = take_scene(taken, sticker, found, centre_mm=(0, 0), half_width_mm=40, pitch_mm=0.5)
        rows, columns = np.indices(scene.valid.shape)
        at = scene.to_mm(np.column_stack([columns.ravel(), rows.ravel()]))
        on_sticker = np.abs(at).max(axis=1) < 7
        outside = (np.abs(at[:, 0]) > 30.5) | (np.abs(at[:, 1]) > 23)
        clear = (
            ~outside
            & (np.abs(at).max(axis=1) > 9)
            & (np.abs(at[:, 0]) < 29)
            & (np.abs(at[:, 1]) < 22)
        )

        assert not scene.valid.ravel()[on_sticker | outside].any()
        assert scene.valid.ravel()[clear].all()

    @pytest.mark.parametrize("px_per_mm", [15, 25, 60])
    def test_a_spot_of_3_mm_has_60_pixels_across_where_the_photo_has_them(self, px_per_mm):
        to_px = pose(0, 150, 150.0 * px_per_mm)
        taken, sticker = photo(), sticker_seen(to_px)
        found = calibrate(taken, sticker, (600, 450), Settings())
        scene = close_up(taken, sticker, found, Circle(10.0, 0.0, 1.7))

        assert 3 / scene.pitch_mm >= min(60, 3 * px_per_mm) * 0.99
        assert max(scene.valid.shape) <= 701

    def test_an_overview_reaches_over_the_whole_photo(self):
        to_px = pose(0, 150, 3000)
        taken, sticker = photo(), sticker_seen(to_px)
        found = calibrate(taken, sticker, (600, 450), Settings())
        wide = overview(taken, sticker, found)
        half = wide.pitch_mm * (len(wide.valid) - 1) / 2

        assert half == pytest.approx(30, abs=wide.pitch_mm)  # 1200 px of 20 px/mm, halved
        assert len(wide.valid) <= 601
