"""A new photo: looked at, measured where the spot is known already, and kept."""

import hashlib
from dataclasses import dataclass

from lesioncompare.pipeline import look_at_photo
from lesioncompare.records import Notice, Reading
from lesioncompare.series.examine import baseline_of, examine, keep_run, read_case
from lesioncompare.series.pictures import keep_display
from lesioncompare.series.through import case_of, hint_of, new_case
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
    """Keep a new photo of a visit with whatever can be read from it already.

    Where a spot of the site has a first photo, the place is found again and measured.
    """
    visit = store.visits.get(visit_id)
    spots = store.spots.of_site(visit.site_id)
    firsts = [(s.id, f) for s in spots if (f := baseline_of(store, s.id)) is not None]
    if not firsts:
        return _kept(store, visit, data, name, look(store, visit, data, name=name))
    spot_id, first = firsts[0]
    sha256 = hashlib.sha256(data).hexdigest()
    case = new_case(store, visit_id, spot_id, sha256=sha256, name=name)
    base = case_of(store, first.id, spot_id)
    intake = _kept(store, visit, data, name, read_case(store, data, case, base))
    if intake.photo is not None:
        keep_run(store, intake.photo.id, case, base, intake.reading)
        for other_id, other_first in firsts[1:]:
            examine(store, intake.photo.id, other_id, first=other_first)
    return intake


def look(store: Store, visit: KeptVisit, data: bytes, *, name: str) -> Reading:
    """What is seen on a photo before anybody has shown the spot."""
    settings = store.print_checks.settings_at(visit.began_at)
    return look_at_photo(data, name=name, now=store.now(), hint=hint_of(visit), settings=settings)


def look_again(store: Store, photo: KeptPhoto) -> Reading:
    """What is seen on a stored photo."""
    visit = store.visits.get(photo.visit_id)
    return look(store, visit, store.photos.data(photo.id), name=photo.name)


def _kept(store: Store, visit: KeptVisit, data: bytes, name: str, reading: Reading) -> Intake:
    if any(note.key == REFUSED for note in reading.notices):
        return Intake(None, reading)
    taken, basis = reading.photo.taken, reading.photo.taken_basis
    photo = store.photos.add(visit.id, data, name=name, taken=taken, taken_basis=basis)
    keep_display(store, photo, reading.photo)
    return Intake(photo, reading)
