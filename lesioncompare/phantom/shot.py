"""How one photograph is taken: camera, light, sticker, and what goes wrong."""

from dataclasses import dataclass, field
from datetime import datetime

from lesioncompare.design import SIZES_MM


@dataclass(frozen=True, slots=True)
class Lamp:
    """The light of one photograph.

    ``brightness`` is the camera's linear value of a white sheet lying in the spot's plane, 1 being
    the sensor's limit. ``kelvin`` is the colour temperature left after the camera's white balance
    (6500 is neutral). The key light comes from ``azimuth_deg`` (0 from the right of the picture, 90
    from below) and ``height_deg`` above the skin; ``ambient`` is the share of light from all
    around. ``gradient`` is the relative change of light across the picture's width, towards
    ``gradient_deg``. ``shadow`` is the depth of a soft shadow that crosses the picture.
    """

    brightness: float = 0.78
    kelvin: float = 6500.0
    azimuth_deg: float = 235.0
    height_deg: float = 52.0
    ambient: float = 0.55
    gradient: float = 0.1
    gradient_deg: float = 200.0
    shadow: float = 0.0


@dataclass(frozen=True, slots=True)
class Shot:
    """One photograph; ``seed`` lays hair, whiskers, sticker, shadow, stretch and noise anew.

    ``px_per_mm`` is the scale at the spot across the line of sight. The camera leans by
    ``tilt_deg`` off the normal of the skin at the first spot, towards ``tilt_azimuth_deg`` (0 to
    the skin's right), and is turned by ``roll_deg``. ``distance_mm`` from the spot is drawn at
    random if None. The sticker's plane runs ``sticker_height_mm`` above (+) or below (-) the plane
    that touches the skin at the spot, and is tilted by ``sticker_tilt_deg``. ``sticker_gap_mm`` is
    the bare gap between spot and sticker (None: drawn from 3 to 12). ``stretch_mm`` is the largest
    displacement of skin within 10 mm of the spot. ``hair`` scales the loose hair over bare skin;
    ``whiskers`` is how many cross the picture (None: as many as the site usually has).
    ``blur_px`` is a Gaussian's sigma; ``motion_px`` the length of a shake. ``noise`` scales shot
    and read noise of a small sensor. ``curve`` blends in a phone's S-shaped tone curve.
    """

    seed: int = 1
    width_px: int = 2000
    height_px: int = 1500
    px_per_mm: float = 28.0
    tilt_deg: float = 8.0
    tilt_azimuth_deg: float = 90.0
    roll_deg: float = 0.0
    distance_mm: float | None = None
    sticker_id: int | None = 14
    sticker_height_mm: float = 0.0
    sticker_tilt_deg: float = 0.0
    sticker_gap_mm: float | None = None
    sticker_cut: float = 0.0  # [1] share of the sticker's side that is cut off
    second_sticker_id: int | None = None
    stretch_mm: float = 0.0
    lamp: Lamp = field(default_factory=Lamp)
    hair: float = 1.0
    whiskers: int | None = None
    blur_px: float = 0.8
    motion_px: float = 0.0
    glare: float = 0.0  # [1] strength of a washed-out patch near the spot
    noise: float = 1.0
    curve: float = 0.0
    jpeg_quality: int = 90
    taken: datetime | None = None

    def __post_init__(self) -> None:
        for sticker_id in (self.sticker_id, self.second_sticker_id):
            if sticker_id is not None and sticker_id not in SIZES_MM:
                raise ValueError(f"sticker_id must be one of {tuple(SIZES_MM)}")
        if not 0 <= self.tilt_deg < 70:
            raise ValueError("tilt_deg must lie in 0 to 70")
        if min(self.width_px, self.height_px) < 64 or self.px_per_mm <= 0:
            raise ValueError("the picture must be at least 64 px a side, px_per_mm positive")
