"""What skin looks like: densities that ignore the light, hair, glints and roughness."""

import csv
from pathlib import Path

import cv2
import numpy as np
import pytest

from lesioncompare.science import surface
from lesioncompare.science.colour import srgb_to_linear

REFERENCES = Path(__file__).parent / "references"
PITCH_MM = 0.04
PINK = np.array([0.52, 0.31, 0.27], np.float32)
PINK_Y = 0.35  # luminance of PINK


def table(name: str) -> list[dict[str, float]]:
    lines = (REFERENCES / name).read_text().splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return [{key: float(value) for key, value in row.items()} for row in rows]


def skin(height: int = 180, width: int = 240, seed: int = 5) -> np.ndarray:
    """Pink skin with fine texture, not square."""
    noise = np.random.default_rng(seed).standard_normal((height, width)).astype(np.float32)
    texture = 1 + 0.04 * cv2.GaussianBlur(noise, (0, 0), 2) / 0.14
    return PINK * texture[..., None]


class TestDensity:
    @pytest.mark.parametrize(
        "row", table("optical_density.csv"), ids=lambda r: str(r["reflectance"])
    )
    def test_density_is_minus_log_of_reflectance(self, row: dict[str, float]) -> None:
        got = surface.density_over(np.full(3, row["reflectance"]), np.ones(3))
        assert got == pytest.approx([row["density"]] * 3, abs=1e-5)

    def test_a_dark_patch_beside_skin(self) -> None:
        # sRGB 90,60,55 over 224,172,160: computed from the IEC 61966-2-1 curve
        patch, beside = srgb_to_linear(np.array([[90, 60, 55], [224, 172, 160]], np.uint8))
        got = surface.density_over(patch, beside)
        assert got == pytest.approx([0.8628, 0.9605, 0.9639], abs=1e-4)

    def test_exposure_cancels(self) -> None:
        patch, beside = PINK * np.float32(0.4), PINK
        before = surface.density_over(patch, beside)
        for exposure in (0.5, 1.7):
            after = surface.density_over(patch * exposure, beside * exposure)
            assert after == pytest.approx(before, abs=1e-6)

    def test_white_balance_cancels_in_each_channel(self) -> None:
        balance = np.array([1.3, 1.0, 0.7], np.float32)
        before = surface.density_over(PINK * np.float32(0.4), PINK)
        after = surface.density_over(PINK * np.float32(0.4) * balance, PINK * balance)
        assert after == pytest.approx(before, abs=1e-6)

    def test_erythema_index_of_the_worked_case(self) -> None:
        # Diffey 1984: EI = 100 log10(R_red / R_green); 0.5 and 0.25 give 30.103
        density = surface.density_over(np.array([0.5, 0.25, 0.25]), np.ones(3))
        assert 100 * surface.redness(density) == pytest.approx(30.103, abs=1e-3)

    def test_black_is_finite(self) -> None:
        assert np.isfinite(surface.density_over(np.zeros(3), PINK)).all()

    def test_yellow_is_what_lacks_blue(self) -> None:
        density = surface.density_over(np.array([0.5, 0.4, 0.1]), np.array([0.5, 0.4, 0.4]))
        assert surface.yellowness(density) == pytest.approx(np.log10(4), abs=1e-6)
        assert surface.redness(density) == pytest.approx(0, abs=1e-6)


class TestMattLight:
    def shiny(self, colour: np.ndarray, share: float = 0.6) -> np.ndarray:
        """Pixels of one colour, unevenly lit, with white light of up to 0.15 over a share."""
        rng = np.random.default_rng(8)
        shade = rng.normal(1, 0.15, (2000, 1)).clip(0.5)
        veil = rng.uniform(0, 0.15, (2000, 1)) * (rng.uniform(size=(2000, 1)) < share)
        return (colour * shade + veil).astype(np.float32)

    @pytest.mark.parametrize("dark", [1.0, 0.25])
    def test_patchy_shine_is_taken_off_a_coloured_surface(self, dark: float) -> None:
        colour = PINK * np.float32(dark)
        assert surface.matt_light(self.shiny(colour)) == pytest.approx(colour, rel=0.06)

    def test_what_is_taken_off_is_unsure(self) -> None:
        dull, shiny = (surface.shine(self.shiny(0.25 * PINK, share)) for share in (0.0, 0.9))
        assert dull < 0.012
        assert shiny > 2 * dull

    def test_exposure_scales_it(self) -> None:
        pixels = self.shiny(PINK)
        brighter = surface.matt_light(1.3 * pixels)
        assert brighter == pytest.approx(1.3 * surface.matt_light(pixels), rel=0.01)

    def test_a_grey_surface_is_that_of_its_darker_half(self) -> None:
        grey = np.full(3, 0.3, np.float32)
        pixels = self.shiny(grey)
        darker = np.quantile(pixels[:, 0], 0.25)
        assert surface.matt_light(pixels) == pytest.approx(np.full(3, darker), rel=0.02)


class TestHair:
    @pytest.mark.parametrize("angle_deg", [0, 20, 45, 77, 90, 130])
    def test_a_whisker_is_found_at_any_angle(self, angle_deg: float) -> None:
        picture = skin()
        along = 90 * np.array([np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))])
        ends = [tuple(int(v) for v in np.array([120, 90]) + sign * along) for sign in (-1, 1)]
        truth = np.zeros(picture.shape[:2], np.uint8)
        cv2.line(truth, ends[0], ends[1], 1, 5)
        picture[truth > 0] = 0.85
        found = surface.light_hairs(picture, PITCH_MM, PINK_Y)
        assert found[truth > 0].mean() > 0.9
        far = cv2.dilate(truth, np.ones((13, 13), np.uint8)) == 0
        assert found[far].mean() < 0.02

    def test_round_glints_and_plain_skin_are_no_hair(self) -> None:
        picture = skin()
        for x, y in ((60, 40), (150, 120), (200, 60)):
            cv2.circle(picture, (x, y), 5, (0.9, 0.85, 0.8), -1)
        assert not surface.light_hairs(picture, PITCH_MM, PINK_Y).any()

    def test_coarse_and_fine_grids_agree(self) -> None:
        for pitch in (0.02, 0.05, 0.08):
            size = round(8 / pitch)
            picture = np.broadcast_to(PINK, (size, size + 20, 3)).copy()
            cv2.line(
                picture, (0, size // 3), (size, size // 2), (0.8, 0.8, 0.8), round(0.2 / pitch)
            )
            found = surface.light_hairs(picture, pitch, PINK_Y).mean()
            assert found == pytest.approx(0.2 / 8, rel=1.2)


class TestGlints:
    def test_added_white_is_found_and_its_share_is_right(self) -> None:
        picture = skin()
        truth = np.zeros(picture.shape[:2], np.uint8)
        for x, y in np.random.default_rng(2).integers(15, 165, (12, 2)):
            cv2.circle(truth, (int(x), int(y)), 3, 1, -1)
        picture[truth > 0] += 0.4
        found = surface.glints(picture, PITCH_MM, PINK_Y)
        assert found.mean() == pytest.approx(truth.mean(), rel=0.1)

    def test_a_red_fleck_and_broad_shine_are_no_glints(self) -> None:
        picture = skin()
        cv2.circle(picture, (70, 70), 4, (0.75, 0.25, 0.2), -1)
        y, x = np.mgrid[:180, :240]
        picture += (0.3 * np.exp(-((x - 170) ** 2 + (y - 100) ** 2) / 60**2))[..., None]
        assert not surface.glints(picture, PITCH_MM, PINK_Y).any()

    def test_they_are_seen_on_dark_skin_too(self) -> None:
        picture = skin() * np.float32(0.1)
        picture[88:92, 100:104] += 0.3
        assert surface.glints(picture, PITCH_MM, 0.1 * PINK_Y)[88:92, 100:104].all()


class TestRelief:
    @pytest.mark.parametrize(
        ("wave_mm", "passed"), [(5.0, 0.0), (1.0, 0.5), (0.45, 0.87), (0.2, 0.5), (0.08, 0.02)]
    )
    def test_the_band_is_a_fifth_to_one_millimetre(self, wave_mm: float, passed: float) -> None:
        """Half the power at both ends, by definition; little far outside, most in the middle."""
        pitch = 0.01
        x = np.arange(1200) * pitch
        wave = np.sin(2 * np.pi * x / wave_mm).astype(np.float32)
        picture = np.broadcast_to(wave, (90, 1200)).copy()
        through = surface.relief(picture, np.ones(picture.shape, bool), pitch)[:, 300:900]
        power = through.var() / wave[300:900].var()
        assert power == pytest.approx(passed, abs=0.06)

    def test_what_is_not_usable_does_not_count(self) -> None:
        flat = np.full((100, 140), 0.5, np.float32)
        usable = np.ones(flat.shape, bool)
        usable[40:60, 50:70] = False
        spoilt = np.where(usable, flat, 1.0).astype(np.float32)
        inner = surface.relief(spoilt, usable, PITCH_MM)[20:80, 20:120]
        assert np.abs(inner[usable[20:80, 20:120]]).max() < 1e-4


class TestSpread:
    def test_it_is_the_standard_deviation_of_a_normal_sample(self) -> None:
        draws = np.random.default_rng(4).normal(3, 0.7, 40_000)
        assert surface.spread(draws) == pytest.approx(0.7, rel=0.02)

    def test_a_tenth_of_outliers_hardly_matters(self) -> None:
        draws = np.random.default_rng(4).normal(3, 0.7, 40_000)
        draws[::10] = 1e6
        assert surface.spread(draws) == pytest.approx(0.7, rel=0.2)
