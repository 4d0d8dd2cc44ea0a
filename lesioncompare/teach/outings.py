"""What moving or shortening a cat's outings does to its share of the day's sun."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import time

import numpy as np

from lesioncompare.errors import SettingsError
from lesioncompare.teach.day import Mask, SunDay

DAY_MIN = 24 * 60
SHIFTS_H = (-4, -3, -2, -1, 1, 2, 3, 4)  # [h] an outing is tried that much earlier or later
AWAKE_MIN = (5 * 60, 23 * 60)  # [min] no outing is moved beyond; common practice, no source


@dataclass(frozen=True, slots=True)
class Outing:
    """A stay outdoors on one day, from one time of the clock to a later one."""

    start: time
    end: time

    def __post_init__(self) -> None:
        if self.start_min >= self.end_min:
            raise SettingsError(
                f"An outing from {self.start:%H:%M} to {self.end:%H:%M} has no length.",
                "Give a later end; one that runs past midnight is two outings.",
            )

    @property
    def start_min(self) -> int:
        """Minutes after midnight."""
        return 60 * self.start.hour + self.start.minute

    @property
    def end_min(self) -> int:
        """Minutes after midnight; an end at 0:00 is the end of the day."""
        return 60 * self.end.hour + self.end.minute or DAY_MIN

    def moved(self, minutes: int) -> "Outing | None":
        """The same outing earlier or later; None where that leaves the waking day."""
        start, end = self.start_min + minutes, self.end_min + minutes
        if start < min(AWAKE_MIN[0], self.start_min) or end > max(AWAKE_MIN[1], self.end_min):
            return None
        return Outing(_clock(start), _clock(end))


@dataclass(frozen=True, slots=True)
class Choice:
    """A way to change an outing, and the share of the day's dose that all outings then take [1].

    ``what`` is "moved" by ``hours``, or "first half" or "second half": the half that is kept.
    """

    what: str
    hours: float
    outing: Outing
    share: float


def share_of(day: SunDay, outings: Sequence[Outing]) -> float:
    """Share of the day's clear-sky erythemal dose that falls into some outings [1]."""
    return day.share(_outdoors(day, outings))


def choices(day: SunDay, outings: Sequence[Outing], which: int) -> list[Choice]:
    """What could be done about one of the outings, the smallest share first.

    Parameters
    ----------
    day
        The sun of the day.
    outings
        All outings of the day; those that overlap count once.
    which
        Index of the one that is changed.
    """
    one = outings[which]
    others = [*outings[:which], *outings[which + 1 :]]
    found = []
    for hours in SHIFTS_H:
        moved = one.moved(60 * hours)
        if moved is not None:
            found.append(Choice("moved", hours, moved, share_of(day, [*others, moved])))
    middle = (one.start_min + one.end_min) // 2
    if one.start_min < middle:
        halves = {
            "first half": Outing(one.start, _clock(middle)),
            "second half": Outing(_clock(middle), one.end),
        }
        found += [Choice(w, 0.0, o, share_of(day, [*others, o])) for w, o in halves.items()]
    return sorted(found, key=lambda choice: choice.share)


def parse_outing(text: str) -> Outing:
    """An outing from words such as "11:30-13:00".

    Raises
    ------
    SettingsError
        When it is not two times.
    """
    try:
        start, end = (time.fromisoformat(_padded(word)) for word in text.split("-"))
    except ValueError as cause:
        raise SettingsError(
            f"“{text}” is not an outing.", "Write it as start-end, such as 11:30-13:00."
        ) from cause
    return Outing(start, end)


def _padded(word: str) -> str:
    """With two digits of hours, as ISO 8601 wants them; 24:00 is the end of the day."""
    hours, _, minutes = word.strip().partition(":")
    padded = f"{int(hours):02d}:{minutes or '00'}"
    return "00:00" if padded == "24:00" else padded


def _outdoors(day: SunDay, outings: Sequence[Outing]) -> Mask:
    where = np.zeros(len(day.index), bool)
    for outing in outings:
        where |= day.between(outing.start, outing.end)
    return where


def _clock(minutes: int) -> time:
    return time(minutes // 60 % 24, minutes % 60)
