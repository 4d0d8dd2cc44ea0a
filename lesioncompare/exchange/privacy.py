"""A copy of a photo that tells nothing but what it shows: no place, no camera, no names.

Only what is known to be harmless is kept; everything else goes, known or not.
"""

import io
import re
import struct
from collections.abc import Iterator

from PIL import Image, ImageOps

from lesioncompare.decode.colour import to_srgb
from lesioncompare.decode.opening import open_photo

# Markers of ITU-T T.81 table B.1
SOI, EOI, SOS, COMMENT = 0xD8, 0xD9, 0xDA, 0xFE
APPLICATION = range(0xE0, 0xF0)  # where metadata live
JFIF, ICC, ADOBE = (0xE0, b"JFIF\0"), (0xE2, b"ICC_PROFILE\0"), (0xEE, b"Adobe")  # how to show it
JFIF_BYTES = 14  # [B] of the JFIF segment before its thumbnail (ITU-T T.871, 10.1)
ORIENTATION = 0x0112  # JEITA CP-3451 4.6.4
QUALITY = 95  # of a JPEG made from another lossy format; moves a pixel by about one level
_NEXT_MARKER = re.compile(rb"\xff[^\x00\xff\xd0-\xd7]")  # not a stuffed byte, not a restart


class _UnlikeJpegError(ValueError):
    """The file is not put together as ITU-T T.81 says."""


def private_copy(data: bytes) -> tuple[bytes, str]:
    """The photo without its metadata, and the file suffix that fits it.

    A JPEG keeps every compressed byte of its picture, its colour profile and its orientation. A PNG
    keeps its pixels, and all other formats become a JPEG of high quality; both upright, in sRGB.

    Parameters
    ----------
    data
        A photo that can be decoded.

    Returns
    -------
    tuple[bytes, str]
        The copy, and ".jpg" or ".png".

    Raises
    ------
    PhotoError
        When the bytes are not a photo.

    References
    ----------
    .. [1] ITU-T T.81 (JPEG), annex B; ITU-T T.871 (JFIF); ICC.1:2022 annex B.4.
    """
    if data[:2] == b"\xff\xd8":
        try:
            return _strip(data), ".jpg"
        except _UnlikeJpegError:
            pass
    picture, _ = open_photo(data, whole=True)
    suffix = ".png" if picture.format == "PNG" else ".jpg"
    return _encoded_anew(picture, suffix), suffix


def _encoded_anew(picture: Image.Image, suffix: str) -> bytes:
    colours, _ = to_srgb(_upright(picture))
    colours.info.clear()
    buffer = io.BytesIO()
    if suffix == ".png":
        colours.save(buffer, "PNG")
    else:
        colours.save(buffer, "JPEG", quality=QUALITY, subsampling=0)
    return buffer.getvalue()


def _upright(picture: Image.Image) -> Image.Image:
    try:
        return ImageOps.exif_transpose(picture)
    except Exception:  # noqa: BLE001  the reader raises anything at all on damaged data
        return picture


def _strip(data: bytes) -> bytes:
    """The first picture of a JPEG file with what is needed to show it."""
    kept = [b"\xff\xd8", _orientation(data)]
    kept += [part for marker, part in _segments(data) if marker not in APPLICATION or part]
    return b"".join([*kept, b"\xff\xd9"])


def _segments(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Marker and what is kept of each segment, a scan with its coded data, up to the end."""
    at = 2
    while True:
        while data[at : at + 2] == b"\xff\xff":  # fill bytes, T.81 B.1.1.2
            at += 1
        if len(data) < at + 2 or data[at] != 0xFF:
            raise _UnlikeJpegError
        marker = data[at + 1]
        if marker == EOI:
            return
        end = _end_of(data, at)
        segment = data[at:end]
        at = end
        if marker == SOS:
            found = _NEXT_MARKER.search(data, end)
            if found is None:
                raise _UnlikeJpegError
            at = found.start()
            segment += data[end:at]
        yield marker, _kept(marker, segment)


def _end_of(data: bytes, at: int) -> int:
    """Where the segment at a marker ends, by its stated length."""
    if len(data) < at + 4:
        raise _UnlikeJpegError
    length = int(struct.unpack(">H", data[at + 2 : at + 4])[0])
    if length < 2 or at + 2 + length > len(data):
        raise _UnlikeJpegError
    return at + 2 + length


def _kept(marker: int, segment: bytes) -> bytes:
    """The segment as it may leave: whole, without its thumbnail, or not at all."""
    if marker == JFIF[0] and segment[4:].startswith(JFIF[1]):
        return b"\xff\xe0\0\x10" + segment[4 : 4 + JFIF_BYTES - 2] + b"\0\0"
    shows = any(marker == sign[0] and segment[4:].startswith(sign[1]) for sign in (ICC, ADOBE))
    return segment if shows or (marker not in APPLICATION and marker != COMMENT) else b""


def _orientation(data: bytes) -> bytes:
    """An EXIF segment that holds nothing but the orientation, or nothing if it is upright."""
    try:
        with Image.open(io.BytesIO(data), formats=("JPEG",)) as picture:
            value = picture.getexif().get(ORIENTATION, 1)
    except Exception:  # noqa: BLE001  the reader raises anything at all on damaged data
        return b""
    if value not in range(2, 9):
        return b""
    entry = struct.pack("<HHIHH", ORIENTATION, 3, 1, value, 0)
    body = b"Exif\0\0II*\0\x08\0\0\0\x01\0" + entry + b"\0\0\0\0"
    return b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body
