"""One day's sun on the clock of a place, minute by minute."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import groupby, pairwise

import numpy as np
from numpy.typing import NDArray

from lesioncompare.science.sun import (
    PROTECT_FROM,
    days_since_2000,
    erythemal_dose,
    sun_elevation,
    uv_index,
)
from lesioncompare.teach.place import Place

SUNRISE_DEG = -0.833  # [deg] upper limb on the horizon with mean refraction, as almanacs define it
# [deg] above this a shadow is shorter than what casts it; the rule of Holloway L (1992) Shadow
# method for sun protection, Lancet 340:484 (from memory)
SHORT_SHADOW_DEG = 45.0
CUSTOM = (time(10), time(16))  # the customary hours to stay in; common practice, no source
MINUTE = timedelta(minutes=1)

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Span = tuple[datetime, datetime]


@dataclass(frozen=True, slots=True)
class Hour:
    """One hour of the clock: strongest UV index in it, and its share of the day's dose [1]."""

    start: datetime
    peak: float
    share: float


@dataclass(frozen=True, slots=True, eq=False)
class SunDay:
    """The sun from midnight to midnight on the clock of a place, clear sky.

    ``elevation_deg`` and ``index`` hold one value for the middle of each minute; ``wall_minute`` is
    what the clock showed then, in minutes after midnight. A day on which the clock is put back has
    1500 of them.
    """

    place: Place
    day: date
    starts: datetime
    elevation_deg: Array
    index: Array
    wall_minute: Array

    def local(self, minute: int) -> datetime:
        """The time on the clock so many minutes after the day began."""
        return (self.starts + minute * MINUTE).astimezone(self.place.clock())

    def spans(self, where: Mask) -> tuple[Span, ...]:
        """Stretches of the day in which something holds, as times on the clock."""
        edges = np.flatnonzero(np.diff(np.r_[False, where, False].astype(np.int8)))
        return tuple(
            (self.local(int(a)), self.local(int(b)))
            for a, b in zip(edges[::2], edges[1::2], strict=True)
        )

    @property
    def strong(self) -> tuple[Span, ...]:
        """When the UV index is 3 or more."""
        return self.spans(self.index >= PROTECT_FROM)

    @property
    def short_shadow(self) -> tuple[Span, ...]:
        """When a shadow is shorter than what casts it."""
        return self.spans(self.elevation_deg > SHORT_SHADOW_DEG)

    @property
    def daylight(self) -> tuple[Span, ...]:
        """When the sun is up."""
        return self.spans(self.elevation_deg > SUNRISE_DEG)

    @property
    def noon(self) -> datetime:
        """When the sun stands highest."""
        return self.local(int(self.elevation_deg.argmax()))

    @property
    def peak(self) -> float:
        """The strongest UV index of the day."""
        return float(self.index.max())

    @property
    def dose(self) -> float:
        """Erythemally weighted dose of the whole day on level ground [J/m²]."""
        return erythemal_dose(self.index, 1)

    def between(self, start: time, end: time) -> Mask:
        """The minutes at which the clock shows ``start`` or later, and less than ``end``.

        An ``end`` of midnight is the end of the day.
        """
        last = _minutes(end) or 24 * 60
        return (self.wall_minute >= _minutes(start)) & (self.wall_minute < last)

    def share(self, where: Mask) -> float:
        """Share of the day's dose that falls into some minutes [1]; 0 on a day without sun."""
        return float(self.index[where].sum() / self.index.sum()) if self.index.any() else 0.0

    def hours(self) -> Iterator[Hour]:
        """The hours of the clock in turn; one that comes twice when it is put back counts twice."""

        def named(minute: int) -> tuple[int, timedelta | None]:
            shown = self.local(minute)
            return shown.hour, shown.utcoffset()

        starts = [next(group) for _, group in groupby(range(len(self.index)), named)]
        for first, last in pairwise([*starts, len(self.index)]):
            here = np.zeros(len(self.index), bool)
            here[first:last] = True
            yield Hour(self.local(first), float(self.index[here].max()), self.share(here))


def sun_day(place: Place, day: date) -> SunDay:
    """The sun of one day at a place, from midnight to midnight on its clock.

    Parameters
    ----------
    place
        Where; its altitude and ozone count.
    day
        The calendar day there; polar day and night are no special case.
    """
    clock = place.clock()
    starts = datetime.combine(day, time(), clock).astimezone(UTC)
    ends = datetime.combine(day + timedelta(days=1), time(), clock).astimezone(UTC)
    count = round((ends - starts) / MINUTE)
    moments = days_since_2000(starts) + (np.arange(count) + 0.5) / 1440
    elevation = sun_elevation(moments, place.latitude_deg, place.longitude_deg)
    index = uv_index(elevation, ozone_du=place.ozone_on(day), altitude_m=place.altitude_m)
    shown = [(starts + m * MINUTE).astimezone(clock) for m in range(count)]
    wall = np.array([60 * t.hour + t.minute for t in shown], float)
    return SunDay(place, day, starts, elevation, index, wall)


def _minutes(clock: time) -> int:
    return 60 * clock.hour + clock.minute
