"""Where in which visit the keeper is, and how to get to the next step."""

from collections.abc import Mapping
from functools import cached_property
from typing import Any, NoReturn

import streamlit as st

from lesioncompare.records import Notice, Reading
from lesioncompare.series import (
    Display,
    Intake,
    baseline_of,
    display_copy,
    look_again,
    retakes,
)
from lesioncompare.store import (
    Cat,
    CatSite,
    CatSpot,
    KeptPhoto,
    KeptVisit,
    Store,
    reading_from_json,
    reading_to_json,
)
from lesioncompare.ui.components.photo_canvas import Picture

BY_HAND = {"place_not_found", "no_outline"}  # what a circle or a drawn edge puts right


class Here:
    """The visit on the screen with what belongs to it; made anew at every run of the script."""

    def __init__(self, store: Store, visit: KeptVisit) -> None:
        self.store = store
        self.visit = visit

    @cached_property
    def site(self) -> CatSite:
        """The site of the visit."""
        return self.store.sites.get(self.visit.site_id)

    @cached_property
    def cat(self) -> Cat:
        """The cat of the site."""
        return self.store.cats.get(self.site.cat_id)

    @property
    def keeper(self) -> str:
        """What a keeper calls the site."""
        return self.site.site.keeper

    @property
    def where(self) -> str:
        """The screen, for what can be undone on it."""
        return f"{self.visit.id}-{self.visit.step}"

    @cached_property
    def spots(self) -> list[CatSpot]:
        """The spots of the site."""
        return self.store.spots.of_site(self.site.id)

    @cached_property
    def photos(self) -> list[KeptPhoto]:
        """The photos of the visit that are used."""
        return [p for p in self.store.photos.of_visit(self.visit.id) if p.state == "used"]

    def reading(self, photo: KeptPhoto, spot: CatSpot) -> Reading | None:
        """What was read of a spot on a photo, without its pictures; None before."""
        run = self.store.runs.latest(photo.id, spot.id)
        return None if run is None else reading_from_json(run.reading)

    def seen(self, photo: KeptPhoto) -> Reading:
        """The latest that is known of a photo, whichever spot it was read for."""
        readings = (self.reading(photo, spot) for spot in self.spots)
        measured = next((reading for reading in readings if reading is not None), None)
        if measured is not None:
            return measured
        looks = self.visit.draft.get("looks", {})
        if photo.id in looks:
            return reading_from_json(looks[photo.id])
        return self.keep_look(Intake(photo, look_again(self.store, photo)))

    def keep_look(self, intake: Intake) -> Reading:
        """What was seen on a photo, without its pictures, kept with the visit."""
        kept = reading_to_json(intake.reading)
        if intake.photo is not None:
            self.save_draft(looks={**self.visit.draft.get("looks", {}), intake.photo.id: kept})
        return reading_from_json(kept)

    @property
    def hopeful(self) -> list[KeptPhoto]:
        """The photos that are usable, or become so when the keeper shows the spot."""
        return [photo for photo in self.photos if not hopeless(self.seen(photo))]

    def first_of(self, spot: CatSpot) -> KeptPhoto | None:
        """The photo that others of this spot are laid over, be it of this visit."""
        base = baseline_of(self.store, spot.id)
        if base is not None:
            return base
        for photo in self.photos:
            reading = self.reading(photo, spot)
            if reading is not None and reading.usable:
                return photo
        return None

    @property
    def shows_spot(self) -> bool:
        """Whether a spot is shown to the program: at its first visit, or where it was lost."""
        own = {photo.id for photo in self.photos}
        firsts = [baseline_of(self.store, spot.id) for spot in self.spots]
        return any(first is None or first.id in own for first in firsts) or any(
            self.store.seeds.latest(photo, spot.id) for photo in own for spot in self.spots
        )

    def picture(self, photo: KeptPhoto) -> Picture:
        """The display copy of a photo for the canvas."""
        shown: Display = display_copy(self.store, photo)
        return Picture(shown.id, shown.jpeg, shown.width, shown.height)

    def to_step(self, step: str) -> NoReturn:
        """Save that the keeper goes on, and go on."""
        self.store.visits.set_step(self.visit.id, step)
        st.rerun()

    def save_draft(self, **parts: Any) -> None:
        """Keep parts of what is not confirmed yet; None drops one."""
        present = self.store.visits.get(self.visit.id)  # another tab may have kept more
        draft: Mapping[str, Any] = {**present.draft, **parts}
        self.store.visits.save_draft(
            self.visit.id, {name: part for name, part in draft.items() if part is not None}
        )
        self.visit = self.store.visits.get(self.visit.id)


def hopeless(reading: Reading) -> tuple[Notice, ...]:
    """Why a photo must be taken again, whatever the keeper may draw on it."""
    return tuple(note for note in retakes(reading) if note.key not in BY_HAND)
