"""Finds the reference sticker of a photo to a fraction of a pixel."""

from lesioncompare.errors import StickerError
from lesioncompare.locate.dot import locate_dot
from lesioncompare.locate.printed import locate_printed
from lesioncompare.records import Photo, Sticker, StickerHint
from lesioncompare.settings import Settings

__all__ = ["StickerError", "locate"]


def locate(photo: Photo, hint: StickerHint, settings: Settings) -> Sticker:
    """The reference sticker of the photo.

    Parameters
    ----------
    photo
        The decoded photo.
    hint
        Printed sticker, or a round dot of stated diameter.
    settings
        Says how large the printer printed.

    Returns
    -------
    Sticker
        Its true size and where it lies; for a printed one also its greys as seen.

    Raises
    ------
    StickerError
        When there is none, more than one, or it is not wholly in the picture.
    """
    if hint.diameter_mm is not None:
        near = None
        if hint.near_px is not None:
            near = (hint.near_px[0] / photo.stored_per_px, hint.near_px[1] / photo.stored_per_px)
        return locate_dot(photo.rgb, hint.diameter_mm, near)
    return locate_printed(photo.rgb, settings)
