"""Whatever a file stores its colours as, to sRGB."""

import io

import numpy as np
from PIL import Image, ImageCms

from lesioncompare.errors import PhotoError
from lesioncompare.records import Notice
from lesioncompare.registry import notice

SRGB = ImageCms.createProfile("sRGB")
SPACES = {"RGB": "RGB", "L": "GRAY", "CMYK": "CMYK"}  # Pillow's mode: ICC.1:2022 colour space
SRGB_PRIMARIES = {1, 2}  # ITU-T H.273 table 2: BT.709 (those of sRGB), unspecified
SAME = 1  # [code values] a profile that moves no colour further than this is sRGB


def to_srgb(picture: Image.Image, step: int = 1) -> tuple[Image.Image, tuple[Notice, ...]]:
    """The picture as sRGB, ``step`` times smaller, and what is to be said about its colours.

    An ICC profile is followed with relative colorimetric intent: colours that sRGB cannot show are
    clipped, all others stay what they are. Where it cannot be followed the values are kept.

    Raises
    ------
    PhotoError
        For printing colours (CMYK) without a usable profile: nobody knows what they look like.
    """
    profile = picture.info.get("icc_profile")
    primaries = (picture.info.get("nclx_profile") or {}).get("color_primaries", 2)
    plain = _plain(picture)
    plain = plain.reduce(step) if step > 1 else plain
    notices = [notice("no_colour")] if plain.mode == "L" else []
    if plain.mode == "CMYK":
        notices.append(notice("printing_colours"))
    followed = _follow(plain, profile) if profile else None
    if followed is not None:
        return followed, tuple(notices)
    if plain.mode == "CMYK":
        raise PhotoError(
            "The picture is stored in printing colours (CMYK) that do not say how they look.",
            "Give the photo as the phone made it, or save it as an ordinary RGB JPEG.",
        )
    if profile or primaries not in SRGB_PRIMARIES:
        notices.append(notice("colours_unsure"))
    # Pillow copies even what is RGB already
    return plain if plain.mode == "RGB" else plain.convert("RGB"), tuple(notices)


def _plain(picture: Image.Image) -> Image.Image:
    """The picture in one of three modes (RGB, L, CMYK), what is see-through on white."""
    if picture.mode in SPACES and "transparency" not in picture.info:
        return picture
    if picture.mode.startswith("I"):  # 16-bit grey
        return Image.fromarray((np.asarray(picture) >> 8).astype(np.uint8))
    grey = picture.mode in {"1", "L", "LA"}
    layered = picture.convert("RGBA")
    if layered.getchannel("A").getextrema() == (255, 255):
        flat = layered.convert("RGB")
    else:
        flat = Image.new("RGBA", layered.size, (255, 255, 255, 255))
        flat.alpha_composite(layered)
    return flat.convert("L" if grey else "RGB")


def _follow(picture: Image.Image, profile: bytes) -> Image.Image | None:
    """The picture through its profile, or None where that is not possible."""
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        if source.profile.xcolor_space.strip() != SPACES[picture.mode]:
            return None
        intent = ImageCms.Intent.RELATIVE_COLORIMETRIC
        way = ImageCms.buildTransform(source, SRGB, picture.mode, "RGB", renderingIntent=intent)
        if picture.mode == "RGB" and _changes_nothing(way):
            return picture
        return ImageCms.applyTransform(picture, way)
    except (ImageCms.PyCMSError, OSError, ValueError):
        return None


def _changes_nothing(way: ImageCms.ImageCmsTransform) -> bool:
    """Whether colours all over the cube stay what they are: then a fifth of a second is saved."""
    steps = np.linspace(0, 255, 16).astype(np.uint8)
    cube = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(64, 64, 3)
    moved = np.asarray(ImageCms.applyTransform(Image.fromarray(cube), way))
    return bool(np.abs(moved.astype(int) - cube).max() <= SAME)
