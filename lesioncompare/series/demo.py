"""The simulated cat that comes with the program, as a cat in the store."""

import json
from collections.abc import Iterator
from pathlib import Path

from lesioncompare.records import Seed
from lesioncompare.series.examine import examine
from lesioncompare.series.intake import take_in
from lesioncompare.series.jobs import wait_until_measured
from lesioncompare.store import Store
from lesioncompare.terms import parse_site

TRUTH = "truth.json"  # beside the photos: cat, site, their names in order, circle on the first


def add_demo(store: Store, folder: Path, *, spot: str) -> Iterator[tuple[int, int]]:
    """Put the simulated cat with all its photos into the store; yields (done, all).

    Every photo is measured as if it had just been taken; the cat is marked as simulated.
    """
    truth = json.loads((folder / TRUTH).read_text())
    photos = truth["photos"]
    yield 0, len(photos)
    cat = store.cats.add(truth["cat"], coat_colour="white", coat_pattern="plain", simulated=True)
    site = store.sites.add(cat.id, parse_site(truth["site"]))
    mark = store.spots.add(site.id, spot)
    x, y, radius = (float(part) for part in truth["spot"].split(","))
    for done, file in enumerate(photos, start=1):
        visit = store.visits.begin(site.id)
        photo = take_in(store, visit.id, (folder / file).read_bytes(), name=file).photo
        if photo is not None and done == 1:
            store.seeds.add(photo.id, mark.id, Seed(x, y, radius), who="simulation")
            examine(store, photo.id, mark.id)
        elif photo is not None:
            wait_until_measured(photo.id)
        store.visits.finish(visit.id)
        yield done, len(photos)
