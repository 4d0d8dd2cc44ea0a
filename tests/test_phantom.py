"""Phantom photographs against their own truth, seen through independent eyes."""

import io
from dataclasses import replace
from datetime import datetime, timedelta, timezone

import colour
import cv2
import numpy as np
import pytest
from PIL import ExifTags, Image
from scipy.stats import pearsonr

from lesioncompare.design import DICTIONARY, MARKER_SIDE, SIZES_MM
from lesioncompare.phantom import Lamp, Shot, Snapshot, Spot, Subject, shoot
from lesioncompare.phantom.lighting import cast
from lesioncompare.phantom.sites import ear
from lesioncompare.phantom.spots import inward
from lesioncompare.science.colour import delta_e00, linear_to_lab, srgb_to_linear
from lesioncompare.terms import Part, Site, parse_site

SITES = ("nose", "ear-left", "eyelid-lower-left", "lip-lower-right", "gum-upper-left")
EVEN = Lamp(ambient=1.0, gradient=0.0)  # light from all around: no shade, no glint direction
CLEAN = Shot(
    seed=3,
    width_px=900,
    height_px=720,
    px_per_mm=24,
    hair=0,
    whiskers=0,
    noise=0,
    blur_px=0,
    jpeg_quality=98,
    lamp=EVEN,
)


def pixels(snapshot: Snapshot) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(snapshot.jpeg)))


def at(image: np.ndarray, points_px: np.ndarray) -> np.ndarray:
    """Bilinear samples (n, channels) of an image at pixel points."""
    columns, rows = points_px.astype(np.float32).T
    return cv2.remap(image, columns[None], rows[None], cv2.INTER_LINEAR)[0]


def dry(site: str) -> Subject:
    return Subject(parse_site(site), seed=5, wet=0)


class TestPhotograph:
    @pytest.mark.parametrize("site", SITES)
    def test_has_the_size_asked_for_and_every_truth(self, site: str) -> None:
        truth = shoot(Subject(parse_site(site), seed=2), CLEAN).truth
        assert truth.size_px == (900, 720)
        assert truth.outline_px.shape[1] == 2
        assert truth.sticker_corners_px is not None
        x, y, radius = truth.circle
        away = np.hypot(*(truth.outline_px - (x, y)).T)
        assert away.max() < radius < 1.5 * away.max()
        assert len(truth.bare_skin_mm()) > 100

    def test_equal_arguments_give_equal_bytes(self) -> None:
        cat, shot = Subject(Site(Part.NOSE), seed=2), Shot(seed=8, width_px=900, height_px=700)
        assert shoot(cat, shot).jpeg == shoot(cat, shot).jpeg

    def test_another_shot_shows_the_same_skin_under_other_hair(self) -> None:
        """Local contrast at equal skin points: the same animal correlates, another does not."""

        def detail(seed: int, shot_seed: int) -> np.ndarray:
            cat = Subject(Site(Part.NOSE), seed=seed, spots=(), wet=0)
            shot = replace(CLEAN, seed=shot_seed, sticker_id=None, tilt_deg=4 * shot_seed)
            taken = shoot(cat, replace(shot, roll_deg=25 * shot_seed))
            grey = cv2.cvtColor(pixels(taken), cv2.COLOR_RGB2GRAY).astype(np.float32)
            grey -= cv2.GaussianBlur(grey, (0, 0), 24)
            steps = np.arange(-3, 3, 0.1)
            lattice = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
            return at(grey, taken.truth.skin_to_px(lattice - (0, 3)))

        first = detail(5, 1)
        assert pearsonr(first, detail(5, 4)).statistic > 0.8
        assert abs(pearsonr(first, detail(6, 4)).statistic) < 0.2

    def test_the_sheet_is_as_bright_as_the_lamp_says(self) -> None:
        """The white between frame and marker, in linear light; rounding of codes is 0.4 %."""
        taken = shoot(dry("nose"), replace(CLEAN, lamp=replace(EVEN, brightness=0.6)))
        corners = taken.truth.sticker_corners_px
        white = corners[0] + 0.09 * (corners[2] - corners[0])
        assert srgb_to_linear(at(pixels(taken), white[None]))[0].mean() == pytest.approx(
            0.6, rel=0.02
        )

    def test_a_picture_too_small_for_spot_and_sticker_is_refused(self) -> None:
        with pytest.raises(ValueError, match="too small"):
            shoot(Subject(Site(Part.NOSE)), Shot(width_px=400, height_px=400, px_per_mm=40))

    def test_the_file_says_that_it_is_simulated_and_when_it_was_taken(self) -> None:
        when = datetime(2026, 3, 7, 18, 4, 5, tzinfo=timezone(timedelta(hours=-3, minutes=-30)))
        exif = Image.open(io.BytesIO(shoot(dry("nose"), replace(CLEAN, taken=when)).jpeg)).getexif()
        ifd = exif.get_ifd(ExifTags.IFD.Exif)
        assert "Simulated" in exif[ExifTags.Base.ImageDescription]
        assert ifd[ExifTags.Base.DateTimeOriginal] == "2026:03:07 18:04:05"
        assert ifd[ExifTags.Base.OffsetTimeOriginal] == "-03:30"

    def test_the_file_states_the_focal_length_on_35_mm_film(self) -> None:
        """Diagonal 43.27 mm: at 150 mm and 24 px/mm a 900 x 720 picture shows as 135 mm."""
        taken = shoot(dry("nose"), replace(CLEAN, distance_mm=150.0))
        ifd = Image.open(io.BytesIO(taken.jpeg)).getexif().get_ifd(ExifTags.IFD.Exif)
        expected = 150 * 24 / np.hypot(900, 720) * 43.27
        assert ifd[ExifTags.Base.FocalLengthIn35mmFilm] == round(expected)


class TestSpot:
    def test_half_of_the_light_on_the_outline_is_the_spots(self) -> None:
        """Three photographs from one stand: without, with, and all covered by the same pigment.

        The share is worked out from decoded pixels in linear light; 0.03 allows for 8-bit codes,
        JPEG and a border 0.4 mm (ten pixels) wide sampled between pixels.
        """
        spot = Spot(diameter_mm=4.0, edge_mm=0.4, irregularity=0.1)
        shot = replace(CLEAN, sticker_id=None, tilt_deg=20)
        bare, half, full = (
            srgb_to_linear(pixels(shoot(dry("lip-lower-left").with_spots(one), shot)))
            for one in (replace(spot, contrast=1e-6), spot, replace(spot, diameter_mm=9.0))
        )
        outline = shoot(dry("lip-lower-left").with_spots(spot), shot).truth.outline_px
        none, some, whole = (at(light, outline) for light in (bare, half, full))
        share = (none - some).sum(axis=1) / (none - whole).sum(axis=1)
        assert np.median(share) == pytest.approx(0.5, abs=0.03)
        assert np.percentile(abs(share - 0.5), 90) < 0.1

    def test_its_stated_colours_are_those_of_the_photograph_over_the_sheet(self) -> None:
        """Even light, dry skin: reflectance is light over the sheet's; 2 ΔE00 for relief."""
        taken = shoot(dry("ear-left"), CLEAN)
        light = srgb_to_linear(pixels(taken)) / CLEAN.lamp.brightness
        mask = np.zeros(light.shape[:2], np.uint8)
        cv2.fillPoly(mask, [np.round(taken.truth.outline_px).astype(np.int32)], 1)
        seen = np.median(linear_to_lab(light[mask > 0]), axis=0)
        assert delta_e00(seen, taken.truth.spot_lab) < 2.0
        points = taken.truth.bare_skin_mm(0.25)
        spot = taken.truth.spots[0].spot
        away = -inward(spot, points[:, 0], points[:, 1])
        ring = points[(away > 1) & (away < 3)]
        skin = np.median(linear_to_lab(at(light, taken.truth.skin_to_px(ring))), axis=0)
        assert delta_e00(skin, taken.truth.skin_lab) < 2.0

    def test_the_stretch_changes_its_area_but_not_its_area_at_rest(self) -> None:
        loose = shoot(dry("lip-lower-left"), replace(CLEAN, stretch_mm=1.0)).truth.spots[0]
        still = shoot(dry("lip-lower-left"), CLEAN).truth.spots[0]
        assert loose.rest_area_mm2 == still.rest_area_mm2
        assert still.area_mm2 == pytest.approx(still.rest_area_mm2, rel=1e-3)
        assert 0.005 < abs(np.log(loose.area_mm2 / loose.rest_area_mm2)) < 0.25

    def test_pigment_is_darker_redness_redder_and_an_ulcer_rawer_than_skin(self) -> None:
        truths = {
            kind: shoot(dry("nose").with_spots(Spot(kind)), CLEAN).truth
            for kind in ("pigment", "inflamed", "ulcer")
        }
        skin = truths["pigment"].skin_lab
        assert truths["pigment"].spot_lab[0] < skin[0] - 20
        assert truths["inflamed"].spot_lab[1] > skin[1] + 4
        assert delta_e00(truths["ulcer"].spot_lab, skin) > 15

    def test_a_second_spot_keeps_its_own_truth(self) -> None:
        cat = dry("nose").with_new_spot(Spot(x_mm=-3.5, y_mm=-3, diameter_mm=1.5))
        truth = shoot(cat, CLEAN).truth
        middle = truth.spots[1].outline_px.mean(axis=0)
        assert truth.px_to_skin(middle[None])[0] == pytest.approx([-3.5, -3.0], abs=0.15)


class TestSticker:
    @pytest.mark.parametrize("sticker_id", list(SIZES_MM))
    def test_opencv_finds_it_where_the_truth_says(self, sticker_id: int) -> None:
        """Plain detection refines to about half a pixel; the marker is carried from the corners."""
        shot = replace(CLEAN, sticker_id=sticker_id, width_px=1600, tilt_deg=18, roll_deg=70)
        taken = shoot(Subject(Site(Part.NOSE), seed=4), shot)
        detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(DICTIONARY))
        found, ids, _ = detector.detectMarkers(cv2.cvtColor(pixels(taken), cv2.COLOR_RGB2GRAY))
        assert ids.ravel().tolist() == [sticker_id]
        low, high = 0.5 - MARKER_SIDE / 2, 0.5 + MARKER_SIDE / 2
        unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float32)
        place = cv2.getPerspectiveTransform(unit, taken.truth.sticker_corners_px.astype(np.float32))
        marker = np.array([[low, low], [high, low], [high, high], [low, high]])
        expected = cv2.perspectiveTransform(marker[None], place)[0]
        assert np.hypot(*(found[0][0] - expected).T).max() < 1.5

    @pytest.mark.parametrize("height_mm", [-4.0, 0.0, 5.0])
    def test_its_distance_from_the_spots_plane_shows_as_scale(self, height_mm: float) -> None:
        """Camera square on: a level sheet h mm nearer looks d / (d - h) times as large."""
        shot = replace(CLEAN, tilt_deg=0, distance_mm=120, sticker_height_mm=height_mm)
        corners = shoot(dry("ear-left"), shot).truth.sticker_corners_px
        sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
        assert sides / 14 / 24 == pytest.approx(np.full(4, 120 / (120 - height_mm)), rel=1e-9)

    @pytest.mark.parametrize("seed", range(6))
    def test_it_lies_3_to_12_mm_beside_the_spot(self, seed: int) -> None:
        """Measured between polygons on level skin, with 1 % for the small tilt's perspective."""
        shot = replace(CLEAN, seed=seed, width_px=1600, height_px=1200, tilt_deg=0)
        truth = shoot(dry("ear-left"), shot).truth
        corners = truth.sticker_corners_px.astype(np.float32)
        gap_px = min(
            -cv2.pointPolygonTest(corners, tuple(map(float, point)), True)
            for point in truth.outline_px
        )
        assert 3 * 0.9 < gap_px / 24 < 12 * 1.5  # the far side of a lobed spot adds to the gap

    def test_none_two_and_half_of_one_can_be_had(self) -> None:
        cat = Subject(Site(Part.NOSE), seed=4)
        wide = replace(CLEAN, width_px=1600, height_px=1200)
        detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(DICTIONARY))

        def ids(shot: Shot) -> list[int]:
            grey = cv2.cvtColor(pixels(shoot(cat, shot)), cv2.COLOR_RGB2GRAY)
            found = detector.detectMarkers(grey)[1]
            return [] if found is None else sorted(found.ravel().tolist())

        assert ids(replace(wide, sticker_id=None)) == []
        assert ids(replace(wide, second_sticker_id=10)) == [10, 14]
        assert ids(replace(wide, sticker_cut=0.4)) == []


class TestEar:
    @pytest.mark.parametrize("area_mm2", [2.0, 8.0])
    def test_the_margin_lacks_exactly_what_it_lost(self, area_mm2: float) -> None:
        """Difference of two polygons; the outline is followed on a 0.05 mm lattice."""
        whole = Subject(parse_site("ear-right"), seed=6)
        areas = [
            cv2.contourArea(ear.margin_outline(cat).astype(np.float32))
            for cat in (whole, whole.with_margin_loss(area_mm2))
        ]
        assert areas[0] - areas[1] == pytest.approx(area_mm2, abs=0.25)

    def test_the_margin_in_the_picture_parts_skin_from_background(self) -> None:
        taken = shoot(Subject(parse_site("ear-left"), seed=6, coat="black"), CLEAN)
        margin = taken.truth.margin_px
        inside = margin + (taken.truth.skin_to_px(np.array([[0.0, 2.0]])) - margin) * 0.12
        red = at(pixels(taken), inside[::20])[:, 0].astype(float)
        assert np.median(red) > 120

    def test_left_and_right_are_mirror_images(self) -> None:
        left, right = (
            ear.margin_outline(Subject(parse_site(f"ear-{s}"), margin_loss_mm2=6))
            for s in ("left", "right")
        )
        assert left[:, 0].min() == pytest.approx(-right[:, 0].max(), abs=0.2)


class TestLandmarks:
    def test_the_nostrils_are_dark_holes(self) -> None:
        taken = shoot(dry("nose"), CLEAN)
        image = pixels(taken)
        skin = at(image, taken.truth.skin_to_px(np.array([[0.0, -4.0]]))).mean()
        for name in ("nostril_left", "nostril_right"):
            x, y, _ = taken.truth.landmarks[name]
            assert at(image, np.array([[x, y]])).mean() < 0.4 * skin


class TestCast:
    @pytest.mark.parametrize("kelvin", [3200.0, 4500.0, 6500.0, 8000.0])
    def test_follows_the_planckian_locus(self, kelvin: float) -> None:
        """Against colour-science's Krystek (1985) and its own sRGB matrices."""
        white = [
            colour.XYZ_to_sRGB(
                colour.xy_to_XYZ(colour.UCS_uv_to_xy(colour.temperature.CCT_to_uv_Krystek1985(t))),
                illuminant=colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"],
                apply_cctf_encoding=False,
            )
            for t in (kelvin, 6500.0)
        ]
        expected = white[0] / white[1]
        expected /= expected @ np.array([0.2126, 0.7152, 0.0722])
        np.testing.assert_allclose(cast(kelvin), expected, rtol=2e-3)
