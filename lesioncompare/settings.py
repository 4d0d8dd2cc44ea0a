"""The few choices a clinic may make, in one frozen object that is stored with every number."""

import hashlib
import json
from dataclasses import asdict, dataclass


@dataclass(frozen=True, slots=True)
class Settings:
    """Choices passed in explicitly; everything else is a constant beside the code that uses it."""

    printed_bar_mm: float = 100.0  # [mm] what the sheet's 100 mm check bar measures in truth
    print_tolerance: float = 0.003  # [1] relative; printer scale left after the bar was measured
    # [mm] sd of sticker above or below the plane of the spot: that of an even spread over ±5 mm
    plane_offset_mm: float = 2.9
    plane_tilt_deg: float = 4.0  # [deg] sd of the sticker's tilt against the skin

    @property
    def print_scale(self) -> float:
        """True millimetres for one nominal millimetre on this printer [1]."""
        return self.printed_bar_mm / 100.0

    def digest(self) -> str:
        """Short stable name of these settings (12 hex digits)."""
        return hashlib.sha256(json.dumps(asdict(self), sort_keys=True).encode()).hexdigest()[:12]
