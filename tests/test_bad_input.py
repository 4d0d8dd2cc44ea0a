"""What a person gives that cannot be used: one sentence that says so, advice, and nothing lost.

One small simulated photo is spoilt in every way that a kitchen, a phone and haste can spoil it.
"""

import io
import json
import struct
import sys
import zlib
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import cv2
import numpy as np
import pytest
from PIL import Image

from lesioncompare.cli import main
from lesioncompare.phantom import Shot, Snapshot, Spot, Subject, shoot
from lesioncompare.pipeline import examine_photo, follow_series, with_dates
from lesioncompare.records import Reading, Seed
from lesioncompare.report.page import draw_page
from lesioncompare.report.words import headline
from lesioncompare.terms import Level, parse_site

NOW = datetime(2026, 6, 1)  # noqa: DTZ001  a photo's own clock has no zone
SHOT = Shot(seed=3, width_px=1280, height_px=960, px_per_mm=22.0, sticker_gap_mm=4.0)
SUBJECT = Subject(parse_site("nose"), seed=23, spots=(Spot(diameter_mm=4.0, x_mm=0.0, seed=5),))


@dataclass(frozen=True)
class Photo:
    """A photo, its pixels, the circle round its spot, and its truth."""

    snapshot: Snapshot
    rgb: np.ndarray
    seed: Seed

    @property
    def sticker(self) -> np.ndarray:
        return self.snapshot.truth.sticker_corners_px


def taken(subject: Subject, shot: Shot) -> Photo:
    """A photo of a subject."""
    snapshot = shoot(subject, shot)
    rgb = np.asarray(Image.open(io.BytesIO(snapshot.jpeg)).convert("RGB"))
    return Photo(snapshot, rgb, Seed(*snapshot.truth.circle))


@pytest.fixture(scope="module")
def photo() -> Photo:
    """The good photo."""
    return taken(SUBJECT, SHOT)


@pytest.fixture(scope="module")
def good(photo) -> Reading:
    """What is read from the good photo."""
    return read(photo.snapshot.jpeg, photo.seed)


@pytest.fixture
def run(capsys, monkeypatch):
    """The command line: exit code, what it printed, what it complained of."""

    def called(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["lesioncompare", *words])
        with pytest.raises(SystemExit) as ended:
            main()
        said = capsys.readouterr()
        return int(ended.value.code or 0), said.out, said.err

    return called


def read(data: bytes, seed: Seed) -> Reading:
    """One photo through the pipeline."""
    return examine_photo(data, name="photo.jpg", now=NOW, seed=seed)


def jpeg(rgb: np.ndarray, **options: object) -> bytes:
    """Pixels as a JPEG file."""
    file = io.BytesIO()
    Image.fromarray(rgb).save(file, "JPEG", quality=92, **options)
    return file.getvalue()


def png_of(width: int, height: int) -> bytes:
    """A PNG file that claims a size and holds next to nothing."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = zlib.compress(b"\0" * 100)
    parts = chunk(b"IHDR", head), chunk(b"IDAT", body), chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def refusal(reading: Reading) -> str:
    """The one sentence that says why a photo cannot be used; fails if there is none."""
    assert not reading.usable
    why = [n for n in reading.notices if n.level == Level.RETAKE]
    assert why, "refused without a sentence"
    for note in why:
        assert note.says.strip().endswith(".")
        assert note.do.strip().endswith(".")
    return " ".join(n.says for n in why)


def test_the_good_photo_is_used(good):
    assert good.usable
    assert good.measurement.quantities["area"].value == pytest.approx(12, rel=0.3)


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"milk, catnip, call the vet", "not a photo"),
        (b"", "empty"),
        (png_of(30_000, 30_000), "more pixels than"),
    ],
    ids=["a shopping list", "nothing", "900 megapixels"],
)
def test_what_is_no_photo_is_named(data, word):
    assert word in refusal(read(data, Seed(10, 10, 5)))


def test_a_truncated_file_is_refused(photo):
    half = photo.snapshot.jpeg[: len(photo.snapshot.jpeg) // 2]
    assert refusal(read(half, photo.seed))


def test_a_single_pixel_is_refused():
    assert refusal(read(jpeg(np.zeros((1, 1, 3), np.uint8)), Seed(0, 0, 1)))


def test_a_photo_saved_for_printing_is_read_or_refused_but_never_in_false_colours(photo):
    """CMYK without a profile cannot be turned into colours that mean anything."""
    file = io.BytesIO()
    Image.fromarray(photo.rgb).convert("CMYK").save(file, "JPEG")
    reading = read(file.getvalue(), photo.seed)
    assert not reading.usable or any("print" in n.says for n in reading.notices)


def test_no_sticker():
    bare = taken(SUBJECT, Shot(seed=3, width_px=1280, height_px=960, sticker_id=None))
    assert "sticker" in refusal(read(bare.snapshot.jpeg, bare.seed))


def test_two_stickers_are_said_not_guessed():
    two = taken(
        SUBJECT, Shot(seed=3, width_px=1280, height_px=960, px_per_mm=20, second_sticker_id=14)
    )
    assert "sticker" in refusal(read(two.snapshot.jpeg, two.seed))


def test_a_sticker_cut_by_the_edge_of_the_photo(photo):
    middle, spot = photo.sticker.mean(axis=0), np.array([photo.seed.x, photo.seed.y])
    axis = int(np.abs(middle - spot).argmax())
    at = round(middle[axis])
    part = [slice(None), slice(None)]
    part[1 - axis] = slice(0, at) if middle[axis] > spot[axis] else slice(at, None)
    shift = np.zeros(2)
    if middle[axis] <= spot[axis]:
        shift[axis] = at
    seed = Seed(spot[0] - shift[0], spot[1] - shift[1], photo.seed.radius)
    assert "sticker" in refusal(read(jpeg(photo.rgb[tuple(part)]), seed))


@pytest.mark.parametrize("orientation", [3, 6, 8], ids=["upside down", "on its side", "other side"])
def test_a_turned_photo_measures_the_same(photo, good, orientation):
    """EXIF 2.3, tag 0x0112: 3 is 180°, 6 a quarter turn right, 8 left. Turned pixels, same skin."""
    turns = {3: 2, 6: 1, 8: 3}[orientation]
    exif = Image.Exif()
    exif[0x0112] = orientation
    data = jpeg(np.rot90(photo.rgb, turns).copy(), exif=exif)
    reading = read(data, photo.seed)
    assert reading.usable
    area, same = (r.measurement.quantities["area"].value for r in (reading, good))
    assert area == pytest.approx(same, rel=0.03)


def test_pixels_upside_down_measure_the_same(photo, good):
    height, width = photo.rgb.shape[:2]
    seed = Seed(width - 1 - photo.seed.x, height - 1 - photo.seed.y, photo.seed.radius)
    reading = read(jpeg(np.rot90(photo.rgb, 2).copy()), seed)
    area, same = (r.measurement.quantities["area"].value for r in (reading, good))
    assert area == pytest.approx(same, rel=0.03)


def test_a_circle_outside_the_photo(photo):
    assert "outside" in refusal(read(photo.snapshot.jpeg, Seed(5000, 40, 60)))


def test_a_circle_on_the_sticker(photo):
    x, y = photo.sticker.mean(axis=0)
    assert "on the sticker" in refusal(read(photo.snapshot.jpeg, Seed(x, y, 60)))


@pytest.mark.parametrize(
    "spoil",
    [
        lambda rgb: cv2.GaussianBlur(rgb, (0, 0), 15),
        lambda rgb: cv2.blur(rgb, (45, 1)),
        lambda rgb: (rgb * 0.02).astype(np.uint8),
        np.zeros_like,
        lambda rgb: np.clip(rgb.astype(float) * 3 + 60, 0, 255).astype(np.uint8),
    ],
    ids=["out of focus", "shaken", "too dark", "black", "burnt out"],
)
def test_a_spoilt_photo_is_not_used(photo, spoil):
    assert refusal(read(jpeg(spoil(photo.rgb)), photo.seed))


def test_a_nostril_is_no_spot(photo):
    """The phantom names its nostrils; a person who circles one hears that it is an opening."""
    marks = photo.snapshot.truth.landmarks
    name = next(n for n in marks if "nostril" in n)
    reading = read(photo.snapshot.jpeg, Seed(*marks[name]))
    said = " ".join(n.says for n in reading.notices)
    assert "nostril" in said or "opening" in said


def test_bare_skin_circled_is_said_to_show_hardly_a_spot(photo):
    """Half way between spot and nostrils, the phantom shows skin alone."""
    marks = photo.snapshot.truth.landmarks
    nostril = next(np.array(at[:2]) for name, at in marks.items() if "right" in name)
    x, y = 0.55 * nostril + 0.45 * np.array([photo.seed.x, photo.seed.y])
    reading = read(photo.snapshot.jpeg, Seed(x, y, 30))
    assert any(n.key == "hardly_a_spot" for n in reading.notices) or not reading.usable
    assert not any(n.key == "hardly_a_spot" for n in read(photo.snapshot.jpeg, photo.seed).notices)


def test_the_same_photo_twice_is_counted_once(photo, good):
    again = examine_photo(photo.snapshot.jpeg, name="again.jpg", now=NOW, first=good)
    assert "same" in refusal(again)


def test_another_place_is_refused_rather_than_compared(good):
    """An ear with a like spot is not the nose of the first photo."""
    other = taken(
        Subject(parse_site("ear-left"), seed=77, spots=(Spot(diameter_mm=4.0, seed=9),)),
        Shot(seed=8, width_px=1280, height_px=960, px_per_mm=22.0),
    )
    reading = examine_photo(other.snapshot.jpeg, name="other.jpg", now=NOW, first=good)
    assert "laid over the first photo" in refusal(reading)


def test_photos_in_the_wrong_order_are_sorted_and_said(good):
    """The later photo given first: the series runs by date, and a notice says so."""
    dates = datetime(2026, 5, 9), datetime(2026, 5, 2)  # noqa: DTZ001
    given = [
        replace(good, photo=replace(good.photo, taken=when, taken_basis="given")) for when in dates
    ]
    dated = with_dates(given, NOW)
    assert any(n.key == "out_of_order" for n in dated[1].notices)
    series = follow_series(dated)
    assert [v.when for v in series.visits] == sorted(dates)


def test_photos_without_dates_are_put_a_week_apart_and_say_so(good):
    undated = replace(good, photo=replace(good.photo, taken=None, taken_basis="none"))
    dated = with_dates([undated, undated], datetime(2026, 5, 2))  # noqa: DTZ001
    assert (dated[1].photo.taken - dated[0].photo.taken).days == 7
    assert all(any(n.key == "date_assumed" for n in r.notices) for r in dated)


def test_photos_with_and_without_a_time_zone_make_one_series(good):
    """A phone states the zone, a messenger drops it; growth is found all the same."""
    area = good.measurement.quantities["area"]
    readings = []
    for week in range(8):
        when = datetime(2026, 3, 1, 9, tzinfo=UTC) + timedelta(weeks=week)
        grown = replace(area, value=area.value * 1.15 ** max(0, week - 2))
        quantities = {**good.measurement.quantities, "area": grown}
        readings.append(
            replace(
                good,
                photo=replace(good.photo, taken=when if week % 2 else when.replace(tzinfo=None)),
                measurement=replace(good.measurement, quantities=quantities),
            )
        )
    series = follow_series(readings)
    assert any("growth" in finding.key for finding in series.findings)
    assert "2026-03-01 to 2026-04-19" in headline(series)
    assert draw_page(series).startswith(b"\x89PNG")


class TestCommandLine:
    """Exit codes: 0 done, 2 wrong use, 3 a photo could not be used."""

    def test_a_good_photo_ends_with_0_and_gives_json(self, photo, tmp_path, run):
        file = tmp_path / "good.jpg"
        file.write_bytes(photo.snapshot.jpeg)
        spot = f"{photo.seed.x},{photo.seed.y},{photo.seed.radius}"
        code, said, _ = run("read", str(file), "--spot", spot, "--json")
        assert code == 0
        assert json.loads(said)["usable"] is True

    def test_a_photo_that_cannot_be_used_ends_with_3_and_is_named(self, tmp_path, run):
        file = tmp_path / "letter.jpg"
        file.write_bytes(b"dear cat")
        code, said, complaint = run("read", str(file), "--spot", "5,5,3")
        assert code == 3
        assert "letter.jpg" in said + complaint

    @pytest.mark.parametrize(
        "wrong",
        [
            ["read", "x.jpg", "--spot", "5,5"],
            ["read", "x.jpg", "--spot", "5,5,3", "--site", "tail"],
            ["read", "x.jpg", "--spot", "5,5,3", "--sticker", "square:8"],
            ["sticker", "--out", "sheet.docx"],
            ["sticker", "--out", "sheet.pdf", "--size", "11"],
        ],
        ids=["two numbers", "unknown site", "unknown sticker", "unknown file", "unknown size"],
    )
    def test_wrong_use_ends_with_2_and_writes_nothing(self, wrong, tmp_path, monkeypatch, run):
        monkeypatch.chdir(tmp_path)
        code, _, complaint = run(*wrong)
        assert code == 2
        assert complaint.strip()
        assert list(tmp_path.iterdir()) == []
