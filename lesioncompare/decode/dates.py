"""When a photo was taken, from its EXIF data, and on what that rests."""

import re
from collections.abc import Mapping
from datetime import datetime, timedelta, timezone
from typing import Any

from PIL import Image

# Tags of JEITA CP-3451 (EXIF 2.32), 4.6.5 and 4.6.6
EXIF_IFD, GPS_IFD = 0x8769, 0x8825
GPS_TIME, GPS_DATE = 7, 29
CLOCKS = (("original", 0x9003, 0x9011, 0x9291), ("digitized", 0x9004, 0x9012, 0x9292))

EARLIEST = datetime(2000, 1, 1)  # noqa: DTZ001  camera clock; before phones had cameras
AHEAD = timedelta(days=2)  # clocks at the two ends of the world differ by 26 h
QUARTER_S = 900  # [s] every time zone is a multiple of 15 min (IANA time zone database)
GPS_LAG_S = 120  # [s] a satellite time older than this says nothing; common practice, no source
MAX_OFFSET_H = 14  # [h] the furthest time zone (IANA time zone database)

_WHEN = re.compile(r"(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d):(\d\d)")
_OFFSET = re.compile(r"([+-])(\d\d):?(\d\d)$")


def capture_time(exif: Image.Exif, now: datetime) -> tuple[datetime | None, str]:
    """Capture time and its basis: ``none`` where the file has none, ``not believed`` where wrong.

    The time of original capture goes before the time of digitizing. Its offset from UTC is the
    stated one, else the one that the satellite clock implies, else it is a plain local time. The
    time of the last change to the file is never used.

    Parameters
    ----------
    exif
        EXIF data of the photo.
    now
        The present; a capture time well after it is not believed.
    """
    details, satellite = exif.get_ifd(EXIF_IFD), exif.get_ifd(GPS_IFD)
    basis = "none"
    for clock, when_tag, offset_tag, fraction_tag in CLOCKS:
        if not _text(details.get(when_tag)).strip("0: "):
            continue
        when = _moment(_text(details.get(when_tag)), _text(details.get(fraction_tag)))
        if when is None or not EARLIEST <= when <= now.replace(tzinfo=None) + AHEAD:
            basis = "not believed"
            continue
        zone = _stated(_text(details.get(offset_tag)))
        if zone is not None:
            return when.replace(tzinfo=zone), f"{clock} with offset"
        zone = _implied(when, satellite)
        if zone is not None:
            return when.replace(tzinfo=zone), f"{clock}, offset by satellite clock"
        return when, f"{clock}, local time"
    return None, basis


def _text(value: object) -> str:
    """A tag's value as text, whatever a camera or a vandal put there."""
    if value is None:
        return ""
    text = value.decode("ascii", "replace") if isinstance(value, bytes) else str(value)
    return text.strip("\0 ")


def _moment(text: str, fraction: str) -> datetime | None:
    match = _WHEN.match(text)
    if match is None:
        return None
    digits = fraction if fraction.isascii() and fraction.isdigit() else "0"
    year, month, day, hour, minute, second = (int(part) for part in match.groups())
    try:
        when = datetime(year, month, day, hour, minute, second)  # noqa: DTZ001  camera clock
    except ValueError:
        return None
    return when.replace(microsecond=int(digits[:6].ljust(6, "0")))


def _stated(text: str) -> timezone | None:
    match = _OFFSET.match(text)
    if match is None or int(match[2]) > MAX_OFFSET_H or int(match[3]) >= 60:
        return None
    offset = timedelta(hours=int(match[2]), minutes=int(match[3]))
    return timezone(-offset if match[1] == "-" else offset)


def _implied(when: datetime, satellite: Mapping[int, Any]) -> timezone | None:
    """The offset at which the camera clock agrees with the satellites' UTC clock."""
    try:
        year, month, day = (int(part) for part in _text(satellite[GPS_DATE]).split(":"))
        hour, minute, second = (float(part) for part in satellite[GPS_TIME])
        utc = datetime(year, month, day)  # noqa: DTZ001  compared with the camera clock
        utc += timedelta(hours=hour, minutes=minute, seconds=second)
        ahead_s = (when - utc).total_seconds()
    except (KeyError, TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    quarters = round(ahead_s / QUARTER_S)
    near = abs(ahead_s - quarters * QUARTER_S) <= GPS_LAG_S
    if not near or abs(quarters) > MAX_OFFSET_H * 4:
        return None
    return timezone(timedelta(seconds=quarters * QUARTER_S))
