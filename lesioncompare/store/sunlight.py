"""Where the cats live and when they are out. The place is kept in whole degrees, no finer."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from lesioncompare.store import tables
from lesioncompare.store.base import KEEPER, Desk, one_line


@dataclass(frozen=True, slots=True)
class KeptPlace:
    """Roughly where the cats of this store live: whole degrees, and an IANA time zone."""

    id: str
    latitude: float  # [deg] north positive
    longitude: float  # [deg] east positive
    zone: str
    altitude_m: float
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Outings:
    """When a cat usually is out: pairs of clock times such as ("11:30", "13:00")."""

    id: str
    cat_id: str
    spans: tuple[tuple[str, str], ...]
    who: str
    at: datetime

    def __post_init__(self) -> None:
        object.__setattr__(self, "spans", tuple((a, b) for a, b in self.spans))


@dataclass(frozen=True, slots=True)
class Places:
    """The one place that counts for this store; it is never handed over."""

    _desk: Desk

    def set(
        self,
        latitude: float,
        longitude: float,
        zone: str,
        *,
        altitude_m: float = 0.0,
        who: str = KEEPER,
    ) -> KeptPlace:
        """A new place, rounded to whole degrees [deg] and hundreds of metres [m]."""
        return self._desk.add(
            tables.place,
            KeptPlace,
            latitude=float(round(latitude)),
            longitude=float(round(longitude)),
            zone=one_line(zone, limit=60),
            altitude_m=float(round(altitude_m, -2)),
            who=one_line(who),
            at=self._desk.now(),
        )

    def latest(self) -> KeptPlace | None:
        """The place that counts; None before one was given."""
        return self._desk.latest(tables.place, KeptPlace)


@dataclass(frozen=True, slots=True)
class CatOutings:
    """When each cat usually is out."""

    _desk: Desk

    def set(self, cat_id: str, spans: Sequence[tuple[str, str]], *, who: str = KEEPER) -> Outings:
        """The usual outings from now on; an empty list for a cat that stays in."""
        return self._desk.add(
            tables.outing,
            Outings,
            cat_id=cat_id,
            spans=[list(span) for span in spans],
            who=one_line(who),
            at=self._desk.now(),
        )

    def of_cat(self, cat_id: str) -> Outings | None:
        """The outings that count; None before any were given."""
        return self._desk.latest(tables.outing, Outings, tables.outing.c.cat_id == cat_id)
