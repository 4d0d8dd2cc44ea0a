"""The smooth shift after a homography: there and back, fitted, joined, and applied to pictures."""

import numpy as np
import pytest

from lesioncompare.align import carry_on
from lesioncompare.align.bending import bend_through
from lesioncompare.records import FLAT, Alignment, Bend, Points
from lesioncompare.science.plane import apply_homography, sampling

TURNED = np.array([[0.97, -0.2, 3.0], [0.22, 1.02, -1.0], [0.0008, -0.0005, 1.0]])
SPAN = np.array([-9.0, -9.0]), np.array([9.0, 9.0])


def places(seed: int = 0, count: int = 200) -> Points:
    return np.random.default_rng(seed).uniform(-8, 8, (count, 2))


def pulled(points: Points) -> Points:
    """Skin that is curved and was pulled: at most 0.5 mm."""
    x, y = points.T
    return np.column_stack([0.004 * x * y + 0.1 * np.sin(y / 5), 0.005 * x * x - 0.003 * y * y])


def fitted(seed: int = 0, noise_mm: float = 0.0, astray: int = 0) -> Bend:
    at, rng = places(seed), np.random.default_rng(seed + 50)
    off = pulled(at) + rng.normal(0, noise_mm, at.shape)
    off[:astray] += rng.uniform(-0.5, 0.5, (astray, 2))
    return bend_through(at, off, np.full(len(at), 0.7), SPAN)[0]


class TestBend:
    def test_the_way_back_undoes_the_way_there(self) -> None:
        bend, at = fitted(), places(1)
        assert np.allclose(bend.back(TURNED, bend.onto(TURNED, at)), at, atol=1e-4)

    def test_none_is_the_homography_alone(self) -> None:
        assert np.array_equal(FLAT.onto(TURNED, places()), apply_homography(TURNED, places()))
        assert np.allclose(FLAT.back(TURNED, FLAT.onto(TURNED, places())), places())

    def test_far_from_the_spot_there_is_none(self) -> None:
        assert np.abs(fitted().shift(np.array([[60.0, 0.0], [0.0, -70.0]]))).max() < 1e-3


class TestBendThrough:
    def test_a_smooth_shift_is_followed(self) -> None:
        bend, at = fitted(), places(2)
        assert np.abs(bend.shift(at) - pulled(at)).max() < 0.05  # what a patch errs by

    @pytest.mark.parametrize("seed", range(3))
    def test_noise_is_averaged_and_patches_astray_have_no_say(self, seed: int) -> None:
        bend, at = fitted(seed, noise_mm=0.05, astray=40), places(9)
        assert np.median(np.hypot(*(bend.shift(at) - pulled(at)).T)) < 0.03

    def test_what_is_loose_grows_with_the_noise(self) -> None:
        at = places()
        rng, sure = np.random.default_rng(1), np.ones(len(at))
        loose = [
            np.trace(bend_through(at, pulled(at) + rng.normal(0, sd, at.shape), sure, SPAN)[1])
            for sd in (0.02, 0.2)
        ]
        assert loose[0] < loose[1]


class TestCarryOn:
    def test_two_bends_in_turn_are_joined(self) -> None:
        onto = Alignment(TURNED, 0.1, 0.8, 1.01, 0.004, bend=fitted(0))
        bridge = Alignment(np.linalg.inv(TURNED), 0.1, 0.7, 0.98, 0.003, bend=fitted(4, 0.05))
        at = places(3) / 2
        both = carry_on(onto, bridge).onto_first(at)
        assert np.abs(both - bridge.onto_first(onto.onto_first(at))).max() < 0.03


class TestSampling:
    def test_between_the_places_asked_a_smooth_map_is_hardly_missed(self) -> None:
        bend, size = fitted(), (61, 43)

        def back(at: Points) -> Points:
            return bend.back(TURNED, at * 0.1 - 2) * 10

        x, y = sampling(back, size)
        columns, rows = np.meshgrid(np.arange(size[0]), np.arange(size[1]))
        true = back(np.column_stack([columns.ravel(), rows.ravel()]).astype(float))
        assert x.shape == y.shape == (size[1], size[0])
        assert np.abs(np.column_stack([x.ravel(), y.ravel()]) - true).max() < 0.02  # [px]
