"""Pictures for the screen: display copies, and photos laid over the first one."""

import hashlib
import struct
from dataclasses import dataclass, replace

import cv2
import numpy as np

from lesioncompare.decode import decode
from lesioncompare.records import Photo, Points, Reading, RgbImage
from lesioncompare.report.pictures import Window, aligned_picture, outline_in, window_round
from lesioncompare.science.plane import apply_homography
from lesioncompare.series.examine import circle_px
from lesioncompare.series.follow import Taken
from lesioncompare.store import KeptPhoto, Store

DISPLAY_SIDE_PX = 1600  # [px] longest side of a display copy
ALIGNED_SIDE_PX = 900  # [px]
CIRCLE_POINTS = 48  # [1]
ROOM = 2.2  # [1] width of the piece shown, over the width of what it shows
QUALITY = 88  # [%] of the JPEG
FORM = "2"  # of the pictures below; a new one makes them anew


@dataclass(frozen=True, slots=True)
class Display:
    """A display copy (JPEG) of a photo of ``width`` by ``height`` upright original pixels."""

    id: str
    jpeg: bytes
    width: float
    height: float


@dataclass(frozen=True, slots=True, eq=False)
class Aligned:
    """A photo laid over the first one: a square JPEG, and the border drawn on it [px]."""

    jpeg: bytes
    outline: Points | None
    side_px: int
    mm_per_px: float


def display_copy(store: Store, photo: KeptPhoto) -> Display:
    """The upright photo, small enough for a screen; no location data is in it."""
    kept = store.shelf.get(*_display_words(photo))
    if kept is None:
        decoded = decode(store.photos.data(photo.id), name=photo.name, now=store.now())
        kept = keep_display(store, photo, decoded)
    width, height = struct.unpack(">dd", kept[:16])
    return Display(f"{photo.sha256[:24]}", kept[16:], width, height)


def keep_display(store: Store, photo: KeptPhoto, decoded: Photo) -> bytes:
    """Make the display copy of a photo that is decoded already."""
    packed = _pack_display(decoded.rgb, decoded.stored_per_px)
    return store.shelf.put(packed, *_display_words(photo))


def _display_words(photo: KeptPhoto) -> tuple[str, ...]:
    return "display", FORM, photo.sha256, str(DISPLAY_SIDE_PX)


def _pack_display(rgb: RgbImage, stored_per_px: float) -> bytes:
    """A display copy with the size of the original in front of it."""
    height, width = rgb.shape[:2]
    shrink = min(1.0, DISPLAY_SIDE_PX / max(height, width))
    if shrink < 1.0:
        size = (round(width * shrink), round(height * shrink))
        rgb = cv2.resize(rgb, size, interpolation=cv2.INTER_AREA).astype(np.uint8)
    return struct.pack(">dd", width * stored_per_px, height * stored_per_px) + as_jpeg(rgb)


def as_jpeg(rgb: RgbImage) -> bytes:
    """A JPEG without any metadata."""
    bgr = cv2.cvtColor(rgb, cv2.COLOR_RGB2BGR)
    _, jpeg = cv2.imencode(".jpg", bgr, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
    return jpeg.tobytes()


def outline_px(reading: Reading) -> Points | None:
    """The border in upright original pixels, shape (n, 2) [px]."""
    if reading.outline is None or reading.sticker is None:
        return None
    to_px = np.linalg.inv(reading.sticker.px_to_mm)
    return apply_homography(to_px, reading.outline.contour) * reading.photo.stored_per_px


def start_px(reading: Reading) -> Points | None:
    """What a correction starts from [px]: the border, or the circle where there is none."""
    border, seed = outline_px(reading), circle_px(reading)
    if border is not None or seed is None:
        return border
    angle = np.linspace(0, 2 * np.pi, CIRCLE_POINTS, endpoint=False)
    ring = np.column_stack([np.cos(angle), np.sin(angle)])
    return np.array([seed.x, seed.y]) + seed.radius * ring


def around(points: Points, *, room: float = ROOM) -> tuple[float, float, float]:
    """Middle x, y and half the width of a piece that shows points with room beside them [px]."""
    low, high = points.min(axis=0), points.max(axis=0)
    x, y = (low + high) / 2
    return float(x), float(y), room * float((high - low).max()) / 2


def sticker_px(reading: Reading) -> Points | None:
    """The sticker's corners in upright original pixels, shape (4, 2) [px]."""
    if reading.sticker is None:
        return None
    return reading.sticker.corners_px * reading.photo.stored_per_px


def aligned(
    store: Store, taken: Taken, first: Taken, *, side_px: int = ALIGNED_SIDE_PX
) -> Aligned | None:
    """A photo in the frame of the first one; None when it could not be laid over it."""
    kept = aligned_if_kept(store, taken, first, side_px=side_px)
    if kept is not None:
        return kept
    jpeg = _smaller(store, taken, first, side_px)
    if jpeg is None:
        return None
    store.shelf.put(jpeg, *_aligned_words(taken, first, side_px))
    return _framed(jpeg, taken, first, side_px)


def aligned_if_kept(
    store: Store, taken: Taken, first: Taken, *, side_px: int = ALIGNED_SIDE_PX
) -> Aligned | None:
    """The same, if it was made before: at once, or None."""
    kept = store.shelf.get(*_aligned_words(taken, first, side_px))
    return None if kept is None else _framed(kept, taken, first, side_px)


def _aligned_words(taken: Taken, first: Taken, side_px: int) -> tuple[str, ...]:
    return "aligned", FORM, taken.photo.sha256, _placing(taken, first), str(side_px)


def _framed(jpeg: bytes, taken: Taken, first: Taken, side_px: int) -> Aligned:
    window = window_round(first.reading, side_px)
    return Aligned(jpeg, outline_in(taken.reading, window), side_px, window.mm_per_px)


def _placing(taken: Taken, first: Taken) -> str:
    """Everything but the photo itself that an aligned picture follows from."""
    reading, circle = taken.reading, first.reading.circle
    if reading.alignment is None or reading.calibration is None:
        return ""
    light = reading.calibration.light
    onto = reading.alignment
    arrays = (
        *(onto.to_first, onto.bend.at, onto.bend.by),
        *(reading.calibration.px_to_mm, light.gain, light.offset),
    )
    digest = hashlib.sha256(repr((circle, reading.calibration.mm_per_px)).encode())
    for array in arrays:
        digest.update(np.ascontiguousarray(array, float).tobytes())
    return digest.hexdigest()


def _smaller(store: Store, taken: Taken, first: Taken, side_px: int) -> bytes | None:
    """The picture at one size; smaller ones are made of the full one, which is dear to make."""
    if side_px < ALIGNED_SIDE_PX:
        full = aligned(store, taken, first)
        if full is None:
            return None
        shown = cv2.imdecode(np.frombuffer(full.jpeg, np.uint8), cv2.IMREAD_COLOR)
        small = cv2.resize(shown, (side_px, side_px), interpolation=cv2.INTER_AREA)
        return as_jpeg(cv2.cvtColor(small, cv2.COLOR_BGR2RGB).astype(np.uint8))
    picture = _laid_over(store, taken, window_round(first.reading, side_px))
    return None if picture is None else as_jpeg(picture)


def _laid_over(store: Store, taken: Taken, window: Window) -> RgbImage | None:
    if taken.reading.alignment is None or taken.reading.calibration is None:
        return None
    return aligned_picture(_with_picture(store, taken), window)


def _with_picture(store: Store, taken: Taken) -> Reading:
    """The reading with the pixels of its photo, which are not kept with the numbers."""
    data = store.photos.data(taken.photo.id)
    decoded = decode(data, name=taken.photo.name, now=store.now())
    return replace(taken.reading, photo=replace(taken.reading.photo, rgb=decoded.rgb))
