"""A coarse place on Earth with its clock."""

from dataclasses import dataclass
from datetime import date, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from lesioncompare.errors import SettingsError
from lesioncompare.science.ozone import usual_ozone

OZONE_RANGE_DU = (80.0, 650.0)  # [DU] lowest over Antarctica to highest ever seen, from memory
HIGHEST_M = 6000.0  # [m] people and cats live no higher; common practice, no source
LOWEST_M = -450.0  # [m] the shore of the Dead Sea


@dataclass(frozen=True, slots=True)
class Place:
    """Where the cat lives; one degree is near enough for the height of the sun.

    ``zone`` is an IANA name such as "Europe/Berlin"; without one the clock follows the sun by
    whole hours of longitude, without daylight saving. ``ozone_du`` None takes what is usual for
    the place and time of year.
    """

    latitude_deg: float
    longitude_deg: float
    zone: str = ""
    altitude_m: float = 0.0
    ozone_du: float | None = None

    def __post_init__(self) -> None:
        if not (-90 <= self.latitude_deg <= 90 and -180 <= self.longitude_deg <= 180):
            raise SettingsError(
                f"{self.latitude_deg:g}, {self.longitude_deg:g} is no place on Earth.",
                "Give the latitude from -90 to 90, north positive, then the longitude from -180 "
                "to 180, east positive.",
            )
        if not LOWEST_M <= self.altitude_m <= HIGHEST_M:
            raise SettingsError(
                f"{self.altitude_m:g} m is no altitude to live at.",
                f"Give metres above the sea from {LOWEST_M:.0f} to {HIGHEST_M:.0f}.",
            )
        low, high = OZONE_RANGE_DU
        if self.ozone_du is not None and not low <= self.ozone_du <= high:
            raise SettingsError(
                f"{self.ozone_du:g} Dobson units of ozone never happen.",
                f"Leave the ozone out, or give {low:g} to {high:g}; the mean of the Earth is 300.",
            )
        self.clock()

    def clock(self) -> tzinfo:
        """The time zone of the place.

        Raises
        ------
        SettingsError
            When the zone is not known.
        """
        if not self.zone:
            return timezone(timedelta(hours=round(self.longitude_deg / 15)))
        try:
            return ZoneInfo(self.zone)
        except (ZoneInfoNotFoundError, ValueError, OSError) as cause:
            raise SettingsError(
                f"“{self.zone}” is not a time zone we know.",
                "Write it like Europe/Berlin or America/New_York.",
            ) from cause

    def ozone_on(self, day: date) -> float:
        """The ozone column assumed for a day [DU]."""
        if self.ozone_du is not None:
            return self.ozone_du
        return usual_ozone(self.latitude_deg, day)
