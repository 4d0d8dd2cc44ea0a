"""A year's sun at a place: the UV index of every hour, and the days on which it matters."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

import numpy as np
from numpy.typing import NDArray

from lesioncompare.science.sun import PROTECT_FROM, days_since_2000, sun_elevation, uv_index
from lesioncompare.teach.place import Place

STEP_MIN = 10  # [min] between samples within an hour


@dataclass(frozen=True, slots=True, eq=False)
class SunYear:
    """``index`` (days, 24): strongest clear-sky UV index in each hour of the clock."""

    days: tuple[date, ...]
    index: NDArray[np.float64]

    @property
    def strong_days(self) -> tuple[date, ...]:
        """The days on which the UV index reaches 3."""
        return tuple(
            day for day, row in zip(self.days, self.index, strict=True) if row.max() >= PROTECT_FROM
        )


def sun_year(place: Place, year: int, *, every_days: int = 7) -> SunYear:
    """The UV index of every hour of the clock, on one day in ``every_days`` from 1 January on.

    An hour that the clock leaves out takes the value of the hour before; one that comes twice
    takes the larger.
    """
    clock = place.clock()
    first = date(year, 1, 1)
    days = tuple(
        day for n in range(0, 366, every_days) if (day := first + timedelta(days=n)).year == year
    )
    table = np.zeros((len(days), 24))
    for row, day in zip(table, days, strict=True):
        starts = datetime.combine(day, time(), clock).astimezone(UTC)
        ends = datetime.combine(day + timedelta(days=1), time(), clock).astimezone(UTC)
        steps = round((ends - starts) / timedelta(minutes=STEP_MIN))
        moments = days_since_2000(starts) + (np.arange(steps) + 0.5) * STEP_MIN / 1440
        elevation = sun_elevation(moments, place.latitude_deg, place.longitude_deg)
        index = uv_index(elevation, ozone_du=place.ozone_on(day), altitude_m=place.altitude_m)
        hours = [
            (starts + n * timedelta(minutes=STEP_MIN)).astimezone(clock).hour for n in range(steps)
        ]
        np.maximum.at(row, hours, index)
        for hour in set(range(24)) - set(hours):
            row[hour] = row[hour - 1]
    return SunYear(days, table)
