"""A decent photo passes without a word; a bad one is told what is wrong with it."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import cv2
import numpy as np
import pytest

from lesioncompare.calibrate import calibrate, close_up
from lesioncompare.decode import decode
from lesioncompare.design import draw_sticker
from lesioncompare.errors import StickerError
from lesioncompare.judge import judge, judge_copies
from lesioncompare.judge.sharpness import sticker_blur_mm
from lesioncompare.locate import locate
from lesioncompare.phantom import Lamp, Shot, Spot, Subject, shoot
from lesioncompare.records import Calibration, Circle, Light, Photo, Scene, Sticker, StickerHint
from lesioncompare.registry import NOTICES
from lesioncompare.registry.judged_notices import JUDGED_NOTICES
from lesioncompare.science.colour import linear_to_srgb, srgb_to_linear, straightened
from lesioncompare.science.plane import apply_homography, local_scale
from lesioncompare.settings import Settings
from lesioncompare.terms import Level, parse_site

SIZE_MM = 14.0
SKIN, SPOT = np.array([0.45, 0.26, 0.21]), np.array([0.10, 0.06, 0.05])  # [1] reflectance
WIDTH, HEIGHT = 900, 700  # [px]
RADIUS_MM = 1.5


NOW = datetime(2026, 6, 30, tzinfo=UTC)


class Setting:
    """A flat skin with a round spot 14 mm right of the middle of a sticker, seen straight on."""

    def __init__(self, *, px_per_mm: float = 20.0, gap_mm: float = 4.5, dot: bool = False):
        self.scale = px_per_mm
        self.sticker_px = np.array([WIDTH * 0.3, HEIGHT * 0.55])
        self.circle = Circle(SIZE_MM / 2 + gap_mm + RADIUS_MM * 1.3, 0.0, RADIUS_MM * 1.3)
        self.dot = dot
        y, x = np.mgrid[:HEIGHT, :WIDTH]
        self.x_mm = (x - self.sticker_px[0]) / px_per_mm
        self.y_mm = (y - self.sticker_px[1]) / px_per_mm
        self.off_mm = np.hypot(self.x_mm - self.circle.x, self.y_mm)
        self.reflectance = self._draw()

    def _draw(self) -> np.ndarray:
        rng = np.random.default_rng(4)
        grain = rng.standard_normal((HEIGHT, WIDTH), np.float32)
        rough = cv2.GaussianBlur(grain, (0, 0), 0.12 * self.scale)
        linear = SKIN.astype(np.float32) * (1 + 0.12 * rough / rough.std())[..., None]
        linear[self.off_mm < RADIUS_MM] = SPOT
        if self.dot:
            inwards_px = (SIZE_MM / 2 - np.hypot(self.x_mm, self.y_mm)) * self.scale
            cover = np.clip(inwards_px + 0.5, 0, 1)[..., None]  # no stairs
            return linear * (1 - cover) + cover * np.array([0.05, 0.1, 0.5])
        side = round(SIZE_MM * self.scale)
        printed = srgb_to_linear(draw_sticker(14, side))
        left, top = (self.sticker_px - side / 2 + 0.5).astype(int)
        linear[top : top + side, left : left + side] = printed[..., None]
        return linear

    @property
    def px_to_mm(self) -> np.ndarray:
        shift = -self.sticker_px / self.scale
        return np.array([[1 / self.scale, 0, shift[0]], [0, 1 / self.scale, shift[1]], [0, 0, 1]])

    def expose(
        self,
        *,
        light=1.0,
        white=(0.8, 0.8, 0.8),
        blur_mm=0.04,
        motion_mm=0.0,
        veil=0.0,
        noise=0.003,
    ) -> Photo:
        """What a camera makes of it; blur and veil happen in linear light."""
        level = np.multiply(white, np.asarray(light)[..., None]).astype(np.float32)
        linear = self.reflectance * level
        if motion_mm:
            kernel = np.ones((1, max(1, round(motion_mm * self.scale))))
            linear = cv2.filter2D(linear, -1, kernel / kernel.size)
        linear = cv2.GaussianBlur(linear, (0, 0), max(blur_mm * self.scale, 0.3))
        linear = linear + np.asarray(veil, np.float32)[..., None]
        linear += noise * np.random.default_rng(5).standard_normal(linear.shape, np.float32)
        return Photo("x.jpg", "0" * 64, linear_to_srgb(linear), None, "none")

    def judged(
        self, photo: Photo, *, white=(0.8, 0.8, 0.8), tilt_deg=5.0, circle=None, inside=0.06
    ) -> list[str]:
        side = SIZE_MM / 2 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        sticker = Sticker(
            kind="round" if self.dot else "printed",
            id=None if self.dot else 14,
            size_mm=SIZE_MM,
            corners_px=side * self.scale + self.sticker_px,
            px_to_mm=self.px_to_mm,
            corner_u_px=0.1,
            ladder=np.zeros((0, 6)),
        )
        light = Light(np.array(white), np.zeros(3), np.zeros(2), 0.5, steady=not self.dot)
        calibration = Calibration(self.px_to_mm, 1 / self.scale, tilt_deg, (), light)
        where = circle or self.circle
        n, half = 81, where.radius * 2
        pitch = 2 * half / (n - 1)
        y, x = np.mgrid[:n, :n] * pitch - half
        free = np.maximum(abs(x + where.x), abs(y + where.y)) > SIZE_MM / 2
        blank = np.full((n, n, 3), inside, np.float32)
        scene = Scene(blank, blank, free, (where.x - half, where.y - half), pitch)
        return [n.key for n in judge(photo, sticker, calibration, scene, where, Settings())]

    def sticker(self) -> Sticker:
        corners = np.zeros((4, 2))
        kind = "round" if self.dot else "printed"
        return Sticker(kind, 14, SIZE_MM, corners, self.px_to_mm, 0.1, np.zeros((0, 6)))


@pytest.fixture(scope="module")
def setting() -> Setting:
    return Setting()


class TestSharpness:
    @pytest.mark.parametrize("blur_mm", [0.06, 0.12, 0.2, 0.3])
    @pytest.mark.parametrize("dot", [False, True])
    def test_blur_is_measured_in_millimetres(self, blur_mm, dot):
        """Against the Gaussian put in; 12 % for pixels and noise, 30 % for a dot on rough skin."""
        one = Setting(dot=dot)
        found = sticker_blur_mm(one.expose(blur_mm=blur_mm), one.sticker())
        assert found == pytest.approx(np.hypot(blur_mm, 0.29 / one.scale), rel=0.3 if dot else 0.12)

    def test_a_shake_is_measured_along_its_way(self, setting):
        """A boxcar of length L has a standard deviation of L / sqrt(12); 20 % for its form."""
        found = sticker_blur_mm(setting.expose(motion_mm=0.9), setting.sticker())
        assert found == pytest.approx(0.9 / np.sqrt(12), rel=0.2)

    @pytest.mark.parametrize("bend", [-0.15, 0.4])
    def test_a_tone_curve_does_not_hide_blur(self, setting, bend):
        """Codes of a camera with an S-shaped curve; 12 % for pixels, noise and rounding."""
        photo = setting.expose(blur_mm=0.25)
        codes = np.interp(srgb_to_linear(photo.rgb), straightened(bend), np.arange(256.0))
        bent = replace(photo, rgb=np.round(codes).astype(np.uint8))
        assert sticker_blur_mm(bent, setting.sticker(), bend) == pytest.approx(0.25, rel=0.12)

    def test_a_whisker_over_an_edge_is_no_blur(self, setting):
        photo = setting.expose()
        rgb = photo.rgb.copy()
        middle = setting.sticker_px.astype(int)
        cv2.line(rgb, (0, int(middle[1]) - 70), (WIDTH, int(middle[1]) - 76), (240, 235, 225), 4)
        found = sticker_blur_mm(replace(photo, rgb=rgb), setting.sticker())
        assert found < 0.07

    def test_a_cut_sticker_is_judged_by_the_edges_that_are_there(self, setting):
        photo = setting.expose(blur_mm=0.1)
        upper_part = replace(photo, rgb=photo.rgb[: int(setting.sticker_px[1]) - 20])
        assert sticker_blur_mm(upper_part, setting.sticker()) == pytest.approx(0.1, rel=0.15)
        outside = replace(photo, rgb=photo.rgb[:40, :40])
        assert sticker_blur_mm(outside, setting.sticker()) is None

    @pytest.mark.parametrize(
        ("blur_mm", "keys"),
        [(0.04, []), (0.10, []), (0.15, []), (0.24, ["blurred"]), (0.40, ["blurred_badly"])],
    )
    def test_only_a_blurred_photo_is_called_blurred(self, setting, blur_mm, keys):
        assert setting.judged(setting.expose(blur_mm=blur_mm)) == keys

    def test_a_spot_out_of_focus_beside_a_sharp_sticker_is_said(self, setting):
        photo = setting.expose()
        soft = cv2.GaussianBlur(photo.rgb, (0, 0), 0.6 * setting.scale)
        rgb = np.where((setting.off_mm < 6)[..., None], soft, photo.rgb)
        assert setting.judged(replace(photo, rgb=rgb)) == ["spot_out_of_focus"]


class TestLight:
    @pytest.mark.parametrize(
        ("brightness", "keys"),
        [(0.8, []), (0.3, []), (0.11, ["dark"]), (0.03, ["too_dark"]), (4.0, ["burnt_out"])],
    )
    def test_exposure(self, setting, brightness, keys):
        white = (brightness,) * 3
        found = setting.judged(setting.expose(white=white, noise=0.001), white=white)
        assert found == keys

    @pytest.mark.parametrize(("veil", "keys"), [(0.1, []), (0.7, ["shine"]), (1.6, ["glare"])])
    def test_a_reflection_over_the_spot(self, setting, veil, keys):
        """A veil that falls off over 1.2 mm; the brighter it is, the more it covers."""
        patch = veil * np.exp(-((setting.off_mm / 1.2) ** 2))
        found = setting.judged(setting.expose(veil=patch))
        assert found[:1] == keys

    def test_small_glints_are_wet_skin(self, setting):
        dots = np.zeros((HEIGHT, WIDTH))
        rng = np.random.default_rng(6)
        rows, columns = np.nonzero(setting.off_mm < 2)
        for at in rng.integers(len(rows), size=15):
            cv2.circle(dots, (int(columns[at]), int(rows[at])), 1, 0.8, -1)
        assert setting.judged(setting.expose(veil=dots)) == []

    @pytest.mark.parametrize(
        ("white", "keys"),
        [
            ((0.9, 0.7, 0.45), []),  # a warm lamp
            ((0.9, 0.4, 0.12), ["colour_cast"]),
            ((0.25, 0.5, 0.8), ["colour_cast"]),
        ],
    )
    def test_warm_light_is_usual_but_orange_light_is_not(self, setting, white, keys):
        assert setting.judged(setting.expose(white=white), white=white) == keys

    @pytest.mark.parametrize("turn", np.arange(4) * 0.8)
    def test_a_shadow_across_the_spot(self, setting, turn):
        across = (setting.x_mm - setting.circle.x) * np.cos(turn) + setting.y_mm * np.sin(turn)
        light = 1 - 0.7 / (1 + np.exp(-across / 0.3))
        assert setting.judged(setting.expose(light=light)) == ["shadow"]

    def test_light_that_falls_off_gently_is_no_shadow(self, setting):
        assert setting.judged(setting.expose(light=1 - setting.x_mm / 60)) == []

    def test_black_skin_on_one_side_is_no_shadow(self):
        one = Setting()
        one.reflectance[(one.x_mm > one.circle.x + 1.6)] *= (0.2, 0.35, 0.5)
        assert one.judged(one.expose()) == []


class TestPlace:
    def test_too_far_away(self):
        far = Setting(px_per_mm=8)
        assert far.judged(far.expose(blur_mm=0.08)) == ["too_coarse"]

    def test_too_small(self, setting):
        small = replace(setting.circle, radius=0.45)
        assert "spot_too_small" in setting.judged(setting.expose(), circle=small)

    def test_a_camera_held_askew(self, setting):
        assert setting.judged(setting.expose(), tilt_deg=41) == ["tilted"]
        assert setting.judged(setting.expose(), tilt_deg=30) == []

    def test_a_sticker_far_from_the_spot(self):
        apart = Setting(gap_mm=17)
        assert apart.judged(apart.expose()) == ["sticker_far"]

    def test_a_spot_at_the_edge_of_the_photo(self, setting):
        at_edge = replace(setting.circle, x=(WIDTH - setting.sticker_px[0]) / setting.scale)
        assert setting.judged(setting.expose(), circle=at_edge)[-1] == "spot_cut"

    def test_a_spot_under_the_sticker(self, setting):
        below = replace(setting.circle, x=SIZE_MM / 2 + 0.5)
        assert "sticker_over_spot" in setting.judged(setting.expose(), circle=below)


class TestOpening:
    @pytest.mark.parametrize(("inside", "keys"), [(0.008, ["opening"]), (0.03, [])])
    def test_what_sends_back_less_light_than_black_skin_is_no_spot(self, setting, inside, keys):
        """A polished surface of index 1.42 mirrors ((1.42 - 1) / (1.42 + 1))² = 3 % (Fresnel)."""
        assert pytest.approx(0.03, abs=5e-4) == ((1.42 - 1) / (1.42 + 1)) ** 2
        assert setting.judged(setting.expose(), inside=inside) == keys


class TestWords:
    def test_what_the_judge_says_is_registered(self):
        assert {kind.key for kind in JUDGED_NOTICES} <= set(NOTICES)

    @pytest.mark.parametrize("kind", JUDGED_NOTICES, ids=lambda kind: kind.key)
    def test_a_retake_says_how_to_do_better(self, kind):
        assert kind.says.endswith(".")
        assert kind.do.endswith(".")
        assert kind.rule
        assert kind.source
        assert kind.level in {Level.NOTE, Level.DOUBT, Level.RETAKE}


FAULTS = {
    "blurred": {"blur_px": 6.5},
    "shaken": {"motion_px": 24.0},
    "glaring": {"glare": 0.9},
    "dark": {"lamp": Lamp(brightness=0.03)},
    "burnt out": {"lamp": Lamp(brightness=3.0)},
    "far": {"px_per_mm": 7.5},
    "slanted": {"tilt_deg": 47.0},
    "orange": {"lamp": Lamp(kelvin=2000)},
}
PLACES = ("nose", "ear-left", "lip-upper-right")


def judged_phantom(place: str, *, landmark: str | None = None, **shot) -> list[str]:
    """Keys of doubts and refusals on a simulated photo, read by the stages before the judge."""
    subject = Subject(parse_site(place), seed=7301, spots=(Spot(diameter_mm=3.5, seed=7302),))
    usual = {"seed": 7303, "width_px": 960, "height_px": 720, "px_per_mm": 22.0, "roll_deg": 33.0}
    snapshot = shoot(subject, Shot(**{**usual, **shot}))
    photo = decode(snapshot.jpeg, name=place, now=NOW)
    truth = snapshot.truth
    x, y, radius = truth.landmarks[landmark] if landmark else truth.circle
    try:
        sticker = locate(photo, StickerHint(), Settings())
    except StickerError:
        return ["sticker_refused"]
    calibration = calibrate(photo, sticker, (x, y), Settings())
    at = np.array([[x, y]])
    middle = apply_homography(sticker.px_to_mm, at)[0]
    radius_mm = radius * float(local_scale(sticker.px_to_mm, at)[0])
    circle = Circle(float(middle[0]), float(middle[1]), radius_mm)
    scene = close_up(photo, sticker, calibration, circle)
    found = judge(photo, sticker, calibration, scene, circle, Settings())
    return [n.key for n in found if n.level != Level.NOTE]


@pytest.mark.slow
class TestPhantoms:
    """Photos whose faults are known, of seeds that no threshold was set on."""

    @pytest.mark.parametrize("place", PLACES)
    def test_a_household_photo_passes(self, place):
        warm = Lamp(brightness=0.6, kelvin=4500, gradient=0.25)
        found = judged_phantom(place, tilt_deg=24, blur_px=2.4, noise=2.0, curve=0.4, lamp=warm)
        assert found == []

    @pytest.mark.parametrize("landmark", ["nostril_left", "nostril_right"])
    def test_a_nostril_circled_is_said(self, landmark):
        assert "opening" in judged_phantom("nose", landmark=landmark, width_px=1280, height_px=960)

    @pytest.mark.parametrize(("fault", "place"), list(zip(FAULTS, 3 * PLACES, strict=False)))
    def test_a_spoilt_photo_does_not(self, fault, place):
        assert judged_phantom(place, **FAULTS[fault])


NOON = datetime(2026, 5, 31, 12, tzinfo=UTC)


def picture(seed: int, *, shift: int = 0, quality: int = 92, taken=NOON, turn=None) -> Photo:
    """A random smooth picture, seen from a little further right by ``shift`` pixels."""
    rng = np.random.default_rng(seed)
    coarse = rng.integers(20, 235, (14, 18, 3)).astype(np.uint8)
    rgb = cv2.resize(coarse, (720, 560), interpolation=cv2.INTER_CUBIC)[:400, shift : shift + 520]
    rgb = rgb if turn is None else cv2.rotate(rgb, turn)
    data = cv2.imencode(".jpg", rgb[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])[1].tobytes()
    return replace(decode(data, name=f"{seed}.jpg", now=NOW), taken=taken)


def said(photo: Photo, *earlier: Photo) -> list[str]:
    return [n.key for n in judge_copies(photo, earlier)]


class TestCopies:
    def test_a_new_photo_is_new(self):
        assert said(picture(1), picture(2), picture(3)) == []
        assert said(picture(1)) == []

    def test_the_same_file(self):
        assert said(picture(1), picture(2), picture(1)) == ["same_file"]

    def test_the_same_pixels_in_another_file(self):
        assert said(replace(picture(1), sha256="f" * 64), picture(1)) == ["same_picture"]

    def test_a_copy_saved_again(self):
        later = NOON + timedelta(days=7)
        assert said(picture(1, quality=50, taken=later), picture(1)) == ["looks_copied"]
        assert said(picture(1, quality=50, taken=None), picture(1)) == ["looks_copied"]

    @pytest.mark.parametrize("turn", [cv2.ROTATE_180, cv2.ROTATE_90_CLOCKWISE])
    def test_a_copy_turned(self, turn):
        assert said(picture(1, turn=turn, quality=60, taken=None), picture(1)) == ["looks_copied"]

    def test_a_photo_taken_right_after_is_a_repeat(self):
        soon = picture(1, shift=2, taken=NOON + timedelta(seconds=20))
        found = judge_copies(soon, [picture(1)])
        assert [n.key for n in found] == ["taken_together"]
        assert found[0].level == Level.NOTE

    def test_the_nearest_one_is_named(self):
        older = picture(1, taken=NOON - timedelta(days=9), shift=1)
        assert (
            "2026-05-31"
            in judge_copies(picture(1, quality=70, taken=None), [older, picture(1)])[0].says
        )

    def test_kept_photos_without_pixels_are_recognised(self):
        kept = replace(picture(1), rgb=np.zeros((0, 0, 3), np.uint8))
        assert said(picture(1, quality=60, taken=None), kept) == ["looks_copied"]

    def test_a_photo_that_was_never_decoded_is_like_none(self):
        unread = Photo("x", "e" * 64, np.zeros((1, 1, 3), np.uint8), None, "none")
        assert said(picture(1), unread) == []
        assert said(unread, picture(1)) == []
