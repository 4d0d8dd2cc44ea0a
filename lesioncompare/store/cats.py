"""Cats, their sites and the spots on them. Removing hides; nothing is taken away."""

from dataclasses import dataclass
from typing import Any

from lesioncompare.errors import StoreError
from lesioncompare.store import tables
from lesioncompare.store.base import Desk, one_line
from lesioncompare.store.kept import Cat, CatSite, CatSpot
from lesioncompare.terms import Site

WEEK_DAYS = 7  # [days] between visits, unless told otherwise


@dataclass(frozen=True, slots=True)
class Cats:
    """The cats."""

    _desk: Desk

    def add(  # noqa: PLR0913  all but the name may stay unsaid
        self,
        name: str,
        *,
        coat_colour: str = "",
        coat_pattern: str = "",
        white_areas: tuple[str, ...] = (),
        pigment: str = "",
        birth_year: int | None = None,
        neutered: bool | None = None,
        outdoor_hours: float | None = None,
        simulated: bool = False,
    ) -> Cat:
        """A new cat.

        Raises
        ------
        StoreError
            When it has no name.
        """
        return self._desk.add(
            tables.cat,
            Cat,
            name=_named(name),
            coat_colour=coat_colour,
            coat_pattern=coat_pattern,
            white_areas=list(white_areas),
            pigment=pigment,
            birth_year=birth_year,
            neutered=neutered,
            outdoor_hours=outdoor_hours,
            simulated=simulated,
            added_at=self._desk.now(),
        )

    def edit(self, cat_id: str, **values: Any) -> Cat:
        """The cat with some of its particulars changed."""
        if "name" in values:
            values["name"] = _named(values["name"])
        if "white_areas" in values:
            values["white_areas"] = list(values["white_areas"])
        self._desk.change(tables.cat, cat_id, **values)
        return self.get(cat_id)

    def get(self, cat_id: str) -> Cat:
        """One cat, removed or not."""
        return self._desk.get(tables.cat, Cat, cat_id)

    def all(self) -> list[Cat]:
        """The cats in the order they were added, without removed ones."""
        return self._desk.find(tables.cat, Cat, tables.cat.c.removed_at.is_(None))

    def removed(self) -> list[Cat]:
        """The cats that were removed and can be brought back."""
        return self._desk.find(tables.cat, Cat, tables.cat.c.removed_at.is_not(None))

    def remove(self, cat_id: str) -> None:
        """Hide a cat with all its photos."""
        self._desk.change(tables.cat, cat_id, removed_at=self._desk.now())

    def bring_back(self, cat_id: str) -> None:
        """Undo ``remove``."""
        self._desk.change(tables.cat, cat_id, removed_at=None)


@dataclass(frozen=True, slots=True)
class Sites:
    """The photographed places."""

    _desk: Desk

    def add(self, cat_id: str, place: Site, *, every_days: int = WEEK_DAYS) -> CatSite:
        """A new site of a cat.

        Raises
        ------
        StoreError
            When this cat already has it.
        """
        if any(known.place == str(place) for known in self.of_cat(cat_id)):
            raise StoreError(
                f"This cat already has the site “{place.keeper}”.",
                "Open that site and add a spot to it instead.",
            )
        return self._desk.add(
            tables.site,
            CatSite,
            cat_id=cat_id,
            place=str(place),
            every_days=every_days,
            added_at=self._desk.now(),
        )

    def get(self, site_id: str) -> CatSite:
        """One site, removed or not."""
        return self._desk.get(tables.site, CatSite, site_id)

    def of_cat(self, cat_id: str) -> list[CatSite]:
        """The sites of a cat, without removed ones."""
        columns = tables.site.c
        return self._desk.find(
            tables.site, CatSite, columns.cat_id == cat_id, columns.removed_at.is_(None)
        )

    def remove(self, site_id: str) -> None:
        """Hide a site with all its photos."""
        self._desk.change(tables.site, site_id, removed_at=self._desk.now())

    def bring_back(self, site_id: str) -> None:
        """Undo ``remove``."""
        self._desk.change(tables.site, site_id, removed_at=None)


@dataclass(frozen=True, slots=True)
class Spots:
    """The tracked marks."""

    _desk: Desk

    def add(self, site_id: str, name: str) -> CatSpot:
        """A new spot on a site."""
        return self._desk.add(
            tables.spot,
            CatSpot,
            site_id=site_id,
            name=one_line(name) or "spot",
            added_at=self._desk.now(),
        )

    def rename(self, spot_id: str, name: str) -> None:
        """Give a spot another name."""
        self._desk.change(tables.spot, spot_id, name=one_line(name) or "spot")

    def get(self, spot_id: str) -> CatSpot:
        """One spot, removed or not."""
        return self._desk.get(tables.spot, CatSpot, spot_id)

    def of_site(self, site_id: str) -> list[CatSpot]:
        """The spots of a site, without removed ones."""
        columns = tables.spot.c
        return self._desk.find(
            tables.spot, CatSpot, columns.site_id == site_id, columns.removed_at.is_(None)
        )

    def remove(self, spot_id: str) -> None:
        """Stop tracking a spot; its numbers stay."""
        self._desk.change(tables.spot, spot_id, removed_at=self._desk.now())

    def bring_back(self, spot_id: str) -> None:
        """Undo ``remove``."""
        self._desk.change(tables.spot, spot_id, removed_at=None)


def _named(name: str) -> str:
    line = one_line(name)
    if not line:
        raise StoreError("The cat has no name.", "Type a name; it stays on this computer.")
    return line
