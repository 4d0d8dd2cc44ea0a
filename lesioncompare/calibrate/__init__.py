"""From pixels to millimetres and steady colour, and the neighbourhood of a spot on a grid."""

from lesioncompare.calibrate.light import fit_light
from lesioncompare.calibrate.scale import plane_at
from lesioncompare.calibrate.scene import close_up, overview, take_scene
from lesioncompare.records import Calibration, Photo, Sticker
from lesioncompare.settings import Settings

__all__ = ["calibrate", "close_up", "overview", "take_scene"]


def calibrate(
    photo: Photo, sticker: Sticker, at_px: tuple[float, float], settings: Settings
) -> Calibration:
    """Scale, tilt and light of a photo, for a spot at ``at_px``.

    Parameters
    ----------
    photo
        The decoded photo.
    sticker
        Its located reference sticker.
    at_px
        Where the spot is [px].
    settings
        How well the printer and the keeper's hand are known.
    """
    plane = plane_at(photo, sticker, at_px, settings)
    return Calibration(
        px_to_mm=sticker.px_to_mm,
        mm_per_px=plane.mm_per_px,
        tilt_deg=plane.tilt_deg,
        scale_parts=plane.parts,
        light=fit_light(sticker.ladder),
    )
