"""A new photo: looked at and kept; measured behind the screen where its spot is known."""

from dataclasses import dataclass

from lesioncompare.pipeline import look_at_photo
from lesioncompare.records import Notice, Reading
from lesioncompare.series.examine import baseline_of
from lesioncompare.series.jobs import measure_soon
from lesioncompare.series.pictures import keep_display
from lesioncompare.series.through import Look, hint_of
from lesioncompare.store import KeptPhoto, KeptVisit, Store
from lesioncompare.terms import Level

REFUSED = "photo_refused"  # the notice on bytes that are no photo


@dataclass(frozen=True, slots=True, eq=False)
class Intake:
    """What became of a new photo. ``photo`` is None when the bytes are none: nothing is kept."""

    photo: KeptPhoto | None
    reading: Reading

    @property
    def retake(self) -> tuple[Notice, ...]:
        """Why it must be taken again; empty for a usable photo."""
        return retakes(self.reading)


def retakes(reading: Reading) -> tuple[Notice, ...]:
    """The notices that ask for another photo."""
    return tuple(note for note in reading.notices if note.level == Level.RETAKE)


def take_in(store: Store, visit_id: str, data: bytes, *, name: str) -> Intake:
    """Keep a new photo of a visit and say at once what can be seen on it.

    Where a spot of the site has a first photo, finding and measuring it again goes on behind the
    screen, see ``jobs``.
    """
    visit = store.visits.get(visit_id)
    seen = look(store, visit, data, name=name)
    intake = _kept(store, visit, data, name, seen.reading)
    if intake.photo is not None and not intake.retake:
        for spot in store.spots.of_site(visit.site_id):
            first = baseline_of(store, spot.id)
            if first is not None:
                measure_soon(store, intake.photo.id, spot.id, first, seen)
    return intake


def look(store: Store, visit: KeptVisit, data: bytes, *, name: str) -> Look:
    """What is seen on a photo before anybody has shown the spot."""
    hint, settings = hint_of(visit), store.print_checks.settings_at(visit.began_at)
    seen = look_at_photo(data, name=name, now=store.now(), hint=hint, settings=settings)
    return Look(hint, settings, seen)


def look_again(store: Store, photo: KeptPhoto) -> Reading:
    """What is seen on a stored photo."""
    visit = store.visits.get(photo.visit_id)
    return look(store, visit, store.photos.data(photo.id), name=photo.name).reading


def _kept(store: Store, visit: KeptVisit, data: bytes, name: str, reading: Reading) -> Intake:
    if any(note.key == REFUSED for note in reading.notices):
        return Intake(None, reading)
    taken, basis = reading.photo.taken, reading.photo.taken_basis
    photo = store.photos.add(visit.id, data, name=name, taken=taken, taken_basis=basis)
    keep_display(store, photo, reading.photo)
    return Intake(photo, reading)
