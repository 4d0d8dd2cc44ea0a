"""Where the sun stands and how strong it can be: clear sky, for a coarse place and a moment.

References
----------
[1] The Astronomical Almanac, low-precision formulas for the Sun (0.01 degrees, 1950 to 2050);
    coefficients from memory, checked against NREL's SPA and pvlib in the tests.
[2] Madronich S (2007) Analytic formula for the clear-sky UV index. Photochem Photobiol
    83:1537-1538. doi:10.1111/j.1751-1097.2007.00200.x
[3] WHO, WMO, UNEP, ICNIRP (2002) Global Solar UV Index: A Practical Guide.
[4] COST-713 Action (2000) UV-Index for the Public, section 4: effect of altitude.
"""

from datetime import UTC, datetime
from math import floor

import numpy as np
from numpy.typing import NDArray

J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)
ERYTHEMAL_PER_INDEX = 0.025  # [W/m²] one unit of the UV index [3]
ALTITUDE_GAIN = 0.08  # [1/km] more UV with height [4]; others quote up to 0.2
OZONE_DU = 300.0  # [DU] global mean column, the reference of [2]
PROTECT_FROM = 3.0  # [UV index] protection is advised from here [3]
SED = 100.0  # [J/m²] one standard erythema dose, CIE S 007


def sun_elevation(
    days: NDArray[np.float64] | float, latitude_deg: float, longitude_deg: float
) -> NDArray[np.float64]:
    """Height of the sun's middle above the horizon, without refraction [deg].

    Parameters
    ----------
    days
        Days since 2000-01-01 12:00 UTC (see ``days_since_2000``), any shape [days].
    latitude_deg, longitude_deg
        Place, north and east positive [deg].

    Notes
    -----
    Low-precision almanac formulas [1]: about 0.01 degrees between 1950 and 2050.
    """
    n = np.asarray(days, float)
    mean_longitude = 280.460 + 0.9856474 * n
    anomaly = np.radians(357.528 + 0.9856003 * n)
    ecliptic = np.radians(mean_longitude + 1.915 * np.sin(anomaly) + 0.020 * np.sin(2 * anomaly))
    obliquity = np.radians(23.439 - 4e-7 * n)
    declination = np.arcsin(np.sin(obliquity) * np.sin(ecliptic))
    ascension = np.arctan2(np.cos(obliquity) * np.sin(ecliptic), np.cos(ecliptic))
    sidereal = np.radians(280.46061837 + 360.98564736629 * n + longitude_deg)
    hour_angle, latitude = sidereal - ascension, np.radians(latitude_deg)
    sine = np.sin(latitude) * np.sin(declination)
    sine += np.cos(latitude) * np.cos(declination) * np.cos(hour_angle)
    return np.asarray(np.degrees(np.arcsin(np.clip(sine, -1, 1))))


def days_since_2000(moment: datetime) -> float:
    """Days since 2000-01-01 12:00 UTC of a moment with a time zone [days].

    Raises
    ------
    ValueError
        When the moment has no time zone.
    """
    if moment.tzinfo is None:
        raise ValueError("moment must have a time zone")
    return (moment - J2000).total_seconds() / 86400


def uv_index(
    elevation_deg: NDArray[np.float64] | float,
    *,
    ozone_du: float = OZONE_DU,
    altitude_m: float = 0.0,
) -> NDArray[np.float64]:
    """UV index under a clear, clean sky over dark ground [1]; 0 when the sun is down.

    12.5 µ^2.42 (ozone / 300)^-1.23 with µ the sine of the sun's elevation [2], raised by 8 % a
    kilometre of altitude. An upper estimate: cloud and haze lower it, snow and water raise it.
    """
    mu = np.clip(np.sin(np.radians(np.asarray(elevation_deg, float))), 0, None)
    gain = 1 + ALTITUDE_GAIN * altitude_m / 1000
    return np.asarray(12.5 * mu**2.42 * (ozone_du / 300) ** -1.23 * gain)


def erythemal_dose(index: NDArray[np.float64], step_minutes: float) -> float:
    """Erythemally weighted dose of evenly spaced UV indices [J/m²]; 100 J/m² are one SED."""
    return float(np.sum(index) * ERYTHEMAL_PER_INDEX * step_minutes * 60)


def reported(index: float) -> int:
    """A UV index as it is reported: a whole number, halves rounded up [3]."""
    return floor(index + 0.5)


def category(index: float) -> str:
    """The WHO word for a UV index as reported [3]."""
    for least, word in ((11, "extreme"), (8, "very high"), (6, "high"), (3, "moderate")):
        if reported(index) >= least:
            return word
    return "low"
