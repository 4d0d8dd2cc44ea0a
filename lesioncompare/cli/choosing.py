"""Which cats and sites of the store a command is about."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated

import typer

from lesioncompare.errors import StoreError
from lesioncompare.store import CatSite, Store, open_store
from lesioncompare.terms import parse_site

CatName = Annotated[
    str | None, typer.Option("--cat", help="Only this cat, by its name; all cats otherwise.")
]
SiteName = Annotated[
    str | None, typer.Option("--site", help="Only this place: nose, ear-left, …; all otherwise.")
]


@contextmanager
def the_store() -> Iterator[Store]:
    """The store of this user, closed again afterwards."""
    store = open_store()
    try:
        yield store
    finally:
        store.close()


def chosen_sites(store: Store, cat: str | None, site: str | None) -> list[CatSite]:
    """The sites that the options name.

    Raises
    ------
    StoreError
        When there is none.
    """
    wanted = str(parse_site(site)) if site else None
    cats = [c for c in store.cats.all() if cat is None or c.name.casefold() == cat.casefold()]
    if cat is not None and not cats:
        raise StoreError(
            f"There is no cat named “{cat}” in this store.",
            "Write the name as the app shows it, or leave --cat out.",
        )
    sites = [s for c in cats for s in store.sites.of_cat(c.id)]
    found = [s for s in sites if wanted is None or s.place == wanted]
    if not found:
        raise StoreError(
            "There is no such place in this store.",
            "Take the first photo in the app (lesioncompare open), or leave --site out.",
        )
    return found
