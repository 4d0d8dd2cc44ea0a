"""The plain round dot in a photo."""

from lesioncompare.errors import StickerError
from lesioncompare.records import RgbImage, Sticker


def locate_dot(rgb: RgbImage, diameter_mm: float, near_px: tuple[float, float] | None) -> Sticker:
    """Soon."""
    raise StickerError("No round dot was found.", "Use the printed sticker.")
