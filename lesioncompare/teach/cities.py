"""The cities that time zones are named after, with their coordinates.

From zone.tab of the IANA time zone database, which is in the public domain.
"""

import re
from functools import cache
from importlib.resources import files

_ISO_6709 = re.compile(r"([+-])(\d{2})(\d{2})\d{0,2}([+-])(\d{3})(\d{2})\d{0,2}")


@cache
def cities() -> dict[str, tuple[int, int]]:
    """Latitude and longitude of each zone's city in whole degrees, by zone, in order of name."""
    found = {}
    table = (files("tzdata") / "zoneinfo" / "zone.tab").read_text(encoding="ascii")
    for line in table.splitlines():
        if line and not line.startswith("#"):
            _, place, zone = line.split("\t")[:3]
            found[zone] = _degrees(place)
    return dict(sorted(found.items(), key=lambda pair: city_name(pair[0])))


def city_name(zone: str) -> str:
    """The city in a zone's name: "Buenos Aires" of "America/Argentina/Buenos_Aires"."""
    return zone.rsplit("/", 1)[-1].replace("_", " ")


def _degrees(place: str) -> tuple[int, int]:
    """Whole degrees of an ISO 6709 string such as +5230+01322."""
    match = _ISO_6709.fullmatch(place)
    if match is None:
        raise ValueError(f"not an ISO 6709 place: {place!r}")
    north, lat, lat_min, east, lon, lon_min = match.groups()
    latitude = int(f"{north}1") * (int(lat) + int(lat_min) / 60)
    longitude = int(f"{east}1") * (int(lon) + int(lon_min) / 60)
    return round(latitude), round(longitude)
