"""A look from nose to tail as it is kept, and what differs from the last one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from lesioncompare.registry.home_check import SIGNS, STATIONS, Sign
from lesioncompare.terms import Level

USUAL, OTHER, SKIPPED = "usual", "other", "skipped"  # what can be said of a station
URGENCY = (Level.WATCH, Level.SHOW, Level.NOW)


@dataclass(frozen=True, slots=True)
class Found:
    """What was said of one station: as usual, not looked at, or signs and words."""

    said: str
    signs: tuple[str, ...] = ()
    words: str = ""


@dataclass(frozen=True, slots=True)
class Difference:
    """How one station stands against the last time it was looked at."""

    station: str
    new: tuple[Sign, ...] = ()
    still: tuple[Sign, ...] = ()
    gone: tuple[Sign, ...] = ()


@dataclass(frozen=True, slots=True)
class Look:
    """A whole look: what was found by station."""

    found: Mapping[str, Found] = field(default_factory=dict)

    @property
    def signs(self) -> tuple[Sign, ...]:
        """Every sign found, the most pressing first."""
        keys = [key for one in self.found.values() for key in one.signs if key in SIGNS]
        return tuple(sorted((SIGNS[key] for key in keys), key=_pressing, reverse=True))

    def to_entries(self) -> dict[str, str]:
        """Plain words to be stored: "ears" -> "other", "ears.signs" -> keys, "ears.words"."""
        entries = {}
        for station, one in self.found.items():
            entries[station] = one.said
            if one.signs:
                entries[f"{station}.signs"] = ",".join(one.signs)
            if one.words:
                entries[f"{station}.words"] = one.words
        return entries


def from_entries(entries: Mapping[str, str]) -> Look:
    """The look that was stored as ``entries``; what this version does not know is left out."""
    found = {}
    for station in STATIONS:
        if station in entries:
            keys = entries.get(f"{station}.signs", "").split(",")
            signs = tuple(key for key in keys if key in SIGNS)
            words = entries.get(f"{station}.words", "")
            found[station] = Found(entries[station], signs, words)
    return Look(found)


def differences(look: Look, earlier: Sequence[Look]) -> list[Difference]:
    """What is new, still there or gone, by station, in the order of the look.

    A station is held against the last time it was looked at, however long ago; where that never
    happened, every sign is new. ``earlier`` is in order of time.
    """
    found = []
    for station, one in look.found.items():
        if one.said == SKIPPED:
            continue
        before = _last(earlier, station)
        was = set(before.signs) if before else set()
        difference = Difference(
            station,
            new=tuple(SIGNS[key] for key in one.signs if key not in was),
            still=tuple(SIGNS[key] for key in one.signs if key in was),
            gone=tuple(SIGNS[key] for key in sorted(was - set(one.signs))),
        )
        if difference.new or difference.still or difference.gone:
            found.append(difference)
    return found


def _last(earlier: Sequence[Look], station: str) -> Found | None:
    said = (look.found.get(station) for look in reversed(earlier))
    return next((one for one in said if one is not None and one.said != SKIPPED), None)


def _pressing(sign: Sign) -> int:
    return URGENCY.index(sign.level)
