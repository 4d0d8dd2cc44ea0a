"""The stored numbers of a spot as a series, with the photos and visits they belong to."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import lru_cache

from lesioncompare.pipeline import follow_series
from lesioncompare.records import Reading, Series, Visit
from lesioncompare.series.examine import baseline_of
from lesioncompare.store import KeptPhoto, KeptVisit, Run, Store, reading_from_json

KEPT_IN_MEMORY = 32  # series; a few hundred kB each
_NEVER = datetime(1, 1, 1)  # noqa: DTZ001  clock time without zone sorts it first


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """One photo of a series: where it is kept, and what was read from it last."""

    visit: KeptVisit
    photo: KeptPhoto
    run: Run
    reading: Reading
    counts: bool  # it is used, and was laid over the present first photo


@dataclass(frozen=True, slots=True, eq=False)
class Followed:
    """A spot's series, its photos in order of time, and the first one they are laid over.

    ``unmeasured`` is what the keeper answered after the last photo that counts: a visit without
    readings, as no photo of it could be measured; None without such answers.
    """

    spot_id: str
    series: Series
    taken: tuple[Taken, ...]
    first: Taken | None
    unmeasured: Visit | None = None

    @property
    def versions(self) -> frozenset[str]:
        """The versions of the program that measured the photos that count."""
        return frozenset(t.run.version for t in self.taken if t.counts)

    @property
    def stale(self) -> bool:
        """True when used photos lie over another first photo: they are to be measured again."""
        return any(t.photo.state == "used" and not t.counts for t in self.taken)


def follow_spot(store: Store, spot_id: str) -> Followed:
    """What the store holds of a spot and what follows from it; nothing is measured anew."""
    return _followed(store, spot_id, _state(store, spot_id))


def _state(store: Store, spot_id: str) -> str:
    """Everything a series follows from, so that an unchanged one need not be followed again."""
    site_id = store.spots.get(spot_id).site_id
    visits = store.visits.of_site(site_id)
    return repr(
        (
            store.runs.ids_of_spot(spot_id),
            [(v.id, v.taken) for v in visits],
            [(p.id, p.state, p.taken) for ps in store.photos.of_site(site_id).values() for p in ps],
            store.answers.of_site(site_id),
        )
    )


@lru_cache(maxsize=KEPT_IN_MEMORY)
def _followed(store: Store, spot_id: str, _state: str) -> Followed:
    site = store.sites.get(store.spots.get(spot_id).site_id)
    visits = store.visits.of_site(site.id)
    base = baseline_of(store, spot_id)
    taken = _taken(store, spot_id, visits, base)
    given = store.answers.of_site(site.id)
    answers = {_day(t): given.get(t.visit.id, {}) for t in taken if t.counts}
    readings = [t.reading for t in taken if t.counts]
    series = follow_series(readings, site=site.site, answers=answers)
    first = next((t for t in taken if base is not None and t.photo.id == base.id), None)
    counting = {t.visit.id for t in taken if t.counts}
    return Followed(spot_id, series, tuple(taken), first, _unmeasured(visits, counting, given))


def _unmeasured(
    visits: list[KeptVisit], counting: set[str], given: dict[str, dict[str, str]]
) -> Visit | None:
    """The answers after the last visit with a photo that counts, later ones before earlier."""
    measured = [place for place, visit in enumerate(visits) if visit.id in counting]
    since = visits[measured[-1] + 1 :] if measured else visits
    answered = [(visit, given[visit.id]) for visit in since if given.get(visit.id)]
    if not answered:
        return None
    last = answered[-1][0]
    when = _wall(last.taken or last.began_at)
    return Visit(when, (), {key: said for _, of in answered for key, said in of.items()})


def _taken(
    store: Store, spot_id: str, visits: list[KeptVisit], base: KeptPhoto | None
) -> list[Taken]:
    runs = store.runs.of_spot(spot_id)
    photos = store.photos.of_site(store.spots.get(spot_id).site_id)
    found = []
    for visit in visits:
        for photo in photos.get(visit.id, []):
            run = runs.get(photo.id)
            if run is not None:
                over_first = base is not None and run.first_photo_id == base.id
                counts = photo.state == "used" and over_first
                found.append(Taken(visit, photo, run, _dated(run, photo, visit), counts))
    return sorted(found, key=lambda t: (_wall(t.reading.photo.taken), t.photo.id))


def _dated(run: Run, photo: KeptPhoto, visit: KeptVisit) -> Reading:
    """The stored reading under the date its photo has now."""
    reading = reading_from_json(run.reading)
    taken = photo.taken or visit.taken or visit.began_at
    return replace(reading, photo=replace(reading.photo, taken=taken))


def _wall(taken: datetime | None) -> datetime:
    return (taken or _NEVER).replace(tzinfo=None)


def _day(taken: Taken) -> date:
    return _wall(taken.reading.photo.taken).date()
