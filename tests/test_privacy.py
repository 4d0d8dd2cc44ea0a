"""A photo that leaves shows what it shows and tells nothing else."""

import io
import json
import shutil
import struct
import subprocess
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms, PngImagePlugin

from lesioncompare.decode import decode
from lesioncompare.errors import PhotoError
from lesioncompare.exchange.privacy import private_copy

REFERENCES = Path(__file__).parent / "references"
NOW = datetime(2026, 6, 30, tzinfo=UTC)
ADDRESS = "Zarathustraweg 11"  # wherever it is put, it must not come out


def photo(width: int = 480, height: int = 400) -> Image.Image:
    rng = np.random.default_rng(3)
    coarse = rng.integers(20, 235, (height // 40, width // 40, 3)).astype(np.uint8)
    return Image.fromarray(coarse).resize((width, height), Image.Resampling.BICUBIC)


def telling_exif(orientation: int = 6) -> bytes:
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = ADDRESS  # maker
    exif.get_ifd(0x8769)[0x9286] = ADDRESS.encode()  # user comment
    exif[0x8825] = {1: "N", 2: (47.0, 11.0, 13.0), 3: "E", 4: (8.0, 37.0, 41.0)}
    return exif.tobytes()


def segment(marker: int, body: bytes) -> bytes:
    return bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body


def telling_jpeg(*, orientation: int = 6, **options) -> bytes:
    """A JPEG with place and name in every corner where they have been seen."""
    buffer = io.BytesIO()
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    photo().save(
        buffer, "JPEG", exif=telling_exif(orientation), icc_profile=srgb, comment=ADDRESS, **options
    )
    plain = buffer.getvalue()
    hidden = (
        segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0<x>" + ADDRESS.encode() + b"</x>")
        + segment(0xED, b"Photoshop 3.0\0" + ADDRESS.encode())
        + segment(0xE0, b"JFXX\0\x10" + ADDRESS.encode())
        + segment(0xE5, ADDRESS.encode())
        + segment(0xE2, b"MPF\0" + ADDRESS.encode())
        + b"\xff\xff"  # fill bytes before a marker are allowed
    )
    return plain[:2] + plain[2:20] + hidden + plain[20:] + b"film " + ADDRESS.encode()


def shown(data: bytes) -> np.ndarray:
    return decode(data, name="x", now=NOW).rgb


OPTIONS = {
    "baseline": {},
    "progressive": {"progressive": True},
    "restart markers": {"restart_marker_rows": 2},
    "full colour": {"subsampling": 0},
}


@pytest.mark.filterwarnings("ignore:.*malformed MPO")
class TestJpeg:
    @pytest.mark.parametrize("kind", OPTIONS)
    def test_no_pixel_changes(self, kind):
        data = telling_jpeg(**OPTIONS[kind])
        copy, suffix = private_copy(data)
        assert suffix == ".jpg"
        np.testing.assert_array_equal(shown(data), shown(copy))

    @pytest.mark.parametrize("kind", OPTIONS)
    def test_nothing_is_told(self, kind):
        copy, _ = private_copy(telling_jpeg(**OPTIONS[kind]))
        assert ADDRESS.encode() not in copy
        with Image.open(io.BytesIO(copy)) as picture:
            assert dict(picture.getexif()) == {0x0112: 6}
            assert not picture.getexif().get_ifd(0x8825)
            assert set(picture.info) <= {
                *("jfif", "jfif_version", "jfif_unit", "jfif_density", "dpi", "exif"),
                *("icc_profile", "progressive", "progression"),
            }

    @pytest.mark.parametrize("orientation", range(1, 9))
    def test_orientation_and_profile_stay(self, orientation):
        data = telling_jpeg(orientation=orientation)
        copy, _ = private_copy(data)
        with Image.open(io.BytesIO(data)) as before, Image.open(io.BytesIO(copy)) as after:
            assert after.getexif().get(0x0112, 1) == orientation
            assert after.info["icc_profile"] == before.info["icc_profile"]

    def test_a_copy_of_a_copy_is_the_same(self):
        copy, _ = private_copy(telling_jpeg())
        assert private_copy(copy) == (copy, ".jpg")

    def test_the_thumbnail_in_a_jfif_header_goes(self):
        """ITU-T T.871 10.1: bytes 14 and 15 of the segment are the thumbnail's width and height."""
        plain = io.BytesIO()
        photo().save(plain, "JPEG")
        data = plain.getvalue()
        seen = segment(0xE0, data[6:18] + b"\x01\x02" + b"abcdef")
        copy, _ = private_copy(data[:2] + seen + data[20:])
        assert copy == data

    def test_exiftool_sees_neither_place_nor_words(self, tmp_path):
        """An independent reader of metadata finds orientation, profile and structure only."""
        if shutil.which("exiftool") is None:
            pytest.skip("no second opinion: exiftool is missing (apt: libimage-exiftool-perl)")
        (tmp_path / "copy.jpg").write_bytes(private_copy(telling_jpeg())[0])
        command = ["exiftool", "-json", "-a", "-u", "-G1", str(tmp_path / "copy.jpg")]
        found = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)[0]
        groups = {name.split(":")[0] for name in found if ":" in name}
        assert {"JFIF", "IFD0", "System"} <= groups
        assert groups <= {
            *("ExifTool", "System", "File", "JFIF", "IFD0", "Composite"),
            *(g for g in groups if g.startswith("ICC")),
        }
        assert ADDRESS not in json.dumps(found)

    def test_what_does_not_follow_the_standard_is_encoded_anew(self):
        """A stray byte between two segments: decoders skip it, so it may not stop a hand-over."""
        buffer = io.BytesIO()
        photo().save(buffer, "JPEG", exif=telling_exif(1), comment=ADDRESS)
        data = buffer.getvalue()
        at = data.index(b"\xff\xdb")
        copy, suffix = private_copy(data[:at] + b"\x13\x37" + data[at:])
        assert suffix == ".jpg"
        assert ADDRESS.encode() not in copy
        assert np.abs(shown(copy).astype(int) - shown(data)).mean() < 1


class TestOtherFormats:
    def test_a_png_keeps_its_pixels_and_nothing_else(self):
        words = PngImagePlugin.PngInfo()
        words.add_text("Comment", ADDRESS)
        words.add_itxt("XML:com.adobe.xmp", f"<x>{ADDRESS}</x>")
        buffer = io.BytesIO()
        photo().save(buffer, "PNG", pnginfo=words, exif=telling_exif())
        copy, suffix = private_copy(buffer.getvalue())
        assert suffix == ".png"
        np.testing.assert_array_equal(shown(buffer.getvalue()), shown(copy))
        with Image.open(io.BytesIO(copy)) as picture:
            picture.load()
            assert picture.info == {}

    @pytest.mark.parametrize("form", ["WEBP", "AVIF"])
    def test_another_format_becomes_an_upright_jpeg(self, form):
        buffer = io.BytesIO()
        photo().save(buffer, form, exif=telling_exif(), quality=90)
        copy, suffix = private_copy(buffer.getvalue())
        assert suffix == ".jpg"
        assert ADDRESS.encode() not in copy
        difference = np.abs(shown(copy).astype(int) - shown(buffer.getvalue()))
        assert difference.mean() < 1.5  # [code values] what quality 95 costs
        with Image.open(io.BytesIO(copy)) as picture:
            assert not picture.getexif()

    def test_a_heic_becomes_an_upright_jpeg(self):
        data = (REFERENCES / "turned.heic").read_bytes()
        copy, suffix = private_copy(data)
        assert suffix == ".jpg"
        assert np.abs(shown(copy).astype(int) - shown(data)).mean() < 1.5

    def test_a_very_large_photo_keeps_its_size(self):
        buffer = io.BytesIO()
        photo(6400, 400).save(buffer, "PNG")
        copy, _ = private_copy(buffer.getvalue())
        with Image.open(io.BytesIO(copy)) as picture:
            assert picture.size == (6400, 400)

    def test_what_is_no_photo_is_refused(self):
        with pytest.raises(PhotoError):
            private_copy(b"\xff\xd8 and nothing after it")
