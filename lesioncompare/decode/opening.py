"""Bytes to a picture in memory: only photo formats, only within limits, else two sentences."""

import io

import pi_heif
from PIL import Image

from lesioncompare.errors import PhotoError

# Anything else (EPS, GIF, TIFF, …) stays closed: that is where decoders have been attacked most.
FORMATS = ("JPEG", "PNG", "WEBP", "HEIF", "AVIF")
MAX_BYTES = 100_000_000  # [B] a 200-megapixel phone photo has 30 to 70 MB
MAX_PX = 220_000_000  # [px] the largest phone photos have 200 million
MAX_WHOLE_PX = 120_000_000  # [px] for what cannot be decoded at reduced size: 0.5 GB of memory
MIN_SIDE_PX = 300  # [px] a sticker and a spot beside it do not fit in less
REDUCE_ABOVE_PX = 5800  # [px] longest side read whole; a 24-megapixel photo has 5712
MAX_SCANS = 1000  # progressive files have about ten, and each costs a pass over the picture

Image.MAX_IMAGE_PIXELS = MAX_PX  # Pillow itself then refuses what claims more than twice this
pi_heif.register_heif_opener(thumbnails=False, aux_images=False, depth_images=False)

_OTHERS: tuple[tuple[bytes, int, str], ...] = (
    (b"%PDF", 0, "a PDF document"),
    (b"GIF8", 0, "a GIF picture"),
    (b"II*\0", 0, "a TIFF or raw camera file"),
    (b"MM\0*", 0, "a TIFF or raw camera file"),
    (b"BM", 0, "a BMP picture"),
    (b"%!", 0, "a PostScript file"),
    (b"\xc5\xd0\xd3\xc6", 0, "a PostScript file"),
    (b"PK", 0, "a zip or office file"),
    (b"ftypqt", 4, "a film"),
    (b"ftypmp4", 4, "a film"),
    (b"ftypisom", 4, "a film"),
)
_PHOTOS = ((b"\xff\xd8", 0), (b"\x89PNG", 0), (b"WEBP", 8), (b"ftyp", 4))


def open_photo(data: bytes, *, whole: bool = False) -> tuple[Image.Image, int]:
    """The picture as stored and loaded, and by what factor it was reduced while decoding.

    A very large JPEG is reduced unless it is wanted ``whole``.

    Raises
    ------
    PhotoError
        When the bytes are not a photo, are damaged, or are beyond the limits.
    """
    _refuse_bytes(data)
    try:
        picture = Image.open(io.BytesIO(data), formats=FORMATS)
        _refuse_picture(picture, data)
        step = reduction(picture) if _is_jpeg(picture) and not whole else 1
        if step > 1:
            picture.draft(None, (picture.width // step, picture.height // step))
        picture.load()
    except PhotoError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning, MemoryError) as cause:
        raise _too_many_pixels() from cause
    except Exception as cause:
        # Decoders raise anything at all on hostile bytes.
        raise _why_not(data) from cause
    return picture, step


def reduction(picture: Image.Image) -> int:
    """The power of two, 8 at most, that brings a very large picture to a size worth reading."""
    step = 1
    while max(picture.size) > REDUCE_ABOVE_PX * step and step < 8:
        step *= 2
    return step


def _is_jpeg(picture: Image.Image) -> bool:
    return picture.format in {"JPEG", "MPO"}  # MPO: a JPEG with a gain map or second view


def _refuse_bytes(data: bytes) -> None:
    if not data:
        raise PhotoError("The file is empty.", "Copy the photo from the phone again.")
    if len(data) > MAX_BYTES:
        raise PhotoError(
            f"The file is larger than {MAX_BYTES // 1_000_000} MB.",
            "Give the photo as the phone makes it, as JPEG or HEIC.",
        )


def _refuse_picture(picture: Image.Image, data: bytes) -> None:
    """Refuse by what the header says, before any pixel is decoded."""
    width, height = picture.size
    if width * height > (MAX_PX if _is_jpeg(picture) else MAX_WHOLE_PX):
        raise _too_many_pixels()
    if min(width, height) < MIN_SIDE_PX:
        raise PhotoError(
            f"The picture is only {width} × {height} pixels.",
            "Give the photo as the phone made it, not a thumbnail.",
        )
    if picture.info.get("progressive") and data.count(b"\xff\xda") > MAX_SCANS:
        raise _damaged()


def _too_many_pixels() -> PhotoError:
    return PhotoError(
        "The picture claims more pixels than a phone photo has.",
        "Give the photo as the phone made it, neither enlarged nor scanned.",
    )


def _damaged() -> PhotoError:
    return PhotoError(
        "The photo file is damaged or was cut short.",
        "Copy it from the phone again; if that does not help, take the photo again.",
    )


def _why_not(data: bytes) -> PhotoError:
    """What a file is that could not be opened as a photo."""

    def starts(sign: bytes, at: int) -> bool:
        return data[at : at + len(sign)] == sign

    advice = "Give a photo as the phone makes it: JPEG, HEIC, PNG, WebP or AVIF."
    for sign, at, kind in _OTHERS:
        if starts(sign, at):
            return PhotoError(f"The file is {kind}, not a photo that can be read here.", advice)
    if any(starts(sign, at) for sign, at in _PHOTOS):
        return _damaged()
    if _is_text(data[:1000]):
        return PhotoError("The file holds text, not a photo, whatever its name says.", advice)
    return PhotoError("The file is not a photo of a kind that can be read here.", advice)


def _is_text(start: bytes) -> bool:
    shown = start.decode("utf-8", "replace")
    odd = sum(not (sign.isprintable() or sign.isspace()) or sign == "\ufffd" for sign in shown)
    return odd <= 1  # one for a letter cut in half at the end
