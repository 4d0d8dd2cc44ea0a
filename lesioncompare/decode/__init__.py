"""A photo from a phone, upright and in sRGB, with when it was taken and what it looks like."""

import hashlib
from collections.abc import Callable
from datetime import datetime

import cv2
import imagehash
import numpy as np
from PIL import Image

from lesioncompare.decode.colour import to_srgb
from lesioncompare.decode.dates import capture_time
from lesioncompare.decode.lens import focal_diagonals
from lesioncompare.decode.opening import open_photo, reduction
from lesioncompare.records import Notice, Photo, RgbImage
from lesioncompare.registry import notice

ORIENTATION = 0x0112  # JEITA CP-3451 4.6.4
HASH_SIZE = 16  # rows and columns of the 256-bit hash
THUMBNAIL_PX = 512  # [px] longest side the hash is taken from
HASHED_PX = 4 * HASH_SIZE  # [px] square that the hash transforms
UPRIGHT: dict[object, Callable[[RgbImage], RgbImage]] = {
    2: lambda rgb: cv2.flip(rgb, 1),
    3: lambda rgb: cv2.rotate(rgb, cv2.ROTATE_180),
    4: lambda rgb: cv2.flip(rgb, 0),
    5: cv2.transpose,
    6: lambda rgb: cv2.rotate(rgb, cv2.ROTATE_90_CLOCKWISE),
    7: lambda rgb: cv2.flip(cv2.transpose(rgb), -1),
    8: lambda rgb: cv2.rotate(rgb, cv2.ROTATE_90_COUNTERCLOCKWISE),
}
_T = Image.Transpose
TURNS = (
    *(_T.ROTATE_90, _T.ROTATE_180, _T.ROTATE_270, _T.FLIP_LEFT_RIGHT, _T.FLIP_TOP_BOTTOM),
    *(_T.TRANSPOSE, _T.TRANSVERSE),
)


def decode(data: bytes, *, name: str, now: datetime) -> Photo:
    """The photo in a file: upright, sRGB, dated, with its perceptual hashes.

    JPEG, PNG, WebP, HEIC and AVIF are read. A side over 5800 px is read at a half, a quarter or
    an eighth; ``stored_per_px`` then says so. Place and camera are not taken over.

    Parameters
    ----------
    data
        The bytes of the file.
    name
        File name, for display only.
    now
        The present: a capture time well after it is not believed.

    Raises
    ------
    PhotoError
        When the file is not a photo, is damaged, or is beyond the limits.

    References
    ----------
    .. [1] JEITA CP-3451 (EXIF): orientation, capture time.
    .. [2] ICC.1:2022: colour profiles.
    """
    picture, drafted = open_photo(data)
    orientation, taken, basis, focal = _facts(picture, now)
    left = reduction(picture)
    colours, notices = to_srgb(picture, left)
    rgb = _upright(np.asarray(colours), orientation)
    return Photo(
        name=name,
        sha256=hashlib.sha256(data).hexdigest(),
        rgb=rgb,
        taken=taken,
        taken_basis=basis,
        hashes=_hashes(rgb),
        stored_per_px=float(drafted * left),
        notices=(*notices, *_remarks(basis, drafted * left)),
        focal_px=None if focal is None else focal * float(np.hypot(*rgb.shape[:2])),
    )


def _facts(picture: Image.Image, now: datetime) -> tuple[int, datetime | None, str, float | None]:
    """Orientation, capture time and its basis, focal length; damaged EXIF data count as none."""
    try:
        exif = picture.getexif()
        focal = focal_diagonals(exif, picture.size)
        return exif.get(ORIENTATION, 1), *capture_time(exif, now), focal
    except Exception:  # noqa: BLE001  the reader raises anything at all on damaged data
        return 1, None, "none", None


def _upright(rgb: RgbImage, orientation: object) -> RgbImage:
    """The picture turned and mirrored as its EXIF orientation asks."""
    turn = UPRIGHT.get(orientation)
    return rgb if turn is None else turn(rgb)


def _hashes(rgb: RgbImage) -> tuple[str, ...]:
    """Perceptual hashes, 64 hex digits each, of the picture as it is and in its 7 other turns."""
    step = max(rgb.shape[:2]) // (4 * THUMBNAIL_PX) + 1  # every other pixel shows as much
    sides = [-(-side // step) for side in rgb.shape[1::-1]]
    some = cv2.cvtColor(cv2.resize(rgb, sides, interpolation=cv2.INTER_NEAREST), cv2.COLOR_RGB2GRAY)
    size = [max(1, round(side * THUMBNAIL_PX / max(sides))) for side in sides]
    small = Image.fromarray(cv2.resize(some, size, interpolation=cv2.INTER_AREA))
    square = small.resize((HASHED_PX, HASHED_PX), Image.Resampling.LANCZOS)  # as the hash would
    views = (square, *(square.transpose(turn) for turn in TURNS))
    return tuple(str(imagehash.phash(view, hash_size=HASH_SIZE)) for view in views)


def _remarks(basis: str, step: int) -> list[Notice]:
    said = []
    if basis == "none":
        said.append(notice("no_date"))
    elif basis == "not believed":
        said.append(notice("date_not_believed"))
    if step > 1:
        said.append(notice("read_reduced", step=step))
    return said
