"""What is measured on a scene whose every colour and length is painted, and known."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.special import erf
from scipy.stats import binom

from lesioncompare.errors import OutlineError
from lesioncompare.measure import measure
from lesioncompare.measure.doubt import doubt_of
from lesioncompare.measure.form import form_measures, form_quantities
from lesioncompare.quantity import Component
from lesioncompare.records import Calibration, Light, Measurement, Outline, Scene
from lesioncompare.science import shape
from lesioncompare.science.colour import delta_e00, linear_to_lab
from lesioncompare.terms import MEASURES

DOCS = Path(__file__).parent.parent / "docs" / "measures.md"
SIZES = ("area", "longest_diameter", "perpendicular_diameter", "equivalent_diameter", "perimeter")
PINK = np.array([0.52, 0.31, 0.27])
BLACK = np.array([0.075, 0.062, 0.058])  # dense pigment
RED = np.array([0.44, 0.06, 0.05])  # raw tissue
REDDENED = np.array([0.49, 0.19, 0.17])  # inflamed skin
CRUST = np.array([0.34, 0.20, 0.08])
BROWN = np.array([0.20, 0.10, 0.06])  # a freckle
PARTS = (
    Component("scale", 0.010),
    Component("print", 0.003, common=True),
    Component("plane", 0.015),
    Component("tilt", 0.012),
)
LIGHT = Light(np.ones(3), np.zeros(3), np.zeros(2), 0.8, steady=True)
CALIBRATION = Calibration(np.eye(3), 0.035, 8.0, PARTS, LIGHT)


class Canvas:
    """A scene of pink skin 11 mm wide and 9 mm high with an elliptic spot, edges blurred."""

    def __init__(self, pitch_mm: float = 0.035, half: tuple[float, float] = (2.2, 1.5)) -> None:
        self.pitch_mm, self.half = pitch_mm, half
        columns, rows = round(11 / pitch_mm), round(9 / pitch_mm)
        self.origin = (-5.2, -4.1)
        x, y = np.meshgrid(np.arange(columns), np.arange(rows))
        self.x, self.y = self.origin[0] + x * pitch_mm, self.origin[1] + y * pitch_mm
        self.linear = np.broadcast_to(PINK, (rows, columns, 3)).copy()
        self.valid = np.ones((rows, columns), bool)
        turn = np.linspace(0, 2 * np.pi, 360, endpoint=False)
        self.contour = np.column_stack([half[0] * np.cos(turn), half[1] * np.sin(turn)])

    def depth(self, half: tuple[float, float] | None = None) -> np.ndarray:
        """First-order distance inside an ellipse [mm]."""
        a, b = half or self.half
        level = np.hypot(self.x / a, self.y / b)
        slope = np.hypot(self.x / a**2, self.y / b**2) / np.maximum(level, 1e-9)
        return (1 - level) / np.maximum(slope, 1e-9)

    def spot(self, colour: np.ndarray, edge_mm: float = 0.2) -> "Canvas":
        cover = 0.5 * (1 + erf(self.depth() / (edge_mm / 2.5631) / np.sqrt(2)))
        self.linear += (colour - self.linear) * cover[..., None]
        return self

    def blot(self, where: np.ndarray, colour: np.ndarray) -> "Canvas":
        self.linear[where] = colour
        return self

    def noise(self, sd: float = 0.01, seed: int = 3) -> "Canvas":
        grain = np.random.default_rng(seed).standard_normal(self.linear.shape)
        self.linear *= 1 + sd * grain
        return self

    def scene(self, light: float | np.ndarray = 1.0) -> Scene:
        linear = np.asarray(self.linear * light, np.float32)
        return Scene(linear, linear_to_lab(linear), self.valid, self.origin, self.pitch_mm)

    def outline(self, border_u_mm: float = 0.04) -> Outline:
        inner, outer = self.contour * 0.97, self.contour * 1.03
        return Outline(self.contour, inner, outer, border_u_mm)

    def measured(self, light: float | np.ndarray = 1.0) -> Measurement:
        return measure(self.scene(light), self.outline(), CALIBRATION)


def value(measurement: Measurement, name: str) -> float:
    return measurement.quantities[name].value


class TestCompleteness:
    def test_a_plain_spot_has_every_measure_in_its_unit(self) -> None:
        got = Canvas().spot(BLACK).noise().measured()
        assert set(got.quantities) == set(MEASURES)
        for name, quantity in got.quantities.items():
            assert quantity.unit == MEASURES[name].unit
            assert quantity.relative == MEASURES[name].relative
            assert quantity.components, f"{name} knows no error"
            assert quantity.u > 0, f"{name} claims to be exact"
        assert got.notices == ()

    def test_the_same_scene_gives_the_same_numbers(self) -> None:
        one, other = (Canvas().spot(BLACK).noise().measured() for _ in range(2))
        assert dict(one.quantities) == dict(other.quantities)

    def test_a_spot_without_an_edge_says_so_and_leaves_the_width_out(self) -> None:
        got = Canvas().noise().measured()
        assert "edge_width" not in got.quantities
        keys = [note.key for note in got.notices]
        assert keys == ["edge_not_measured", "hardly_a_spot"]

    def test_every_measure_is_explained_in_the_docs(self) -> None:
        lines = DOCS.read_text().split("## Where spot")[0].splitlines()
        rows = [line for line in lines if line.startswith("| `")]
        explained = {line.split("`")[1]: line for line in rows}
        assert set(explained) == set(MEASURES)
        for name, term in MEASURES.items():
            assert f"| {term.unit} |" in explained[name], f"{name} has another unit in the docs"
            assert term.vet in explained[name], f"{name} has another name in the docs"


class TestSize:
    def test_an_ellipse_has_its_closed_form(self) -> None:
        got = Canvas().spot(BLACK).measured()
        assert value(got, "area") == pytest.approx(np.pi * 2.2 * 1.5, rel=1e-3)
        assert value(got, "longest_diameter") == pytest.approx(4.4, rel=1e-3)
        assert value(got, "perpendicular_diameter") == pytest.approx(3.0, rel=1e-3)
        assert value(got, "border_irregularity") == 0
        assert value(got, "asymmetry") == pytest.approx(0, abs=1e-3)

    def test_area_feels_the_scale_twice_and_lengths_once(self) -> None:
        # JCGM 100:2008, equation 12
        got = Canvas().spot(BLACK).measured().quantities
        for name, power in (("area", 2), ("perimeter", 1), ("equivalent_diameter", 1)):
            scale = next(c for c in got[name].components if c.name == "scale")
            assert scale.u / got[name].value == pytest.approx(power * 0.010, rel=1e-9)

    def test_only_print_and_sheen_are_common_to_a_series(self) -> None:
        for quantity in Canvas().spot(BLACK).measured().quantities.values():
            assert {c.name for c in quantity.components if c.common} <= {"print", "sheen"}

    def test_a_border_moved_as_a_whole_moves_the_area_by_its_length(self) -> None:
        """Area changes by P δ; the waves of the border add little to a whole area."""
        canvas = Canvas()
        still = Outline(canvas.contour, canvas.contour, canvas.contour, 0.04)
        quantities = form_quantities(still, CALIBRATION, 0.035)
        border = next(c.u for c in quantities["area"].components if c.name == "border")
        expected = quantities["perimeter"].value * 0.04
        assert border == pytest.approx(expected, rel=0.25)
        assert border >= 0.95 * expected

    def test_forms_feel_the_slant_but_not_the_scale(self) -> None:
        got = Canvas().spot(BLACK).measured().quantities
        for name in ("circularity", "solidity", "border_irregularity", "asymmetry"):
            names = {c.name for c in got[name].components}
            assert "tilt" in names
            assert not names & {"scale", "print", "plane"}

    def test_a_slant_makes_a_disc_an_ellipse(self) -> None:
        """A slant of 8 % stretches by 16 %; circularity of that ellipse by Ramanujan's length."""
        turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
        disc = 2 * np.column_stack([np.cos(turn), np.sin(turn)])
        slanted = replace(CALIBRATION, scale_parts=(Component("tilt", 0.08),))
        got = form_quantities(Outline(disc, disc, disc, 0.04), slanted, 0.035)["circularity"]
        a, b = 1.16, 1.0
        h = ((a - b) / (a + b)) ** 2
        length = np.pi * (a + b) * (1 + 3 * h / (10 + np.sqrt(4 - 3 * h)))
        expected = 1 - 4 * np.pi * np.pi * a * b / length**2
        tilt = next(part.u for part in got.components if part.name == "tilt")
        assert tilt == pytest.approx(expected, rel=0.03)

    def test_a_border_in_doubt_at_one_place_waves_there(self) -> None:
        canvas = Canvas()
        out = np.where(canvas.contour[:, :1] > 0, 1.08, 1.001) * canvas.contour
        tried = doubt_of(Outline(canvas.contour, canvas.contour, out, 0.01))
        moves = np.std([np.hypot(*(one - tried.best).T) for one in tried.wavy], axis=0)
        right = tried.best[:, 0] > 1
        assert moves[right].mean() > 3 * moves[~right].mean()


class TestEdge:
    @pytest.mark.parametrize("edge_mm", [0.12, 0.2, 0.35, 0.5])
    def test_a_painted_edge_is_as_wide_as_it_is(self, edge_mm: float) -> None:
        got = Canvas().spot(BLACK, edge_mm).noise().measured()
        assert value(got, "edge_width") == pytest.approx(edge_mm, rel=0.08)

    def test_a_whisker_and_glints_on_the_border_do_not_widen_it(self) -> None:
        canvas = Canvas().spot(BLACK, 0.2).noise()
        canvas.blot(np.abs(canvas.x - 1.9 - 0.3 * canvas.y) < 0.1, np.array([0.8, 0.78, 0.74]))
        for x, y in ((-2.1, 0.4), (0.0, 1.5), (-1.0, -1.3)):
            canvas.blot(np.hypot(canvas.x - x, canvas.y - y) < 0.12, np.array([0.9, 0.85, 0.85]))
        assert value(canvas.measured(), "edge_width") == pytest.approx(0.2, rel=0.15)


class TestColour:
    def test_colours_are_those_painted(self) -> None:
        got = Canvas().spot(BLACK).noise().measured()
        assert float(delta_e00(got.spot_lab, linear_to_lab(BLACK))) < 0.3
        assert float(delta_e00(got.skin_lab, linear_to_lab(PINK))) < 0.3
        truth = float(delta_e00(linear_to_lab(BLACK), linear_to_lab(PINK)))
        assert value(got, "contrast_de00") == pytest.approx(truth, abs=0.4)

    def test_densities_are_logarithms_of_the_ratio_to_the_skin(self) -> None:
        got = Canvas().spot(BROWN).noise().measured()
        for name, expected in zip(("red", "green", "blue"), np.log10(PINK / BROWN), strict=True):
            assert value(got, f"density_{name}") == pytest.approx(expected, abs=0.01)
        expected = np.log10(PINK[1] / BROWN[1]) - np.log10(PINK[0] / BROWN[0])
        assert value(got, "redness") == pytest.approx(expected, abs=0.01)

    @pytest.mark.parametrize("light", [0.6, 1.25, np.array([1.15, 1.0, 0.85])])
    def test_densities_and_surface_do_not_see_exposure_or_colour_of_the_light(
        self, light: float | np.ndarray
    ) -> None:
        """Luminance mixes channels, so darkness may move a little under a cast."""
        before, after = Canvas().spot(BROWN).noise(), Canvas().spot(BROWN).noise()
        one, other = before.measured(), after.measured(light)
        for name in ("density_red", "density_green", "density_blue", "redness"):
            assert value(other, name) == pytest.approx(value(one, name), abs=1e-3)
        assert value(other, "darkness") == pytest.approx(value(one, "darkness"), abs=0.02)
        for name in ("raw_red_fraction", "crust_fraction", "broken_pigment", "glint_fraction"):
            assert value(other, name) == pytest.approx(value(one, name), abs=0.03)

    def test_another_spot_a_rim_and_the_sticker_beside_it_do_not_count_as_skin(self) -> None:
        canvas = Canvas().spot(BROWN).noise()
        before = canvas.measured()
        canvas.blot(np.hypot(canvas.x - 3.4, canvas.y + 1) < 0.6, BLACK)
        canvas.blot(canvas.y > 2.6, np.array([0.02, 0.02, 0.02]))
        canvas.blot(canvas.x < -3.2, np.array([0.9, 0.9, 0.9]))
        canvas.valid = canvas.x >= -3.2
        after = canvas.measured()
        assert float(delta_e00(after.skin_lab, before.skin_lab)) < 0.3

    def test_a_whisker_across_the_spot_does_not_change_its_colour(self) -> None:
        canvas = Canvas().spot(BROWN).noise()
        before = canvas.measured()
        canvas.blot(np.abs(canvas.y - 0.4 * canvas.x) < 0.15, np.array([0.85, 0.83, 0.8]))
        assert float(delta_e00(canvas.measured().spot_lab, before.spot_lab)) < 0.5

    def test_uneven_skin_makes_the_comparison_less_sure(self) -> None:
        even, uneven = Canvas().spot(BROWN).noise(), Canvas().spot(BROWN).noise()
        uneven.linear *= (1 + 0.09 * uneven.x)[..., None]
        assert uneven.measured().colour_u > 1.3 * even.measured().colour_u

    def test_a_ladder_that_fits_badly_makes_the_colour_less_sure(self) -> None:
        scene, outline = Canvas().spot(BROWN).noise().scene(), Canvas().outline()
        poor = replace(CALIBRATION, light=replace(LIGHT, residual_de00=4.0))
        got = measure(scene, outline, poor).colour_u, measure(scene, outline, CALIBRATION).colour_u
        assert got[0] ** 2 - got[1] ** 2 == pytest.approx(4.0**2 - 0.8**2, rel=1e-6)

    def test_a_spot_of_two_colours_is_more_variegated(self) -> None:
        plain = Canvas().spot(BROWN).noise()
        mixed = Canvas().spot(BROWN).noise()
        mixed.blot((mixed.depth() > 0.2) & (mixed.x > 0), BLACK)
        assert value(mixed.measured(), "variegation") > value(plain.measured(), "variegation") + 3


class TestSurface:
    def painted(self, colour: np.ndarray, beyond_mm: float) -> Measurement:
        canvas = Canvas().spot(BLACK if colour is not BLACK else BROWN).noise()
        return canvas.blot((canvas.depth() > 0) & (canvas.x > beyond_mm), colour).measured()

    @pytest.mark.parametrize("beyond_mm", [-0.6, 0.0, 0.7])
    def test_raw_and_crusted_shares_are_those_painted(self, beyond_mm: float) -> None:
        canvas = Canvas()
        core = canvas.depth() > 0.14  # margin kept off the border by ``measure`` here
        share = ((canvas.x > beyond_mm) & core).sum() / core.sum()
        assert value(self.painted(RED, beyond_mm), "raw_red_fraction") == pytest.approx(
            share, abs=0.03
        )
        assert value(self.painted(CRUST, beyond_mm), "crust_fraction") == pytest.approx(
            share, abs=0.03
        )

    @pytest.mark.parametrize("colour", [BLACK, BROWN, REDDENED], ids=["black", "brown", "pink"])
    def test_unbroken_spots_of_any_colour_have_none_of_the_parts(self, colour: np.ndarray) -> None:
        got = Canvas().spot(colour).noise().measured()
        for name in ("raw_red_fraction", "crust_fraction", "broken_pigment", "glint_fraction"):
            assert value(got, name) < 0.02
        assert value(got, "roughness") < 0.01

    def test_pigment_broken_in_half_is_fully_broken(self) -> None:
        assert value(self.painted(PINK, 0.0), "broken_pigment") > 0.8
        assert value(self.painted(PINK, 1.6), "broken_pigment") < 0.3

    def test_glints_count_by_their_area(self) -> None:
        canvas = Canvas().spot(RED).noise()
        for x, y in ((-1.0, 0.2), (0.3, -0.5), (0.9, 0.4), (-0.3, 0.6)):
            canvas.blot(np.hypot(canvas.x - x, canvas.y - y) < 0.15, np.array([0.9, 0.7, 0.7]))
        share = 4 * 0.15**2 / ((2.2 - 0.14) * (1.5 - 0.14))
        assert value(canvas.measured(), "glint_fraction") == pytest.approx(share, rel=0.15)

    def test_bumps_make_it_rough_and_the_skins_own_roughness_does_not_count(self) -> None:
        def bumpy(everywhere: bool) -> float:
            canvas = Canvas().spot(REDDENED).noise()
            waves = 1 + 0.12 * np.sin(2 * np.pi * canvas.x / 0.5) * np.sin(canvas.y * 11)
            where = np.ones_like(canvas.valid) if everywhere else canvas.depth() > 0
            canvas.linear *= np.where(where, waves, 1)[..., None]
            return value(canvas.measured(), "roughness")

        assert bumpy(everywhere=False) > 0.015
        assert bumpy(everywhere=True) < 0.5 * bumpy(everywhere=False)


class TestRefusal:
    def test_a_border_outside_the_scene_is_refused(self) -> None:
        canvas = Canvas().spot(BLACK)
        off = Outline(canvas.contour + 40, canvas.contour + 40, canvas.contour + 40, 0.04)
        with pytest.raises(OutlineError, match="next to nothing"):
            measure(canvas.scene(), off, CALIBRATION)

    def test_a_border_that_leaves_no_skin_is_refused(self) -> None:
        canvas = Canvas()
        wide = canvas.contour * [4, 5]
        with pytest.raises(OutlineError, match="bare skin"):
            measure(canvas.scene(), Outline(wide, wide, wide, 0.04), CALIBRATION)

    def test_a_tiny_spot_is_still_measured(self) -> None:
        got = Canvas(0.03, half=(0.5, 0.4)).spot(BLACK, 0.1).noise().measured()
        assert value(got, "area") == pytest.approx(np.pi * 0.2, rel=0.01)
        assert np.isfinite(got.colour_u)


def wandering(rng: np.random.Generator) -> np.ndarray:
    """A random lobed border 2 to 8 mm across."""
    turn = np.linspace(0, 2 * np.pi, 300, endpoint=False)
    lobes = np.arange(2, 9)
    sizes = rng.normal(0, 0.06, len(lobes)) / lobes**0.7
    r = 1 + np.cos(turn[:, None] * lobes + rng.uniform(0, 2 * np.pi, len(lobes))) @ sizes
    return np.column_stack([1.2 * r * np.cos(turn), r * np.sin(turn) / 1.2]) * rng.uniform(1, 4)


def as_photographed(
    contour: np.ndarray, rng: np.random.Generator, *, place_u: float, waves_u: float
) -> np.ndarray:
    """The border as one photo gives it: moved, waved, scaled and slanted by the stated errors."""
    u = {part.name: part.u for part in PARTS}
    normal = shape.smooth(contour, 1e-6)
    along = np.roll(contour, -1, axis=0) - np.roll(contour, 1, axis=0)
    normal = np.column_stack([along[:, 1], -along[:, 0]]) / np.hypot(*along.T)[:, None]
    turn = np.arange(len(contour)) * 2 * np.pi / len(contour)
    orders = np.arange(2, 14)
    wave = np.cos(turn[:, None] * orders + rng.uniform(0, 2 * np.pi, len(orders)))
    wave = wave @ (rng.standard_normal(len(orders)) * np.sqrt(2 / len(orders)))
    moved = contour + normal * (rng.normal(0, place_u) + waves_u * wave)[:, None]
    slant = rng.uniform(0, np.pi)
    axes = np.array([[np.cos(slant), -np.sin(slant)], [np.sin(slant), np.cos(slant)]])
    stretch = np.diag([1 + 2 * rng.normal(0, u["tilt"]), 1])
    scale = 1 + rng.normal(0, np.linalg.norm([u["scale"], u["print"], u["plane"]]))
    return scale * moved @ (axes @ stretch @ axes.T)


@pytest.mark.slow
class TestTruthOfUncertainty:
    """Errors of the stated size go in; the stated 95 % intervals must hold the truth."""

    COUNT = 240
    PLACE_U, WAVES_U = 0.05, 0.03  # [mm]

    @pytest.fixture(scope="module")
    @staticmethod
    def trials() -> list[tuple[dict, dict]]:
        rng = np.random.default_rng(2024)
        cls, found = TestTruthOfUncertainty, []
        for _ in range(cls.COUNT):
            truth = wandering(rng)
            seen = as_photographed(truth, rng, place_u=cls.PLACE_U, waves_u=cls.WAVES_U)
            wide = 1.96 * cls.WAVES_U / np.hypot(*seen.T)[:, None] * seen
            outline = Outline(seen, seen - wide, seen + wide, cls.PLACE_U)
            found.append((form_measures(truth), form_quantities(outline, CALIBRATION, 0.035)))
        return found

    @pytest.mark.parametrize("name", SIZES)
    def test_size_intervals_cover_the_truth(self, name: str, trials: list) -> None:
        held = sum(q[name].low <= truth[name] <= q[name].high for truth, q in trials)
        low, high = binom.interval(0.99, self.COUNT, 0.95)
        assert low <= held <= high

    @pytest.mark.parametrize("name", SIZES)
    def test_size_errors_are_as_large_as_stated(self, name: str, trials: list) -> None:
        errors = [(q[name].value - truth[name]) / q[name].u for truth, q in trials]
        # the spread of 240 draws is known to 5 %, the border's own doubt from 6 tries to 30 %
        assert np.sqrt(np.mean(np.square(errors))) == pytest.approx(1, abs=0.2)

    @pytest.mark.parametrize(
        "name", ["circularity", "solidity", "border_irregularity", "asymmetry"]
    )
    def test_form_intervals_cover_at_least_as_often_as_stated(
        self, name: str, trials: list
    ) -> None:
        """Waves roughen a form one way, so a symmetric interval has to be generous."""
        held = sum(q[name].low <= truth[name] <= q[name].high for truth, q in trials)
        assert held >= binom.ppf(0.005, self.COUNT, 0.92)
