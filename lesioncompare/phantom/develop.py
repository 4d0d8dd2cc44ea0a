"""From linear light to a JPEG file: lens, sensor, tone curve, and the capture time.

References
----------
.. [1] EMVA Standard 1288 (release 4.0, 2021): noise variance grows linearly with light.
.. [2] CIPA DC-008 (Exif 2.32, 2019): DateTimeOriginal, OffsetTimeOriginal, FocalLengthIn35mmFilm.
"""

import io
from datetime import datetime
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image

from lesioncompare.phantom.fields import Field
from lesioncompare.phantom.shot import Shot
from lesioncompare.science.colour import linear_to_srgb

WELL = 6000.0  # [electrons] that fill a small pixel of a phone
READ = 0.0016  # [1] read noise against full scale
FILM_DIAGONAL_MM = 43.27  # [mm] of the 36 x 24 mm frame that focal lengths are compared on
LEVELS = 16384  # steps of the tone table


def through_lens(linear: Field, blur_px: float, motion_px: float, turn: float) -> Field:
    """The picture blurred by focus and by a shake along ``turn`` [rad]."""
    if motion_px > 0.5:
        size = 2 * int(np.ceil(motion_px / 2)) + 1
        kernel = np.zeros((size, size), np.float32)
        along = motion_px / 2 * np.array([np.cos(turn), np.sin(turn)])
        ends = np.round((np.stack([-along, along]) + size // 2) * 16).astype(np.int32)
        cv2.line(kernel, tuple(ends[0].tolist()), tuple(ends[1].tolist()), 1.0, 1, cv2.LINE_8, 4)
        linear = cv2.filter2D(linear, -1, kernel / kernel.sum())
    if blur_px > 0.05:
        linear = cv2.GaussianBlur(linear, (0, 0), blur_px)
    return linear


def out_of_focus(linear: Field, share: Field, blur_px: float) -> None:
    """Blur the picture in place as far as ``share`` (h, w), 0 to 1, says."""
    if blur_px < 0.3 or not share.any():
        return
    less = 4  # a blur this wide needs no finer sampling
    size = (linear.shape[1] // less, linear.shape[0] // less)
    small = cv2.resize(linear, size, interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(small, (0, 0), max(blur_px / less, 0.3))
    wide = cv2.resize(small, linear.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    for top in range(0, len(linear), 64):  # strips stay in the processor's cache
        strip = slice(top, top + 64)
        linear[strip] += (wide[strip] - linear[strip]) * share[strip, :, None]


def add_noise(linear: Field, rng: np.random.Generator, strength: float) -> None:
    """Add shot and read noise in place."""
    if not strength:
        return
    for top in range(0, len(linear), 64):  # strips stay in the processor's cache
        strip = linear[top : top + 64]
        sigma = np.sqrt(np.maximum(strip, 0) / np.float32(WELL) + np.float32(READ**2))
        strip += np.float32(strength) * sigma * rng.standard_normal(strip.shape, np.float32)


def _tone_table(curve: float) -> NDArray[np.uint8]:
    """Display code of linear light in ``LEVELS`` steps; ``curve`` is the share of an S-curve."""
    linear = np.arange(LEVELS) / (LEVELS - 1)
    code = linear_to_srgb(linear) / 255.0
    if not curve:
        return np.round(255 * code).astype(np.uint8)
    exact = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    bent = exact * exact * (3 - 2 * exact)
    return np.round(255 * (exact + curve * (bent - exact))).astype(np.uint8)


def encode_tone(linear: Field, curve: float) -> NDArray[np.uint8]:
    """Display codes of a linear picture."""
    table = _tone_table(curve)
    out = np.empty(linear.shape, np.uint8)
    for top in range(0, len(linear), 64):
        level = np.clip(linear[top : top + 64], 0, 1) * np.float32(LEVELS - 1) + np.float32(0.5)
        out[top : top + 64] = table[level.astype(np.uint16)]
    return out


def write_jpeg(codes: NDArray[np.uint8], shot: Shot, focal_px: float) -> bytes:
    """A JPEG file with capture time and focal length; it says that it is simulated."""
    exif = Image.Exif()
    exif[ExifTags.Base.ImageDescription] = "Simulated photograph of an invented animal"
    exif[ExifTags.Base.Software] = "lesioncompare phantom"
    ifd = exif.get_ifd(ExifTags.IFD.Exif)
    diagonal_px = float(np.hypot(shot.width_px, shot.height_px))
    ifd[ExifTags.Base.FocalLengthIn35mmFilm] = round(focal_px / diagonal_px * FILM_DIAGONAL_MM)
    if shot.taken is not None:
        _stamp(ifd, shot.taken)
    out = io.BytesIO()
    Image.fromarray(codes).save(out, "JPEG", quality=shot.jpeg_quality, exif=exif.tobytes())
    return out.getvalue()


def _stamp(ifd: dict[int, Any], taken: datetime) -> None:
    """Add the capture time and its offset from UTC."""
    ifd[ExifTags.Base.DateTimeOriginal] = taken.strftime("%Y:%m:%d %H:%M:%S")
    offset = taken.utcoffset()
    if offset is not None:
        minutes = round(offset.total_seconds() / 60)
        sign = "-" if minutes < 0 else "+"
        hours, minutes = divmod(abs(minutes), 60)
        ifd[ExifTags.Base.OffsetTimeOriginal] = f"{sign}{hours:02}:{minutes:02}"
