"""Seconds from choosing a 12 MP photo to the verdict on the screen: ``python benchmarks/…``.

Three waits count: from the upload to the sticker drawn in, from there to "usable" with the spot
outlined, and from the last press to the result with its pictures. What the keeper does in between
does not. Needs Chromium and the ``test`` extra. The photos are those of the simulated cat, enlarged
to 4032 px, which costs what a phone's photo costs.
"""

import json
import os
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, expect, sync_playwright

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from lesioncompare.cli.photos import demo_folder  # noqa: E402
from lesioncompare.records import Seed  # noqa: E402
from lesioncompare.series import examine, take_in  # noqa: E402
from lesioncompare.series.demo import TRUTH  # noqa: E402
from lesioncompare.store import Store  # noqa: E402
from lesioncompare.terms import parse_site  # noqa: E402
from lesioncompare.ui.serve import server_command  # noqa: E402

WIDTH_PX = 4032  # of a 12 MP phone photo
ROUNDS = 3
IDLE = "[data-testid=stApp][data-test-script-state=notRunning]"


def main() -> None:
    """Time a few later visits on one server."""
    with tempfile.TemporaryDirectory() as folder:
        home, photos = Path(folder) / "home", enlarged(Path(folder))
        visits = fill(home, photos)
        with running(home) as url, sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
            )
            page = browser.new_page(viewport={"width": 390, "height": 844})
            page.set_default_timeout(60_000)
            expect.set_options(timeout=60_000)
            for number, visit in enumerate(visits):
                waits = one_visit(page, f"{url}/visit?visit={visit}", photos[number + 1])
                sticker, usable, told = waits
                print(f"round {number + 1}: sticker after {sticker:.2f} s, usable after "
                      f"{usable:.2f} s; result {told:.2f} s after the last press")  # fmt: skip
            browser.close()
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")


def enlarged(folder: Path) -> list[Path]:
    """The first photos of the simulated cat at phone size, dates kept."""
    truth = json.loads((demo_folder() / TRUTH).read_text())
    made = []
    for name in truth["photos"][: ROUNDS + 1]:
        photo = Image.open(demo_folder() / name)
        size = (WIDTH_PX, round(photo.height * WIDTH_PX / photo.width))
        large = photo.resize(size, Image.Resampling.LANCZOS)
        made.append(folder / name)
        large.save(made[-1], quality=92, exif=photo.getexif())
    return made


def fill(home: Path, photos: list[Path]) -> list[str]:
    """A store with a first visit, and new visits to be photographed."""
    truth = json.loads((demo_folder() / TRUTH).read_text())
    with Image.open(demo_folder() / truth["photos"][0]) as small:
        scale = WIDTH_PX / small.width
    store = Store(home)
    site = store.sites.add(store.cats.add("Quitte", simulated=True).id, parse_site(truth["site"]))
    spot = store.spots.add(site.id, "the spot")
    first = store.visits.begin(site.id)
    photo = take_in(store, first.id, photos[0].read_bytes(), name=photos[0].name).photo
    if photo is None:
        raise SystemExit("the first photo was refused")
    x, y, radius = (scale * float(part) for part in truth["spot"].split(","))
    store.seeds.add(photo.id, spot.id, Seed(x, y, radius))
    examine(store, photo.id, spot.id)
    store.visits.finish(first.id)
    ids = [store.visits.begin(site.id).id for _ in range(ROUNDS)]
    store.close()
    return ids


@contextmanager
def running(home: Path) -> Iterator[str]:
    """The address of a server on a store."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    path = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    env = {**os.environ, "LESIONCOMPARE_HOME": str(home), "PYTHONPATH": path}
    server = subprocess.Popen(server_command(port), env=env, stdout=subprocess.DEVNULL)
    try:
        for _ in range(200):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health", timeout=2)
                break
            except OSError:
                time.sleep(0.2)
        yield f"http://localhost:{port}"
    finally:
        server.terminate()
        server.wait(20)


def one_visit(page: Page, url: str, photo: Path) -> tuple[float, float, float]:
    """Seconds from the upload to the sticker and to "usable", and from the last press on."""
    page.goto(url)
    page.wait_for_selector(IDLE)
    page.wait_for_timeout(8000)  # the keeper takes the photo; the first one is read meanwhile
    start = time.perf_counter()
    page.locator("input[type=file]").first.set_input_files(str(photo))
    page.get_by_text(re.compile("sticker was found|Usable")).first.wait_for()
    sticker = time.perf_counter() - start
    expect(page.get_by_text("Usable").first).to_be_visible(timeout=60_000)
    usable = time.perf_counter() - start
    for label in ("Go on", "Yes, this is the edge"):
        page.wait_for_selector(IDLE)
        page.get_by_role("button", name=label).click()
    page.get_by_text("What a photo cannot show").wait_for()
    page.wait_for_selector(IDLE)
    start = time.perf_counter()
    page.get_by_role("button", name="Go on").click()
    page.get_by_text("Against the start").first.wait_for()
    page.get_by_role("button", name="Swap").wait_for()
    return sticker, usable, time.perf_counter() - start


if __name__ == "__main__":
    main()
