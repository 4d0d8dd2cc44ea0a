"""A look from nose to tail as it is kept, and what differs from the last one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from lesioncompare.registry.home_check import SIGNS, STATIONS, Sign, Station
from lesioncompare.terms import Level

USUAL, OTHER, SKIPPED = "usual", "other", "skipped"  # what can be said of a station
ADVICE = {Level.NOW: "ring_now", Level.SHOW: "show_soon", Level.WATCH: "look_again"}
CLAIMS_BY_URGENCY = ("ring_now", "ring_today", "show_soon", "look_again")
TODAY = CLAIMS_BY_URGENCY[:2]  # what does not wait for tomorrow


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
class Told:
    """One thing that differs: where, and the words for it ("" where nobody gave any)."""

    station: Station
    words: str


@dataclass(frozen=True, slots=True)
class Look:
    """A whole look: what was found by station."""

    found: Mapping[str, Found] = field(default_factory=dict)

    @property
    def asks(self) -> dict[str, list[Told]]:
        """What to do (the keys of claims, the most pressing first), and what each is about.

        What differs and was given no sign is for the vet today where waiting is dangerous.
        """
        told: dict[str, list[Told]] = {claim: [] for claim in CLAIMS_BY_URGENCY}
        for station in STATIONS.values():
            one = self.found.get(station.key, Found(USUAL))
            for sign in one.signs:
                told[ADVICE[SIGNS[sign].level]].append(Told(station, SIGNS[sign].words))
            if one.said == OTHER and not one.signs:
                told[station.unnamed].append(Told(station, one.words))
        return {claim: found for claim, found in told.items() if found}

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
