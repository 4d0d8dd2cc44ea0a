"""A stored photo through the pipeline, with everything the store knows about it."""

import threading
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache

import numpy as np

from lesioncompare.pipeline import examine_photo
from lesioncompare.records import Points, Reading, Seed, StickerHint
from lesioncompare.settings import Settings
from lesioncompare.store import KeptVisit, Store

KEPT_IN_MEMORY = 3  # readings with their pictures; about 100 MB each at 12 MP
_one_at_a_time = threading.Lock()


@dataclass(frozen=True, slots=True)
class Case:
    """What a reading follows from, apart from the bytes of the photo and the photos before it."""

    photo_id: str
    sha256: str
    name: str
    taken: datetime | None
    spot_id: str
    hint: StickerHint
    settings: Settings
    seed_id: str | None
    seed: Seed | None
    correction_id: str | None
    drawn_px: tuple[tuple[float, float], ...] | None


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """What was seen on a photo at first sight, and with which choices."""

    hint: StickerHint
    settings: Settings
    reading: Reading

    def fits(self, case: Case) -> bool:
        """True when the case would have the same bytes looked at in the same way."""
        same = (self.hint, self.settings) == (case.hint, case.settings)
        return same and self.reading.photo.sha256 == case.sha256


def hint_of(visit: KeptVisit) -> StickerHint:
    """Which sticker to look for in the photos of a visit."""
    return StickerHint(diameter_mm=visit.sticker_diameter_mm)


def case_of(store: Store, photo_id: str, spot_id: str) -> Case:
    """The case of one spot on one photo as the store knows it now."""
    photo = store.photos.get(photo_id)
    visit = store.visits.get(photo.visit_id)
    seed = store.seeds.latest(photo_id, spot_id)
    drawn = store.corrections.drawn(photo_id, spot_id)
    contour = drawn.contour_px if drawn else None
    return Case(
        photo_id=photo_id,
        sha256=photo.sha256,
        name=photo.name,
        taken=photo.taken,
        spot_id=spot_id,
        hint=hint_of(visit),
        settings=store.print_checks.settings_at(visit.began_at),
        seed_id=seed.id if seed else None,
        seed=seed.seed if seed else None,
        correction_id=drawn.id if drawn else None,
        drawn_px=tuple((x, y) for x, y in contour) if contour else None,
    )


def through(
    store: Store,
    case: Case,
    first: Reading | None,
    others: tuple[Reading, ...] = (),
    look: Look | None = None,
) -> Reading:
    """The reading of a case, laid over ``first`` unless it is the first itself."""
    drawn: Points | None = None if case.drawn_px is None else np.array(case.drawn_px)
    return examine_photo(
        store.photos.data(case.photo_id),
        name=case.name,
        now=store.now(),
        seed=case.seed,
        first=first,
        others=others,
        drawn_px=drawn,
        hint=case.hint,
        settings=case.settings,
        taken=case.taken,
        looked=look.reading if look is not None and look.fits(case) else None,
    )


def full_reading(store: Store, case: Case, base: Case | None = None) -> Reading:
    """A reading with its pictures, which the store does not keep; remembered for a while.

    ``base`` is the case of the first photo, None if this one is the first.
    """
    with _one_at_a_time:  # a second asker waits for the first instead of doing the work again
        return _remembered(store, case, base)


@lru_cache(maxsize=KEPT_IN_MEMORY)
def _remembered(store: Store, case: Case, base: Case | None) -> Reading:
    first = None if base is None else _remembered(store, base, None)
    return through(store, case, first)
