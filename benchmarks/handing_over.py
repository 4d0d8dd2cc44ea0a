"""How long the vet waits: the review page of a year of weekly visits, and a six-visit report.

The series is that of the simulated cat, its photos taken up again week by week under new dates, so
that the page and the report have their full length. Run from the root of the checkout:

    .venv/bin/python -m benchmarks.handing_over
"""

import json
import os
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from streamlit.testing.v1 import AppTest

from lesioncompare.cli.photos import demo_folder
from lesioncompare.report.html import as_html
from lesioncompare.report.pdf import as_pdf
from lesioncompare.series import follow_spot
from lesioncompare.series.demo import TRUTH, add_demo
from lesioncompare.series.report import report_of
from lesioncompare.series.strip import being_made
from lesioncompare.settings import Settings
from lesioncompare.store import Store, reading_from_json

MAIN = Path(__file__).parent.parent / "lesioncompare" / "ui" / "main.py"
VISITS, REPORTED = 52, 6
WEEK = timedelta(weeks=1)


@contextmanager
def filled(visits: int) -> Iterator[tuple[Store, str]]:
    """A store with a series of that many visits, and the id of its spot."""
    with tempfile.TemporaryDirectory() as folder:
        store = Store(Path(folder))
        for _ in add_demo(store, _few_photos(Path(folder)), spot="the dark spot"):
            pass
        site = store.sites.of_cat(store.cats.all()[0].id)[0]
        spot = store.spots.of_site(site.id)[0]
        for number in range(len(follow_spot(store, spot.id).taken), visits):
            _again(store, site.id, spot.id, number)
        yield store, spot.id
        store.close()


def _few_photos(folder: Path) -> Path:
    """The first, a middle and the last photo of the simulated cat: measuring is not timed here."""
    source, place = demo_folder(), folder / "photos-to-come"
    place.mkdir()
    truth = json.loads((source / TRUTH).read_text())
    names = truth["photos"]
    truth["photos"] = [names[0], names[len(names) // 2 - 1], names[-1]]
    (place / TRUTH).write_text(json.dumps(truth))
    for name in truth["photos"]:
        (place / name).write_bytes((source / name).read_bytes())
    return place


def _again(store: Store, site_id: str, spot_id: str, number: int) -> None:
    """One of the photos once more, some weeks later, as a file of its own."""
    followed = follow_spot(store, spot_id)
    model = followed.taken[1 + number % 2]
    when = followed.taken[-1].reading.photo.taken + WEEK
    data = store.photos.data(model.photo.id) + b"\0" * number
    visit = store.visits.begin(site_id)
    photo = store.photos.add(visit.id, data, name=f"week {number}.jpg", taken=when)
    store.visits.finish(visit.id)
    reading = reading_from_json(model.run.reading)
    taken = replace(reading.photo, sha256=photo.sha256, name=photo.name, taken=when)
    reading = replace(reading, photo=taken)
    first = followed.first.photo.id
    store.runs.add(photo.id, spot_id, reading, Settings(), first_photo_id=first)


def seconds(work: Callable[[], object]) -> tuple[float, float]:
    """Wall clock and processor time [s]."""
    wall, cpu = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - wall, time.process_time() - cpu


def review_page() -> None:
    with filled(VISITS) as (store, spot_id):
        os.environ["LESIONCOMPARE_HOME"] = str(store.home)
        page = AppTest.from_file(str(MAIN), default_timeout=300)
        page.run()
        page.switch_page("screens/vet.py")
        for word in ("first time, no picture made yet", "again"):
            wall, cpu = seconds(page.run)
            print(f"review page, {VISITS} visits, {word}: {wall:.2f} s ({cpu:.2f} s of processor)")
        while being_made(store, follow_spot(store, spot_id)):  # before its folder goes
            time.sleep(0.5)


def reports() -> None:
    for visits in (REPORTED, VISITS):
        with filled(visits) as (store, spot_id):
            for word in ("first time", "again"):
                made: dict[str, bytes] = {}

                def work(made: dict[str, bytes] = made) -> None:
                    document = report_of(store, spot_id)
                    made["PDF"], made["HTML"] = as_pdf(document), as_html(document)

                wall, cpu = seconds(work)
                sizes = ", ".join(f"{name} {len(data) / 1e6:.2f} MB" for name, data in made.items())
                print(f"report, {visits} visits, {word}: {wall:.2f} s ({cpu:.2f} s of processor)")
                print(f"    {sizes}")


if __name__ == "__main__":
    review_page()
    reports()
