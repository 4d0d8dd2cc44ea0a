"""The border of a spot, against shapes drawn exactly and against general-purpose libraries."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter
from skimage.draw import polygon2mask
from skimage.measure import label, regionprops

from lesioncompare.errors import OutlineError
from lesioncompare.outline import outline
from lesioncompare.outline.paths import closed_path
from lesioncompare.records import Circle, Points, Scene
from lesioncompare.science.colour import linear_to_lab
from lesioncompare.science.shape import area

PITCH = 0.05  # [mm]
SKIN = np.array([0.52, 0.30, 0.25])
DARK = np.array([0.06, 0.04, 0.03])
RED = np.array([0.40, 0.17, 0.14])
HEIGHT, WIDTH = 300, 360  # [px] not square
MIDDLE = np.array([9.0, 7.5])  # [mm]


def lobed(radius_mm: float, waves: float = 0.1) -> Points:
    """A closed border with five lobes."""
    turn = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    reach = radius_mm * (1 + waves * np.cos(5 * turn) + 0.06 * np.sin(2 * turn))
    return MIDDLE + reach[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])


def cover_of(border: Points, softness_mm: float) -> NDArray[np.float64]:
    """Share of spot in each pixel: the border drawn five times finer, then averaged and blurred."""
    fine = 5
    corners = ((border / PITCH + 0.5) * fine - 0.5)[:, ::-1]
    mask = polygon2mask((HEIGHT * fine, WIDTH * fine), corners).astype(float)
    small = mask.reshape(HEIGHT, fine, WIDTH, fine).mean(axis=(1, 3))
    return gaussian_filter(small, softness_mm / PITCH)


def scene_of(light: NDArray[np.floating], rng: np.random.Generator, noise: float = 0.01) -> Scene:
    """A scene of given linear light with noise in proportion to it."""
    linear = light * (1 + noise * rng.standard_normal(light.shape))
    linear = np.clip(linear, 0.001, 1).astype(np.float32)
    lab = linear_to_lab(linear).astype(np.float32)
    return Scene(linear, lab, np.ones(light.shape[:2], bool), (0.0, 0.0), PITCH)


def painted(border: Points, spot: NDArray[np.float64], softness_mm: float = 0.08) -> NDArray:
    """Linear light of a spot on plain skin."""
    cover = cover_of(border, softness_mm)[..., None]
    return cover * spot + (1 - cover) * SKIN


def dice(found: Points, true: Points) -> float:
    """Overlap of two borders on a fine grid."""
    masks = [polygon2mask((1200, 1440), (border / PITCH * 4)[:, ::-1]) for border in (found, true)]
    return 2 * (masks[0] & masks[1]).sum() / (masks[0].sum() + masks[1].sum())


@pytest.mark.parametrize("spot", [DARK, RED], ids=["dark", "red"])
@pytest.mark.parametrize("room", [0.9, 1.1, 1.5], ids=["tight", "fair", "wide"])
def test_border_lies_where_it_was_drawn_however_wide_the_circle(spot, room):
    """Half a pixel of 0.05 mm all round would be 3 % of this area."""
    true = lobed(1.6)
    scene = scene_of(painted(true, spot), np.random.default_rng(1))
    found = outline(scene, Circle(MIDDLE[0] + 0.1, MIDDLE[1] - 0.1, room * 1.75))
    assert area(found.contour) == pytest.approx(area(true), rel=0.03)
    assert dice(found.contour, true) > 0.97


def test_area_agrees_with_the_pixel_count_of_scikit_image():
    """Regionprops counts pixels that are more than half spot in linear light."""
    true = lobed(1.5)
    light = painted(true, DARK)
    found = outline(scene_of(light, np.random.default_rng(2)), Circle(*MIDDLE, 1.8))
    half = light[..., 1] < (SKIN[1] + DARK[1]) / 2
    counted = max(regionprops(label(half)), key=lambda region: region.area).area * PITCH**2
    assert area(found.contour) == pytest.approx(counted, rel=0.02)


def test_dark_skin_gives_its_spot_too():
    true = lobed(1.6)
    light = painted(true, DARK) * [0.35, 0.3, 0.28]
    found = outline(scene_of(light, np.random.default_rng(3)), Circle(*MIDDLE, 1.9))
    assert dice(found.contour, true) > 0.95


def test_light_that_falls_off_moves_no_border():
    true = lobed(1.6)
    fall = np.linspace(1.0, 0.45, WIDTH)[None, :, None]
    scene = scene_of(painted(true, DARK) * fall, np.random.default_rng(4))
    found = outline(scene, Circle(*MIDDLE, 1.9))
    assert area(found.contour) == pytest.approx(area(true), rel=0.04)


def test_hairs_and_glints_across_the_border_do_not_dent_it():
    true = lobed(1.6)
    light = painted(true, DARK)
    bare = outline(scene_of(light, np.random.default_rng(5)), Circle(*MIDDLE, 1.9))
    covered = light.astype(np.float32).copy()
    for start, end in (((150, 90), (215, 210)), ((120, 170), (230, 130)), ((190, 60), (170, 240))):
        cv2.line(covered, start, end, (0.85, 0.83, 0.8), 2, cv2.LINE_AA)
    cv2.circle(covered, (210, 155), 4, (0.98, 0.98, 0.98), -1, cv2.LINE_AA)
    haired = outline(scene_of(covered, np.random.default_rng(5)), Circle(*MIDDLE, 1.9))
    assert dice(haired.contour, bare.contour) > 0.97


def test_a_spot_next_to_it_is_left_out():
    true = lobed(1.4)
    other = MIDDLE + [3.1, 0.4] + 0.6 * (lobed(1.2) - MIDDLE)
    cover = np.maximum(cover_of(true, 0.08), cover_of(other, 0.08))[..., None]
    scene = scene_of(cover * DARK + (1 - cover) * SKIN, np.random.default_rng(6))
    found = outline(scene, Circle(*MIDDLE, 1.7))
    assert dice(found.contour, true) > 0.95


def test_an_earlier_border_does_not_hide_that_the_spot_has_doubled():
    """The prior has half the area; growth by 2 must be seen as such."""
    true = lobed(2.0)
    earlier = lobed(2.0 / np.sqrt(2))
    scene = scene_of(painted(true, DARK), np.random.default_rng(7))
    found = outline(scene, Circle(*MIDDLE, 1.2 * 2.0 / np.sqrt(2)), prior=earlier)
    assert area(found.contour) / area(earlier) == pytest.approx(2.0, rel=0.05)


def test_a_softer_and_fainter_border_is_stated_as_less_sure():
    true = lobed(1.6)
    circle = Circle(*MIDDLE, 1.9)
    faint = SKIN + 0.3 * (RED - SKIN)
    sharp = outline(scene_of(painted(true, DARK, 0.05), np.random.default_rng(8)), circle)
    soft = outline(scene_of(painted(true, faint, 0.25), np.random.default_rng(8), 0.03), circle)
    assert soft.border_u_mm > 2 * sharp.border_u_mm


def test_inner_border_lies_within_and_outer_without():
    found = outline(
        scene_of(painted(lobed(1.6), DARK), np.random.default_rng(9)), Circle(9, 7.5, 2)
    )
    assert area(found.inner) < area(found.contour) < area(found.outer)


def test_a_circle_beside_the_scene_is_refused():
    scene = scene_of(painted(lobed(1.6), DARK), np.random.default_rng(10))
    with pytest.raises(OutlineError, match="edge of what can be measured"):
        outline(scene, Circle(-1.0, -1.0, 2.0))


def test_the_closed_line_of_least_cost_is_the_best_of_all():
    """Every closed line over a small ring is tried by hand."""
    cost = np.random.default_rng(11).uniform(0, 1, (5, 3))
    bend = 0.2

    def price(line: tuple[int, ...]) -> float:
        steps = np.diff([*line, line[0]])
        return sum(cost[ray, place] for ray, place in enumerate(line)) + bend * (steps**2).sum()

    every = [tuple(line) for line in np.indices((3,) * 5).reshape(5, -1).T]
    assert price(tuple(closed_path(cost, bend))) == pytest.approx(min(map(price, every)))
