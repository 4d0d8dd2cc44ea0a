"""The phantom's geometry against closed forms and against OpenCV's pinhole camera."""

import cv2
import numpy as np
import pytest

from lesioncompare.phantom import Shot, Spot, Subject
from lesioncompare.phantom.camera import View, aim, frame_at
from lesioncompare.phantom.picture import skin_map
from lesioncompare.phantom.spots import border, cover, outline_mm, reach_mm
from lesioncompare.phantom.surface import Stretch, Surface, draw_stretch
from lesioncompare.terms import Part, Site

STILL = Stretch(np.zeros((1, 3)), np.zeros((1, 2)), np.zeros(2))
FLAT = Surface(1e7, 1e7, np.zeros(2), STILL)
HERE = np.array([1.5, -2.0])


@pytest.fixture
def rng() -> np.random.Generator:
    return np.random.default_rng(20)


def view_of(surface: Surface, shot: Shot, distance_mm: float = 140.0) -> View:
    frame = frame_at(surface, HERE)
    return View(surface, aim(frame, frame.origin, shot, distance_mm), frame)


def polygon_area(points: np.ndarray) -> float:
    x, y = points.T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2)


class TestBorder:
    @pytest.mark.parametrize("seed", [1, 2, 3])
    def test_encloses_exactly_the_stated_area(self, seed: int) -> None:
        """Shoelace over 1440 points; a polygon that fine misses a disc by 3e-6."""
        spot = Spot(diameter_mm=3.7, irregularity=0.12, aspect=1.6, seed=seed)
        area = polygon_area(outline_mm(spot, 1440))
        assert area == pytest.approx(np.pi / 4 * 3.7**2, rel=2e-4)

    def test_without_lobes_is_the_stated_ellipse(self) -> None:
        spot = Spot(diameter_mm=4.0, irregularity=0.0, aspect=2.0, turn_deg=0.0)
        line = outline_mm(spot, 1440)
        assert np.ptp(line[:, 0]) == pytest.approx(4.0 * 2**0.5, rel=1e-4)
        assert np.ptp(line[:, 1]) == pytest.approx(4.0 / 2**0.5, rel=1e-4)

    def test_growth_keeps_the_shape_and_scales_the_area(self) -> None:
        spot = Spot(diameter_mm=3.0)
        grown = spot.grown(1.35)
        assert polygon_area(outline_mm(grown, 1440)) == pytest.approx(
            1.35 * polygon_area(outline_mm(spot, 1440)), rel=1e-9
        )
        ratio = border(grown).radius / border(spot).radius
        np.testing.assert_allclose(ratio, 1.35**0.5, rtol=1e-9)


class TestCover:
    def test_is_one_half_on_the_border(self) -> None:
        """Single precision leaves 1e-5 mm, a thousandth of the cover's slope."""
        spot = Spot(diameter_mm=4.0, irregularity=0.15, edge_mm=0.1)
        u, v = outline_mm(spot).astype(np.float32).T
        np.testing.assert_allclose(cover(spot, u, v), 0.5, atol=2e-3)

    def test_falls_from_90_to_10_percent_over_the_stated_width(self) -> None:
        spot = Spot(diameter_mm=5.0, irregularity=0.0, aspect=1.0, edge_mm=0.4)
        u = np.linspace(2.0, 3.0, 2001, dtype=np.float32)
        share = cover(spot, u, np.zeros_like(u))
        width = u[np.argmin(abs(share - 0.1))] - u[np.argmin(abs(share - 0.9))]
        assert width == pytest.approx(0.4, abs=0.002)


class TestSurface:
    def test_a_cylinder_keeps_lengths_and_areas(self) -> None:
        cylinder = Surface(15.0, 1e7, np.zeros(2), STILL)
        places = cylinder.place(np.array([[0.0, 0.0], [15 * 0.5, 0.0]]))
        chord = 2 * 15 * np.sin(0.25)
        assert np.linalg.norm(places[1] - places[0]) == pytest.approx(chord, rel=1e-9)
        np.testing.assert_allclose(cylinder.area_element(np.array([[4.0, 3.0]])), 1.0, rtol=1e-9)

    def test_the_area_element_is_that_of_the_placed_surface(self, rng: np.random.Generator) -> None:
        """Cross product of finite differences in space, an independent second computation."""
        surface = Surface(14.0, 19.0, np.array([0.5, 1.0]), draw_stretch(rng, 1.0, np.zeros(2)))
        points = rng.uniform(-8, 8, (50, 2))
        step = 1e-5
        along = [
            (surface.place(points + move) - surface.place(points - move)) / (2 * step)
            for move in (np.array([step, 0]), np.array([0, step]))
        ]
        expected = np.linalg.norm(np.cross(*along), axis=1)
        np.testing.assert_allclose(surface.area_element(points), expected, rtol=1e-6)

    def test_the_stretch_moves_skin_by_at_most_what_was_asked(
        self, rng: np.random.Generator
    ) -> None:
        stretch = draw_stretch(rng, 0.8, HERE)
        angle, away = rng.uniform(0, 2 * np.pi, 4000), 10 * np.sqrt(rng.random(4000))
        points = HERE + away[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
        moved = np.hypot(*(stretch(points) - points).T)
        assert moved.max() == pytest.approx(0.8, rel=0.03)  # met on a 1 mm lattice


class TestCamera:
    def test_agrees_with_opencv(self, rng: np.random.Generator) -> None:
        """OpenCV's projectPoints is the reference for a pinhole without distortion."""
        surface = Surface(18.0, 25.0, np.zeros(2), STILL)
        shot = Shot(tilt_deg=27, tilt_azimuth_deg=50, roll_deg=115, px_per_mm=22)
        view = view_of(surface, shot)
        camera, points = view.camera, rng.uniform(-8, 8, (40, 2))
        intrinsic = np.array(
            [
                [camera.focal_px, 0, camera.middle_px[0]],
                [0, camera.focal_px, camera.middle_px[1]],
                [0, 0, 1],
            ]
        )
        turn, _ = cv2.Rodrigues(camera.rotation)
        shift = -camera.rotation @ camera.centre
        expected, _ = cv2.projectPoints(surface.place(points), turn, shift, intrinsic, None)
        np.testing.assert_allclose(view.to_px(points), expected[:, 0], atol=1e-6)

    @pytest.mark.parametrize("tilt_deg", [0.0, 20.0, 35.0])
    def test_a_tilt_shrinks_a_small_area_by_its_cosine(self, tilt_deg: float) -> None:
        view = view_of(FLAT, Shot(px_per_mm=30, tilt_deg=tilt_deg, tilt_azimuth_deg=70))
        area = abs(np.linalg.det(view.jacobian(HERE[None])[0]))
        assert area == pytest.approx(30**2 * np.cos(np.radians(tilt_deg)), rel=1e-5)

    def test_the_tilt_is_the_angle_between_axis_and_normal(self) -> None:
        surface = Surface(14.0, 19.0, np.zeros(2), STILL)
        view = view_of(surface, Shot(tilt_deg=24, tilt_azimuth_deg=-40, roll_deg=33))
        cosine = -view.camera.rotation[2] @ view.frame.out
        assert np.degrees(np.arccos(cosine)) == pytest.approx(24, abs=1e-6)

    def test_the_way_back_from_pixels_finds_the_skin(self, rng: np.random.Generator) -> None:
        surface = Surface(20.0, 26.0, np.zeros(2), draw_stretch(rng, 1.0, HERE))
        view = view_of(surface, Shot(tilt_deg=33, tilt_azimuth_deg=10, roll_deg=200))
        points = rng.uniform(-9, 9, (200, 2))
        np.testing.assert_allclose(view.to_skin(view.to_px(points)), points, atol=1e-5)

    def test_the_map_of_the_picture_is_that_way_back(self, rng: np.random.Generator) -> None:
        """Solved every 8 px, linear between: 0.04 px within 4 mm of the spot, 0.1 px within 10."""
        surface = Surface(18.0, 22.0, np.zeros(2), draw_stretch(rng, 1.0, HERE))
        shot = Shot(width_px=701, height_px=555, px_per_mm=26, tilt_deg=35, roll_deg=40)
        view = view_of(surface, shot)
        u, v = skin_map(view, 701, 555)
        y, x = np.meshgrid(np.arange(0, 555, 7), np.arange(0, 701, 9), indexing="ij")
        skin = np.column_stack([u[y, x].ravel(), v[y, x].ravel()])
        away = np.hypot(*(skin - HERE).T)
        miss = np.hypot(*(view.to_px(skin) - np.column_stack([x.ravel(), y.ravel()])).T)
        assert miss[away < 4].max() < 0.04
        assert miss[away < 10].max() < 0.1

    def test_an_outline_through_the_true_plane_has_the_true_area(self) -> None:
        """Flat skin: the homography from four known points takes the outline back to its area."""
        spot = Spot(x_mm=HERE[0], y_mm=HERE[1], diameter_mm=4.2)
        view = view_of(FLAT, Shot(tilt_deg=32, tilt_azimuth_deg=130, roll_deg=75))
        square = HERE + 6 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        to_mm = cv2.getPerspectiveTransform(
            view.to_px(square).astype(np.float32), square.astype(np.float32)
        )
        seen = view.to_px(outline_mm(spot, 1440))
        back = cv2.perspectiveTransform(seen[None], to_mm)[0]
        assert polygon_area(back) == pytest.approx(spot.rest_area_mm2, rel=5e-4)


class TestSubject:
    def test_only_an_ear_has_a_margin_to_lose(self) -> None:
        with pytest.raises(ValueError, match="margin_loss_mm2"):
            Subject(Site(Part.NOSE), margin_loss_mm2=3.0)

    def test_a_kind_that_is_not_known_is_refused(self) -> None:
        with pytest.raises(ValueError, match="kind"):
            Spot(kind="wart")

    def test_new_spots_and_growth_leave_the_rest_alone(self) -> None:
        cat = Subject(Site(Part.LIP), seed=4)
        changed = cat.with_first_grown(1.5).with_new_spot(Spot(x_mm=3, diameter_mm=1.5))
        assert len(changed.spots) == 2
        assert (changed.site, changed.seed, changed.coat) == (cat.site, cat.seed, cat.coat)
        assert reach_mm(changed.spots[0]) == pytest.approx(1.5**0.5 * reach_mm(cat.spots[0]))
