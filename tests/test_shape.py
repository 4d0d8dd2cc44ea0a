"""Size and form of contours, against closed forms and a second library."""

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import linregress
from skimage import data, filters, measure, morphology

from lesioncompare.science import shape

REFERENCES = Path(__file__).parent / "references"


def table(name: str) -> list[dict[str, str]]:
    lines = (REFERENCES / name).read_text().splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def ellipse(a: float, b: float, count: int = 4000) -> np.ndarray:
    angle = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return np.column_stack([a * np.cos(angle), b * np.sin(angle)])


def rectangle(width: float, height: float) -> np.ndarray:
    return np.array([[0, 0], [width, 0], [width, height], [0, height]], float)


def figure(row: dict[str, str]) -> np.ndarray:
    one, other = float(row["one"]), float(row["other"])
    return (ellipse if row["figure"] in {"disc", "ellipse"} else rectangle)(one, other)


def wavy(waves: int, height: float) -> np.ndarray:
    angle = np.linspace(0, 2 * np.pi, 900, endpoint=False)
    r = 1 + height * np.cos(waves * angle)
    return np.column_stack([r * np.cos(angle), r * np.sin(angle)])


def koch(steps: int) -> np.ndarray:
    corners = np.exp(1j * np.pi * np.array([1 / 2, -1 / 6, -5 / 6])) / np.sqrt(3)
    for _ in range(steps):
        third = (np.roll(corners, -1) - corners) / 3
        tip = corners + third + third * np.exp(1j * np.pi / 3)
        corners = np.stack([corners, corners + third, tip, corners + 2 * third], axis=1).ravel()
    return np.column_stack([corners.real, corners.imag])


def moved(contour: np.ndarray, turn_deg: float, scale: float) -> np.ndarray:
    turn = np.radians(turn_deg)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return scale * contour @ matrix.T + [31.0, -7.0]


def border_of(mask: np.ndarray) -> np.ndarray:
    padded = np.pad(mask, 1).astype(float)
    return max(measure.find_contours(padded, 0.5), key=len)[:-1, ::-1] - 1


@pytest.mark.parametrize("row", table("shapes.csv"), ids=lambda r: f"{r['figure']}-{r['one']}")
class TestClosedForms:
    # 4000 chords of a curve are short by 1e-6 in length and area
    def test_area(self, row: dict[str, str]) -> None:
        assert shape.area(figure(row)) == pytest.approx(float(row["area"]), rel=1e-6)

    def test_perimeter(self, row: dict[str, str]) -> None:
        assert shape.perimeter(figure(row)) == pytest.approx(float(row["perimeter"]), rel=1e-6)

    def test_calliper_widths(self, row: dict[str, str]) -> None:
        contour = figure(row)
        assert shape.diameters(contour)[0] == pytest.approx(float(row["longest"]), rel=1e-6)
        directions = np.radians(np.arange(0, 180, 0.5))
        smallest = shape.widths(contour, directions).min()
        assert smallest == pytest.approx(float(row["smallest"]), rel=1e-6)

    def test_circularity(self, row: dict[str, str]) -> None:
        """Smoothing rounds corners, so the square and the rectangle read up to 0.03 high."""
        got = shape.circularity(figure(row))
        assert got == pytest.approx(float(row["circularity"]), abs=0.03)

    def test_mean_calliper_width_is_perimeter_over_pi(self, row: dict[str, str]) -> None:
        """Cauchy's formula for convex figures."""
        directions = np.radians(np.arange(0, 180, 0.25))
        mean = shape.widths(figure(row), directions).mean()
        assert mean == pytest.approx(float(row["perimeter"]) / np.pi, rel=1e-4)

    def test_a_convex_border_has_no_bays_and_fills_its_hull(self, row: dict[str, str]) -> None:
        assert shape.irregularity(figure(row)) == 0
        assert shape.solidity(figure(row)) == pytest.approx(1, abs=1e-7)

    def test_a_figure_that_mirrors_itself_has_no_asymmetry(self, row: dict[str, str]) -> None:
        assert shape.asymmetry(figure(row)) == pytest.approx(0, abs=1e-5)


class TestEllipse:
    def test_perpendicular_of_an_ellipse_is_its_short_axis(self) -> None:
        assert shape.diameters(moved(ellipse(5, 3), 33, 1)) == pytest.approx((10, 6), rel=1e-5)

    def test_width_at_an_angle(self) -> None:
        # 2 √(a² cos² t + b² sin² t), closed form
        angle = np.radians([0, 20, 45, 77])
        expected = 2 * np.sqrt((5 * np.cos(angle)) ** 2 + (3 * np.sin(angle)) ** 2)
        assert shape.widths(ellipse(5, 3), angle) == pytest.approx(expected, rel=1e-6)

    def test_equivalent_diameter(self) -> None:
        assert shape.equivalent_diameter(ellipse(4, 1)) == pytest.approx(4, rel=1e-6)


class TestKoch:
    @pytest.mark.parametrize("row", table("koch_snowflake.csv"), ids=lambda r: r["k"])
    def test_length_and_area_after_each_step(self, row: dict[str, str]) -> None:
        curve = koch(int(row["k"]))
        assert shape.perimeter(curve) == pytest.approx(float(row["perimeter"]), rel=1e-6)
        ratio = shape.area(curve) / shape.area(koch(0))
        assert ratio == pytest.approx(float(row["area_ratio"]), rel=1e-6)
        raw = 4 * np.pi * shape.area(curve) / shape.perimeter(curve) ** 2
        assert raw == pytest.approx(float(row["circularity"]), rel=1e-4)

    def test_circularity_falls_and_irregularity_rises_with_every_step_that_is_not_texture(
        self,
    ) -> None:
        curves = [koch(k) for k in range(4)]
        assert np.all(np.diff([shape.circularity(c) for c in curves]) < 0)
        assert np.all(np.diff([shape.irregularity(c) for c in curves][:3]) > 0)

    def test_perimeter_over_smoothing_scale_has_the_known_dimension(self) -> None:
        """On a curve of dimension D a length s of border spans s^(1/D), so P ~ s^(1/D - 1)."""
        scales = np.geomspace(0.01, 0.1, 9)
        curve = koch(6)
        lengths = [shape.perimeter(curve, scale) for scale in scales]
        slope = linregress(np.log(scales), np.log(lengths)).slope
        assert 1 / (1 + slope) == pytest.approx(1.261860, abs=0.05)

    def test_a_circle_has_dimension_one(self) -> None:
        scales = np.geomspace(0.01, 0.1, 9)
        lengths = [shape.perimeter(ellipse(0.5, 0.5), scale) for scale in scales]
        slope = linregress(np.log(scales), np.log(lengths)).slope
        assert 1 / (1 + slope) == pytest.approx(1, abs=1e-6)


class TestIrregularity:
    @pytest.mark.parametrize(("waves", "height"), [(5, 0.1), (8, 0.05), (8, 0.2), (12, 0.1)])
    def test_a_wavy_disc_has_the_area_of_its_waves(self, waves: int, height: float) -> None:
        """Own closed form, derived in the docstring: a wave is convex once a < 1/(n² - 1)."""
        left = height * np.exp(-0.5 * (waves * 2 * shape.TEXTURE_SHARE) ** 2)
        expected = 4 * (left - 1 / (waves**2 - 1)) / np.pi
        # smoothing follows the wavy line itself, which is longer than the disc's
        assert shape.irregularity(wavy(waves, height)) == pytest.approx(expected, rel=0.1)

    def test_texture_is_not_structure(self) -> None:
        """Waves of 1 % on a length of 4 % of the diameter vanish, the same on 50 % do not."""
        assert shape.irregularity(wavy(80, 0.01)) < 1e-3
        assert shape.irregularity(wavy(6, 0.08)) > 0.03

    def test_one_bay_counts_once_and_grows_with_its_depth(self) -> None:
        angle = np.linspace(0, 2 * np.pi, 900, endpoint=False)
        bays = []
        for depth in (0.1, 0.2, 0.4):
            r = 1 - depth * np.exp(-0.5 * ((angle - 2) / 0.15) ** 2)
            bays.append(shape.irregularity(np.column_stack([r * np.cos(angle), r * np.sin(angle)])))
        assert 0 < bays[0] < bays[1] < bays[2] < 0.3


class TestAsymmetry:
    def test_a_half_disc_folded_on_its_straight_side(self) -> None:
        """0.3705 of its area about one axis (closed form, evaluated), 0 about the other."""
        half = ellipse(1, 1, 4000)[:2001]
        assert shape.asymmetry(half) == pytest.approx(0.3705 / 2, abs=2e-4)

    def test_disagreement_of_two_discs_is_that_of_their_lens(self) -> None:
        # equal circles, centres one radius apart: overlap 2π/3 - √3/2 (closed form)
        expected = 2 * (np.pi - (2 * np.pi / 3 - np.sqrt(3) / 2))
        got = shape.disagreement(ellipse(1, 1), ellipse(1, 1) + np.array([1.0, 0.0]))
        assert got == pytest.approx(expected, rel=1e-3)


class TestInvariance:
    CONTOUR = wavy(5, 0.2) * [1.4, 1.0]

    @pytest.mark.parametrize(
        "measured",
        [shape.circularity, shape.solidity, shape.irregularity, shape.asymmetry],
    )
    def test_form_does_not_depend_on_place_turn_size_or_direction(self, measured) -> None:
        before = measured(self.CONTOUR)
        after = measured(moved(self.CONTOUR, 61, 3.7)[::-1])
        assert after == pytest.approx(before, abs=2e-3)

    def test_sizes_follow_the_scale(self) -> None:
        bigger = moved(self.CONTOUR, 61, 3.7)
        assert shape.area(bigger) == pytest.approx(3.7**2 * shape.area(self.CONTOUR), rel=1e-9)
        before = np.array(shape.diameters(self.CONTOUR))
        assert shape.diameters(bigger) == pytest.approx(3.7 * before, rel=1e-9)


class TestRasterised:
    """Borders of pixel masks, at odd places: no form may come from the pixels."""

    @pytest.mark.parametrize("radius_px", [20, 33, 60])
    def test_a_disc_is_round(self, radius_px: int) -> None:
        y, x = np.mgrid[: 2 * radius_px + 9, : 2 * radius_px + 30]
        cx, cy = radius_px + 4 + np.random.default_rng(radius_px).uniform(0, 1, 2)
        contour = border_of((x - cx) ** 2 + (y - cy) ** 2 < radius_px**2)
        assert shape.circularity(contour) == pytest.approx(1, abs=0.03)
        assert shape.area(contour) == pytest.approx(np.pi * radius_px**2, rel=0.01)

    @pytest.mark.parametrize("side_px", [40, 61, 120])
    def test_an_upright_square_is_a_square(self, side_px: int) -> None:
        mask = np.zeros((side_px + 13, side_px + 31), dtype=bool)
        mask[5 : 5 + side_px, 9 : 9 + side_px] = True
        assert shape.circularity(border_of(mask)) == pytest.approx(np.pi / 4, abs=0.03)

    def test_regionprops_agrees(self) -> None:
        """Second opinion, scikit-image: area, hull, longest diameter, Crofton perimeter."""
        y, x = np.mgrid[:150, :220]
        turned = (x - 108) * 0.8 + (y - 74) * 0.6, (y - 74) * 0.8 - (x - 108) * 0.6
        mask = (turned[0] / 85) ** 2 + (turned[1] / 40) ** 2 < 1
        mask &= ~((x - 108) ** 2 + (y - 30) ** 2 < 25**2)
        contour = border_of(mask)
        region = measure.regionprops(mask.astype(int))[0]
        assert shape.area(contour) == pytest.approx(region.area, rel=0.005)
        # pixels are squares there and points here: half a pixel each side
        assert shape.diameters(contour)[0] == pytest.approx(region.feret_diameter_max, abs=1.5)
        assert shape.solidity(contour) == pytest.approx(region.solidity, abs=0.015)
        smoothing = shape.texture_scale(contour)
        crofton = measure.perimeter_crofton(mask, directions=4)
        assert shape.perimeter(contour, smoothing) == pytest.approx(crofton, rel=0.02)


@pytest.fixture(scope="module")
def coins() -> list[np.ndarray]:
    photo = filters.gaussian(data.coins().astype(float), 1, mode="nearest")
    light = filters.gaussian(photo, 40, mode="nearest")
    found = morphology.opening(photo / light > filters.threshold_otsu(photo / light))
    regions = measure.regionprops(measure.label(found))
    whole = [r for r in regions if r.area > 800 and 0 not in r.bbox]
    return [border_of(r.image_filled) for r in whole]


class TestCoins:
    """Real round objects: the photo of Greek coins that scikit-image ships with its wheel."""

    def test_struck_by_hand_they_are_nearly_round(self, coins: list[np.ndarray]) -> None:
        assert len(coins) >= 15
        assert np.median([shape.circularity(c) for c in coins]) > 0.93
        assert np.median([shape.solidity(c) for c in coins]) > 0.97
        assert np.median([shape.irregularity(c) for c in coins]) < 0.03

    def test_length_and_width_of_a_round_thing_differ_little(self, coins: list[np.ndarray]) -> None:
        ratios = [across / along for along, across in map(shape.diameters, coins)]
        assert np.median(ratios) > 0.93
