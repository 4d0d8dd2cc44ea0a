"""Planes before a camera, against closed forms and worked examples."""

import cv2
import numpy as np
import pytest

from lesioncompare.science.plane import (
    apply_homography,
    jacobian,
    local_scale,
    pose_of_plane,
)

# Heckbert PS (1989) Fundamentals of Texture Mapping: unit square onto a trapezium
TRAPEZIUM = np.array([[4.0, 2, 0], [0, 4, 0], [0, 1, 1]])


def seen_by(focal, centre, rotation, shift):
    """Homography of a plane at a pose, written out anew: K [r1 r2 t]."""
    camera = np.array([[focal, 0, centre[0]], [0, focal, centre[1]], [0, 0, 1]])
    return camera @ np.column_stack([rotation[:, 0], rotation[:, 1], shift])


class TestHomography:
    def test_carries_the_unit_square_as_heckbert_worked_it(self):
        square = np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]])
        quad = np.array([[0, 0], [4, 0], [3, 2], [1, 2.0]])

        assert apply_homography(TRAPEZIUM, square) == pytest.approx(quad)
        assert apply_homography(TRAPEZIUM, [[0.5, 0.5]]) == pytest.approx(np.array([[2, 4 / 3]]))

    def test_local_area_is_the_determinant_over_the_cube_of_the_weight(self):
        at = [[0, 0], [0.5, 0.5], [1, 1]]

        assert local_scale(TRAPEZIUM, at) ** 2 == pytest.approx([16, 128 / 27, 2])

    def test_local_areas_add_up_to_the_area_of_the_trapezium(self):
        middles = (np.arange(400) + 0.5) / 400
        x, y = np.meshgrid(middles, middles)
        areas = local_scale(TRAPEZIUM, np.column_stack([x.ravel(), y.ravel()])) ** 2

        assert areas.mean() == pytest.approx(6, abs=1e-4)  # the midpoint rule's error

    def test_jacobian_is_the_limit_of_small_steps(self):
        at, step = np.array([[0.3, 0.8]]), 1e-6
        by_steps = [
            (apply_homography(TRAPEZIUM, at + d) - apply_homography(TRAPEZIUM, at - d))[0] / 2e-6
            for d in (np.array([[step, 0]]), np.array([[0, step]]))
        ]

        assert jacobian(TRAPEZIUM, at)[0] == pytest.approx(np.array(by_steps).T, abs=1e-6)

    def test_agrees_with_opencv(self):
        rng = np.random.default_rng(5)
        matrix = np.eye(3) + rng.normal(0, 0.1, (3, 3))
        at = rng.uniform(-1, 1, (20, 2))
        by_opencv = cv2.perspectiveTransform(at[None], matrix)[0]

        assert apply_homography(matrix, at) == pytest.approx(by_opencv)


class TestPose:
    @pytest.mark.parametrize("tilt_deg", [0, 5, 20, 45])
    def test_finds_the_tilt_and_distance_it_was_made_with(self, tilt_deg):
        turn = cv2.Rodrigues(np.radians(tilt_deg) * np.array([0.6, 0.8, 0]))[0]
        spin = cv2.Rodrigues(np.array([0, 0, 0.7]))[0]
        seen = seen_by(3000, (2010, 1490), turn @ spin, [12, -7, 160])
        pose = pose_of_plane(5 * seen, 3000, (2010, 1490))

        assert pose.tilt_deg == pytest.approx(tilt_deg, abs=1e-5)
        assert pose.shift_mm == pytest.approx([12, -7, 160])
        deeper = (turn @ spin @ [3, 4, 0])[2]
        assert pose.depth_mm([[3, 4]]) == pytest.approx(160 + deeper)

    @pytest.mark.parametrize(
        ("tilt_deg", "lost"), [(5, 0.0038), (10, 0.0152), (20, 0.0603), (30, 0.134), (45, 0.2929)]
    )
    def test_a_tilted_plane_loses_the_cosine_of_its_area(self, tilt_deg, lost):
        # area lost to foreshortening: 1 - cos(tilt); a far camera, so that perspective is nothing
        turn = cv2.Rodrigues(np.array([np.radians(tilt_deg), 0, 0]))[0]
        scale = local_scale(seen_by(1e9, (0, 0), turn, [0, 0, 1e6]), [[0, 0]])[0]

        assert 1 - (scale / 1e3) ** 2 == pytest.approx(lost, abs=5e-5)  # rounding of the table

    @pytest.mark.parametrize(
        ("distance_mm", "nearer_mm", "longer"),
        [(150, 1, 0.0067), (150, 2, 0.0135), (150, 5, 0.0345), (300, 5, 0.0169), (100, 5, 0.0526)],
    )
    def test_a_nearer_plane_looks_larger_by_the_ratio_of_distances(
        self, distance_mm, nearer_mm, longer
    ):
        # parallax closed form D / (D - z), lengths
        far = local_scale(seen_by(3000, (0, 0), np.eye(3), [0, 0, distance_mm]), [[0, 0]])
        near = local_scale(
            seen_by(3000, (0, 0), np.eye(3), [0, 0, distance_mm - nearer_mm]), [[0, 0]]
        )

        assert near / far - 1 == pytest.approx(longer, abs=5e-5)
