"""A photo from any phone comes out upright, in true colours and dated, or is refused kindly."""

import io
import struct
import zlib
from dataclasses import fields
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import imagehash
import numpy as np
import pytest
from PIL import Image, ImageCms

from lesioncompare.decode import decode
from lesioncompare.decode.opening import MAX_BYTES, REDUCE_ABOVE_PX
from lesioncompare.errors import PhotoError

REFERENCES = Path(__file__).parent / "references"
NOW = datetime(2026, 6, 30, 12, tzinfo=UTC)
FORMATS = ("JPEG", "PNG", "WEBP", "AVIF")
LOSSY_LEVELS = 6  # [code values] what the lossy formats may move a flat block at quality 90


def read(data: bytes):
    return decode(data, name="photo", now=NOW)


def encode(picture: Image.Image, form: str = "JPEG", **options) -> bytes:
    buffer = io.BytesIO()
    picture.save(buffer, form, **{"quality": 90, **options})
    return buffer.getvalue()


def textured(seed: int, width: int = 640, height: int = 480) -> Image.Image:
    """A smooth random colour picture that no two seeds share."""
    rng = np.random.default_rng(seed)
    coarse = rng.integers(20, 235, (height // 40, width // 40, 3)).astype(np.uint8)
    return Image.fromarray(coarse).resize((width, height), Image.Resampling.BICUBIC)


def blocks(values: np.ndarray, side: int = 160) -> Image.Image:
    grey = np.kron(values, np.ones((side, side), np.uint8))
    return Image.fromarray(np.stack([grey] * 3, axis=-1))


def block_values(rgb: np.ndarray, side: int = 160) -> np.ndarray:
    return rgb[side // 2 :: side, side // 2 :: side, 1].astype(int)


def exif_with(details: dict | None = None, gps: dict | None = None, **base) -> bytes:
    exif = Image.Exif()
    exif.update({{"orientation": 0x0112, "modified": 0x0132}[k]: v for k, v in base.items()})
    exif.get_ifd(0x8769).update(details or {})
    if gps:
        exif[0x8825] = gps
    return exif.tobytes()


class TestOrientation:
    """JEITA CP-3451 4.6.4: which side of the scene the 0th row and the 0th column show."""

    UPRIGHT = np.array([[30, 70], [110, 150], [190, 230]], np.uint8)
    SIDES = {  # noqa: RUF012
        1: ("top", "left"),
        2: ("top", "right"),
        3: ("bottom", "right"),
        4: ("bottom", "left"),
        5: ("left", "top"),
        6: ("right", "top"),
        7: ("right", "bottom"),
        8: ("left", "bottom"),
    }

    def stored(self, orientation: int) -> np.ndarray:
        """The upright scene as a camera with this orientation stores it."""
        row_side, column_side = self.SIDES[orientation]
        height, width = self.UPRIGHT.shape
        turned = row_side in {"left", "right"}
        out = np.zeros((width, height) if turned else (height, width), np.uint8)
        for row, column in np.ndindex(out.shape):
            along, across = (column, row) if turned else (row, column)
            y = along if "top" in {row_side, column_side} else height - 1 - along
            x = across if "left" in {row_side, column_side} else width - 1 - across
            out[row, column] = self.UPRIGHT[y, x]
        return out

    @pytest.mark.parametrize("form", FORMATS)
    @pytest.mark.parametrize("orientation", range(1, 9))
    def test_every_orientation_comes_out_upright(self, form, orientation):
        exif = exif_with(orientation=orientation)
        photo = read(encode(blocks(self.stored(orientation)), form, exif=exif))
        assert np.abs(self.UPRIGHT - block_values(photo.rgb)).max() <= LOSSY_LEVELS

    def test_a_turned_heic_is_turned_once_only(self):
        photo = read((REFERENCES / "turned.heic").read_bytes())
        assert np.abs(self.UPRIGHT - block_values(photo.rgb)).max() <= LOSSY_LEVELS
        assert photo.taken == datetime(2026, 5, 31, 6, 15, 30, tzinfo=UTC)

    def test_an_orientation_that_does_not_exist_turns_nothing(self):
        photo = read(encode(blocks(self.UPRIGHT), exif=exif_with(orientation=77)))
        assert np.abs(self.UPRIGHT - block_values(photo.rgb)).max() <= LOSSY_LEVELS


def display_p3() -> bytes:
    """A Display P3 profile written by the rules of ICC.1:2022 from the published primaries.

    Primaries and white: SMPTE EG 432-1 and ISO 22028-1 (D65); curve: IEC 61966-2-1; D50 adaptation:
    Bradford, ICC.1:2022 annex E.
    """
    xy = np.array([[0.680, 0.320], [0.265, 0.690], [0.150, 0.060]])
    primaries = np.column_stack([xy[:, 0] / xy[:, 1], np.ones(3), (1 - xy.sum(1)) / xy[:, 1]]).T
    white = np.array([0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290])
    d50 = np.array([0.9642, 1.0, 0.8249])
    to_xyz = primaries * np.linalg.solve(primaries, white)
    cone = np.array(
        [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
    )
    adapt = np.linalg.inv(cone) @ np.diag((cone @ d50) / (cone @ white)) @ cone
    columns = (adapt @ to_xyz).T

    def fixed(*values: float) -> bytes:
        return struct.pack(f">{len(values)}i", *(round(v * 65536) for v in values))

    def text(words: str) -> bytes:
        line = words.encode("utf-16-be")
        return b"mluc" + struct.pack(">IIIHHII", 0, 1, 12, 0x656E, 0x5553, len(line), 28) + line

    curve = b"para" + struct.pack(">IHH", 0, 3, 0)
    curve += fixed(2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
    tags = {
        b"desc": text("Display P3"),
        b"cprt": text("none"),
        b"wtpt": b"XYZ \0\0\0\0" + fixed(*d50),
    }
    for name, column in zip((b"rXYZ", b"gXYZ", b"bXYZ"), columns, strict=True):
        tags[name] = b"XYZ \0\0\0\0" + fixed(*column)
    tags |= dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), curve)
    table, body, at = struct.pack(">I", len(tags)), b"", 128 + 4 + 12 * len(tags)
    for name, value in tags.items():
        padded = value + b"\0" * (-len(value) % 4)
        table += name + struct.pack(">II", at + len(body), len(value))
        body += padded
    size = 128 + len(table) + len(body)
    head = struct.pack(">I4sI4s4s4s", size, b"\0" * 4, 0x04300000, b"mntr", b"RGB ", b"XYZ ")
    head += struct.pack(">6H4s", 2026, 1, 1, 0, 0, 0, b"acsp") + b"\0" * 28
    head += fixed(*d50) + b"\0" * 48
    return head + table + body


def flat(rgb: tuple[int, int, int], mode: str = "RGB") -> Image.Image:
    return Image.new(mode, (400, 320), rgb)


class TestColour:
    @pytest.mark.parametrize("form", ["PNG", "JPEG", "WEBP", "AVIF"])
    def test_display_p3_becomes_srgb(self, form):
        """P3 (200, 120, 110) is sRGB (213.0, 115.0, 106.3), from the primaries and the curve.

        ±1 for rounding to 8 bit twice, 3 more where the format is lossy.
        """
        photo = read(encode(flat((200, 120, 110)), form, icc_profile=display_p3()))
        allowed = 1 if form == "PNG" else 4
        assert np.abs(np.array([213, 115, 106]) - photo.rgb[160, 200].astype(int)).max() <= allowed

    def test_display_p3_agrees_with_an_independent_library(self):
        """Against colour-science 0.4 on random colours that both spaces hold; ±1 for rounding."""
        colour = pytest.importorskip("colour")
        rng = np.random.default_rng(5)
        p3 = rng.integers(60, 190, (320, 400, 3)).astype(np.uint8)
        photo = read(encode(Image.fromarray(p3), "PNG", icc_profile=display_p3()))
        wide, narrow = colour.RGB_COLOURSPACES["Display P3"], colour.RGB_COLOURSPACES["sRGB"]
        linear = wide.cctf_decoding(p3 / 255) @ colour.matrix_RGB_to_RGB(wide, narrow, None).T
        expected = 255 * narrow.cctf_encoding(linear)
        fits = ((linear > 0.001) & (linear < 0.999)).all(axis=-1)
        assert fits.mean() > 0.8
        assert np.abs(expected - photo.rgb)[fits].max() <= 1.01

    def test_an_srgb_profile_changes_no_pixel(self):
        rng = np.random.default_rng(6)
        pixels = rng.integers(0, 256, (320, 400, 3)).astype(np.uint8)
        srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
        photo = read(encode(Image.fromarray(pixels), "PNG", icc_profile=srgb))
        np.testing.assert_array_equal(pixels, photo.rgb)

    @pytest.mark.parametrize("profile", [b"nonsense" * 40, b"\0" * 200])
    def test_a_broken_profile_keeps_the_pixels_and_says_so(self, profile):
        photo = read(encode(flat((200, 120, 110)), "PNG", icc_profile=profile))
        assert (photo.rgb == (200, 120, 110)).all()
        assert "colours_unsure" in [n.key for n in photo.notices]

    def test_a_profile_of_another_colour_model_is_not_followed(self):
        lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
        photo = read(encode(flat((200, 120, 110)), "PNG", icc_profile=lab))
        assert (photo.rgb == (200, 120, 110)).all()
        assert "colours_unsure" in [n.key for n in photo.notices]

    def test_wide_colours_without_a_profile_are_said(self):
        """The file states its primaries by number only (ITU-T H.273 table 2: 12 is P3)."""
        photo = read((REFERENCES / "wide_gamut.heic").read_bytes())
        assert "colours_unsure" in [n.key for n in photo.notices]

    def test_a_grey_photo_is_read_and_said(self):
        photo = read(encode(Image.new("L", (400, 320), 119)))
        assert (photo.rgb == 119).all()
        assert "no_colour" in [n.key for n in photo.notices]

    def test_sixteen_bit_grey_keeps_its_upper_byte(self):
        deep = Image.fromarray(np.full((320, 400), 119 * 256 + 200, np.uint16))
        assert (read(encode(deep, "PNG")).rgb == 119).all()

    @pytest.mark.parametrize("mode", ["P", "RGBA", "LA", "1"])
    def test_every_kind_of_png_is_read(self, mode):
        picture = Image.new("L", (400, 320), 255).convert(mode)
        assert (read(encode(picture, "PNG")).rgb == 255).all()

    def test_what_is_see_through_lies_on_white(self):
        photo = read(encode(Image.new("RGBA", (400, 320), (10, 20, 30, 0)), "PNG"))
        assert (photo.rgb == 255).all()

    def test_printing_colours_without_a_profile_are_refused(self):
        with pytest.raises(PhotoError) as refusal:
            read(encode(Image.new("CMYK", (400, 320), (0, 90, 90, 10))))
        assert "CMYK" in refusal.value.what


class TestDate:
    WHEN = "2026:05:31 08:15:30"
    LOCAL = datetime(2026, 5, 31, 8, 15, 30)  # noqa: DTZ001
    OFFSET = {0x9003: WHEN, 0x9011: "+02:00", 0x9291: "25"}  # noqa: RUF012

    def taken(self, form: str = "JPEG", **exif):
        photo = read(encode(flat((9, 9, 9)), form, exif=exif_with(**exif)))
        return photo.taken, photo.taken_basis, [n.key for n in photo.notices]

    @pytest.mark.parametrize("form", FORMATS)
    def test_a_stated_offset_makes_the_time_exact(self, form):
        taken, basis, _ = self.taken(form, details=self.OFFSET)
        assert taken == datetime(2026, 5, 31, 6, 15, 30, 250000, tzinfo=UTC)
        assert basis == "original with offset"

    def test_without_offset_it_is_a_local_time(self):
        taken, basis, _ = self.taken(details={0x9003: self.WHEN})
        assert (taken, basis) == (self.LOCAL, "original, local time")

    def test_the_satellite_clock_gives_the_offset(self):
        """Satellite time is UTC (JEITA CP-3451 4.6.6); 03:45:31 UTC beside 08:15:30 is +04:30."""
        gps = {1: "N", 2: (48.0, 12.0, 30.0), 7: (3.0, 45.0, 31.0), 29: "2026:05:31"}
        taken, basis, _ = self.taken(details={0x9003: self.WHEN}, gps=gps)
        assert taken.utcoffset() == timedelta(hours=4, minutes=30)
        assert basis == "original, offset by satellite clock"

    def test_a_stale_satellite_clock_gives_none(self):
        gps = {7: (3.0, 38.0, 0.0), 29: "2026:05:31"}  # 7 min off every quarter of an hour
        taken, basis, _ = self.taken(details={0x9003: self.WHEN}, gps=gps)
        assert (taken, basis) == (self.LOCAL, "original, local time")

    def test_digitizing_stands_in_for_capture(self):
        taken, basis, _ = self.taken(details={0x9004: self.WHEN, 0x9012: "-03:30"})
        assert taken.tzinfo == timezone(timedelta(hours=-3, minutes=-30))
        assert basis == "digitized with offset"

    def test_the_last_change_to_the_file_is_no_capture_time(self):
        taken, basis, said = self.taken(modified=self.WHEN)
        assert (taken, basis, said) == (None, "none", ["no_date"])

    @pytest.mark.parametrize("text", ["0000:00:00 00:00:00", "    :  :     :  :  ", ""])
    def test_an_empty_clock_is_no_date(self, text):
        assert self.taken(details={0x9003: text}) == (None, "none", ["no_date"])

    @pytest.mark.parametrize(
        "text",
        [
            "1970:01:01 00:00:00",
            "2026:13:01 10:00:00",
            "2026:07:03 10:00:00",
            "last week",
            "2026:02:30 10:00:00",
        ],
    )
    def test_an_impossible_date_is_not_believed(self, text):
        assert self.taken(details={0x9003: text}) == (None, "not believed", ["date_not_believed"])

    @pytest.mark.filterwarnings("ignore:.*EXIF data")
    def test_damaged_exif_data_are_no_exif_data(self):
        photo = read(encode(flat((9, 9, 9)), exif=b"Exif\0\0II*\0\xff\xff\xff\xff" + b"\xff" * 60))
        assert (photo.taken, photo.taken_basis) == (None, "none")

    def test_the_place_never_leaves_the_file(self):
        gps = {
            1: "N",
            2: (47.0, 11.0, 13.0),
            3: "E",
            4: (8.0, 37.0, 41.0),
            7: (6.0, 15.0, 30.0),
            29: "2026:05:31",
        }
        photo = read(encode(flat((9, 9, 9)), exif=exif_with(details=self.OFFSET, gps=gps)))
        words = repr([getattr(photo, f.name) for f in fields(photo) if f.name != "rgb"])
        assert "47" not in words.replace(photo.sha256, "").replace(str(photo.hashes), "")


class TestHashes:
    TURNS = (None, *(Image.Transpose(i) for i in (2, 3, 4, 0, 1, 5, 6)))

    def test_there_are_eight_of_256_bits(self):
        photo = read(encode(textured(1)))
        assert len(photo.hashes) == 8
        assert {64} == {len(h) for h in photo.hashes}
        assert len(set(photo.hashes)) == 8

    def test_they_are_those_of_imagehash(self):
        """The first is ImageHash 4.3's phash of the photo; ≤ 4 of 256 bits for the thumbnail."""
        picture = textured(2)
        photo = read(encode(picture, "PNG"))
        here = imagehash.hex_to_hash(photo.hashes[0])
        assert here - imagehash.phash(picture, hash_size=16) <= 4

    def test_size_changes_them_little(self):
        """A 6-megapixel photo and its half-size copy; ≤ 8 of 256 bits."""
        picture = textured(2, 3000, 2000)
        large, small = read(encode(picture)), read(encode(picture.reduce(2)))
        assert imagehash.hex_to_hash(large.hashes[0]) - imagehash.hex_to_hash(small.hashes[0]) <= 8

    @pytest.mark.parametrize("turn", TURNS[1:])
    def test_a_turned_or_mirrored_copy_is_met_by_one_of_the_eight(self, turn):
        picture = textured(3)
        first = imagehash.hex_to_hash(read(encode(picture)).hashes[0])
        turned = read(encode(picture.transpose(turn), quality=70))
        assert min(first - imagehash.hex_to_hash(h) for h in turned.hashes) <= 16

    def test_another_picture_is_far(self):
        first = imagehash.hex_to_hash(read(encode(textured(4))).hashes[0])
        other = read(encode(textured(5)))
        assert min(first - imagehash.hex_to_hash(h) for h in other.hashes) > 60


class TestSize:
    @pytest.mark.parametrize("form", ["JPEG", "PNG"])
    def test_a_very_large_photo_is_read_at_half_its_size(self, form):
        wide = REDUCE_ABOVE_PX + 200
        picture = textured(7, 600, 400).resize((wide, 400))
        photo = read(encode(picture, form))
        assert photo.stored_per_px == 2
        assert photo.rgb.shape == (200, wide // 2, 3)
        assert "read_reduced" in [n.key for n in photo.notices]

    @pytest.mark.slow
    def test_a_200_megapixel_photo_is_read_at_a_quarter(self):
        photo = read(encode(Image.new("RGB", (16320, 12240), (180, 120, 110)), quality=50))
        assert photo.stored_per_px == 4
        assert photo.rgb.shape == (3060, 4080, 3)

    def test_an_ordinary_photo_keeps_every_pixel(self):
        photo = read(encode(Image.new("RGB", (5712, 4284), (180, 120, 110)), quality=50))
        assert photo.stored_per_px == 1
        assert photo.rgb.shape == (4284, 5712, 3)


def png_claiming(width: int, height: int, *, rows: int = 0) -> bytes:
    """A 1-bit PNG of any claimed size, a few kilobytes long (ISO/IEC 15948)."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    pixels = zlib.compress(b"\0" * ((width + 7) // 8 + 1) * rows)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")
    )


def scan_bomb() -> bytes:
    """A progressive JPEG with thousands of empty refinement scans."""
    data = encode(textured(8), progressive=True)
    at = data.rindex(b"\xff\xda")
    length = struct.unpack(">H", data[at + 2 : at + 4])[0]
    return data[:-2] + (data[at : at + 2 + length] + b"\x55") * 3000 + b"\xff\xd9"


JPEG = encode(textured(9))
BAD = {
    "empty": (b"", "empty"),
    "one byte": (b"\xff", "not a photo"),
    "text named .jpg": (b"Dear vet,\nhere is the photo.\n" * 9, "text"),
    "markup": (b"<svg xmlns='http://www.w3.org/2000/svg'></svg>", "text"),
    "letters outside English": ("Müßige Grüße ".encode() * 99, "text"),
    "noise": (np.random.default_rng(1).bytes(5000), "not a photo"),
    "PDF": (b"%PDF-1.7\n" + b"x" * 500, "PDF"),
    "EPS": (
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 400 400\n" + b"showpage\n" * 30,
        "PostScript",
    ),
    "zip": (b"PK\x03\x04" + b"\0" * 200, "zip"),
    "film": (b"\0\0\0\x18ftypmp42" + b"\0" * 200, "film"),
    "GIF": (encode(textured(1), "GIF"), "GIF"),
    "TIFF": (encode(textured(1), "TIFF"), "TIFF"),
    "BMP": (encode(textured(1), "BMP"), "BMP"),
    "cut JPEG": (JPEG[: len(JPEG) // 2], "damaged"),
    "JPEG head only": (JPEG[:30], "damaged"),
    "cut PNG": (encode(textured(1), "PNG")[:9000], "damaged"),
    "cut WebP": (encode(textured(1), "WEBP")[:900], "damaged"),
    "cut AVIF": (encode(textured(1), "AVIF")[:900], "damaged"),
    "cut HEIC": ((REFERENCES / "turned.heic").read_bytes()[:1200], "damaged"),
    "1 x 1": (encode(Image.new("RGB", (1, 1)), "PNG"), "1 × 1"),
    "thumbnail": (encode(textured(1, 320, 240)), "320 × 240"),
    "900 megapixels": (png_claiming(30000, 30000, rows=9), "more pixels"),
    "400 megapixels": (png_claiming(20000, 20000, rows=9), "more pixels"),
    "144 megapixels as PNG": (png_claiming(12000, 12000, rows=9), "more pixels"),
    "huge JPEG head": (
        JPEG.replace(struct.pack(">HH", 480, 640), b"\xff\xdc\xff\xdc", 1),
        "more pixels",
    ),
    "too many bytes": (JPEG + b"\0" * MAX_BYTES, "larger than"),
    "scan bomb": (scan_bomb(), "damaged"),
}


class TestBadInput:
    @pytest.mark.parametrize("case", BAD)
    def test_it_is_refused_in_two_sentences(self, case):
        data, word = BAD[case]
        with pytest.raises(PhotoError) as refusal:
            read(data)
        assert word in refusal.value.what
        for sentence in (refusal.value.what, refusal.value.advice):
            assert sentence.endswith(".")
            assert 15 < len(sentence) < 120

    def test_a_photo_with_something_behind_it_is_the_photo(self):
        photo = read(JPEG + b"PK\x03\x04 film or archive" * 1000)
        np.testing.assert_array_equal(read(JPEG).rgb, photo.rgb)

    @pytest.mark.filterwarnings("ignore::UserWarning")
    @pytest.mark.parametrize("form", [*FORMATS, "HEIC"])
    def test_a_mutated_file_is_a_photo_or_is_refused(self, form):
        """60 random mutations of each format end in a picture or in PhotoError, never otherwise."""
        whole = (
            (REFERENCES / "turned.heic").read_bytes()
            if form == "HEIC"
            else encode(textured(10, 400, 320), form, exif=exif_with(details=TestDate.OFFSET))
        )
        rng = np.random.default_rng(20260601)
        for _ in range(60):
            data = bytearray(whole)
            for _ in range(rng.integers(1, 12)):
                at, length = int(rng.integers(len(data))), int(rng.integers(1, 40))
                data[at : at + length] = rng.bytes(int(rng.choice([0, length, 2 * length])))
            try:
                photo = read(bytes(data))
            except PhotoError:
                continue
            assert min(photo.rgb.shape[:2]) >= 300
