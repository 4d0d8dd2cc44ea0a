"""Stored photos measured, and the numbers back into the store, old beside new."""

import threading
from collections.abc import Iterator

import numpy as np

from lesioncompare.pipeline import with_other_side
from lesioncompare.records import Reading, Seed
from lesioncompare.science.plane import apply_homography, local_scale
from lesioncompare.series.through import Case, Look, case_of, full_reading, through
from lesioncompare.store import KeptPhoto, Run, Store, reading_from_json

CARRIED = "carried over"  # who drew a circle that came from an earlier alignment
LOST = "place_not_found"  # the notice on a photo that could not be laid over the first
APART = "sides_not_compared"  # the notice on one that could not be laid over the other side


def baseline_of(store: Store, spot_id: str) -> KeptPhoto | None:
    """The photo all others of a spot are laid over: the earliest that is used and measured."""
    return next(iter(_measured(store, spot_id)), None)


def _measured(store: Store, spot_id: str) -> list[KeptPhoto]:
    """The photos of a spot that are used and could be measured, in order of time."""
    runs = store.runs.of_spot(spot_id)
    return [photo for photo in _used(store, spot_id) if runs[photo.id].reading["usable"]]


def _used(store: Store, spot_id: str) -> list[KeptPhoto]:
    """The photos of a spot that are used and were read, in order of time."""
    site_id = store.spots.get(spot_id).site_id
    runs, photos = store.runs.of_spot(spot_id), store.photos.of_site(site_id)
    return [
        photo
        for visit in store.visits.of_site(site_id)
        for photo in photos.get(visit.id, [])
        if photo.state == "used" and photo.id in runs
    ]


def examine(
    store: Store,
    photo_id: str,
    spot_id: str,
    *,
    first: KeptPhoto | None = None,
    look: Look | None = None,
) -> Run:
    """Measure a spot on a stored photo and keep the numbers.

    Parameters
    ----------
    photo_id, spot_id
        What is measured; a circle on this photo is needed if it is the first.
    first
        The photo to lay it over; the spot's present baseline if None.
    look
        What was seen on the photo already, to save that work where it still fits.
    """
    first = first or baseline_of(store, spot_id)
    over = None if first is None else _first_case(store, first.id, spot_id)
    base = None if over is None or over.photo_id == photo_id else over
    case = case_of(store, photo_id, spot_id)
    reading = _beside_other_side(store, case, _read(store, case, base, look))
    return store.runs.add(
        photo_id,
        case.spot_id,
        reading,
        case.settings,
        seed_id=case.seed_id,
        correction_id=case.correction_id,
        first_photo_id=base.photo_id if base else photo_id,
    )


def _read(store: Store, case: Case, base: Case | None, look: Look | None) -> Reading:
    """One photo laid over the first; where that fails, by way of the latest other one."""
    others = _others(store, case, base)
    known = tuple(reading for _, reading in others)
    first = None if base is None else full_reading(store, base)
    reading = through(store, case, first, known, look)
    if others and base is not None and any(note.key == LOST for note in reading.notices):
        beside = full_reading(store, case_of(store, others[-1][0], case.spot_id), base)
        reading = through(store, case, first, (*known[:-1], beside), look)
    return reading


def _beside_other_side(store: Store, case: Case, reading: Reading) -> Reading:
    """The reading with what only its side shows, where the cat's other side was photographed."""
    site = store.sites.get(store.spots.get(case.spot_id).site_id)
    beside = reading
    for twin in store.sites.of_cat(site.cat_id):
        if twin.site == site.site.opposite and reading.usable:
            for spot in store.spots.of_site(twin.id):
                measured = _measured(store, spot.id)
                if measured:
                    beside = with_other_side(reading, _latest(store, spot.id, measured))
                    if all(note.key != APART for note in beside.notices):
                        return beside
    return beside


def _latest(store: Store, spot_id: str, measured: list[KeptPhoto]) -> Reading:
    """The latest of a spot's measured photos, with its pictures."""
    base, latest = _first_case(store, measured[0].id, spot_id), measured[-1].id
    if latest == base.photo_id:
        return full_reading(store, base)
    return full_reading(store, case_of(store, latest, spot_id), base)


def _others(store: Store, case: Case, base: Case | None) -> list[tuple[str, Reading]]:
    """Ids and stored readings of the spot's other used photos, in order of time."""
    runs = store.runs.of_spot(case.spot_id)
    skipped = {case.photo_id, base.photo_id if base else ""}
    found = [
        (photo.id, reading_from_json(runs[photo.id].reading))
        for photo in _used(store, case.spot_id)
        if photo.id not in skipped
    ]
    return sorted(found, key=lambda pair: (str(pair[1].photo.taken or ""), pair[0]))


def warm_up(store: Store, site_id: str) -> None:
    """Read the first photos of a site on another thread, so that the next photo need not wait."""

    def work() -> None:
        for spot in store.spots.of_site(site_id):
            first = baseline_of(store, spot.id)
            if first is not None:
                full_reading(store, _first_case(store, first.id, spot.id))

    threading.Thread(target=work, daemon=True).start()


def remeasure(store: Store, spot_id: str) -> Iterator[tuple[int, int]]:
    """Measure every used photo of a spot again, the first one first; yields (done, all).

    The numbers so far stay beside the new ones.
    """
    todo = _used(store, spot_id)
    first: KeptPhoto | None = None
    yield 0, len(todo)
    for done, photo in enumerate(todo, start=1):
        alone = first is None and _first_case(store, photo.id, spot_id).seed is not None
        over = photo if alone else first or baseline_of(store, spot_id)
        if over is not None:  # else nothing shows where the spot is
            run = examine(store, photo.id, spot_id, first=over)
            if first is None and run.reading["usable"]:
                first = photo
        yield done, len(todo)


def _first_case(store: Store, photo_id: str, spot_id: str) -> Case:
    """The case of a photo that others are laid over.

    One that comes first because those before it were left out gets a circle of its own, where
    it was only carried over.
    """
    case, run = case_of(store, photo_id, spot_id), store.runs.of_spot(spot_id).get(photo_id)
    seed = None if run is None else circle_px(reading_from_json(run.reading))
    if case.seed is not None or seed is None:
        return case
    store.seeds.add(photo_id, spot_id, seed, who=CARRIED)
    return case_of(store, photo_id, spot_id)


def circle_px(reading: Reading) -> Seed | None:
    """The circle round the spot in upright original pixels."""
    if reading.circle is None or reading.sticker is None:
        return None
    to_px = np.linalg.inv(reading.sticker.px_to_mm)
    at = np.array([[reading.circle.x, reading.circle.y]])
    scale = reading.photo.stored_per_px
    x, y = apply_homography(to_px, at)[0] * scale
    return Seed(
        float(x), float(y), reading.circle.radius * float(local_scale(to_px, at)[0]) * scale
    )
