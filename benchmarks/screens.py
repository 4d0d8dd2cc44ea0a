"""Photograph the screens of the app for the README: ``python benchmarks/screens.py``.

Needs Chromium and the ``test`` extra. Everything shown is the simulated cat.
"""

import io
import os
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
from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from lesioncompare.cli.photos import demo_folder  # noqa: E402
from lesioncompare.records import Seed  # noqa: E402
from lesioncompare.series import examine  # noqa: E402
from lesioncompare.series.demo import add_demo  # noqa: E402
from lesioncompare.store import Store  # noqa: E402
from lesioncompare.terms import parse_site  # noqa: E402
from lesioncompare.ui.serve import server_command  # noqa: E402

OUT = ROOT / "docs" / "screens"
SIZE = {"width": 390, "height": 844}
COLOURS = 128  # of the palette: a screen of text and one photo stays below 80 kB


def main() -> None:
    """Fill a store, start the app on it, and save one picture of each main screen."""
    OUT.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        addresses = fill(Path(folder))
        with running(Path(folder)) as url, sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
            )
            page = browser.new_page(viewport=SIZE, has_touch=True, is_mobile=True)
            for name, (address, scroll_to) in addresses.items():
                save(page, name, url + address, scroll_to)
            page.emulate_media(color_scheme="dark")
            save(page, "result-dark", url + addresses["result"][0], None)
            browser.close()


def fill(home: Path) -> dict[str, tuple[str, str | None]]:
    """A store with the simulated cat and a visit at each step; address and words to scroll to."""
    store = Store(home)
    for _ in add_demo(store, demo_folder(), spot="the dark spot"):
        pass
    cat = store.cats.all()[0]
    site = store.sites.of_cat(cat.id)[0]
    visits = store.visits.of_site(site.id)
    seed = store.seeds.latest(
        store.photos.of_visit(visits[0].id)[0].id, store.spots.of_site(site.id)[0].id
    )
    photo = store.photos.data(store.photos.of_visit(visits[0].id)[0].id)
    addresses: dict[str, tuple[str, str | None]] = {
        "result": (f"/visit?visit={visits[-1].id}", None),
        "compare": (f"/visit?visit={visits[-1].id}", "Lay today’s photo over"),
        "history": (f"/history?site={site.id}", None),
        "guide": ("/guide", "How to take the photo"),
        "home": ("/", None),
    }
    other = store.cats.add("Miez", simulated=True)
    for step, part in (("photos", "nose"), ("spot", "ear-right"), ("outline", "ear-left")):
        place = store.sites.add(other.id, parse_site(part))
        spot = store.spots.add(place.id, "the spot")
        visit = store.visits.begin(place.id)
        kept = store.photos.add(visit.id, photo, name="photo.jpg")
        if step == "outline" and seed is not None:
            store.seeds.add(kept.id, spot.id, Seed(seed.x, seed.y, seed.radius))
            examine(store, kept.id, spot.id)
        store.visits.set_step(visit.id, step)
        scroll = "Which sticker" if step == "photos" else None
        addresses[step] = (f"/visit?visit={visit.id}", scroll)
    store.cats.remove(other.id)
    store.close()
    return addresses


@contextmanager
def running(home: Path) -> Iterator[str]:
    """The address of a server on a store."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    path = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    env = {**os.environ, "LESIONCOMPARE_HOME": str(home), "PYTHONPATH": path}
    server = subprocess.Popen(server_command(port), env=env)
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


def save(page: Page, name: str, url: str, scroll_to: str | None) -> None:
    """One screen as a small PNG."""
    page.goto(url)
    page.wait_for_timeout(1500)
    page.wait_for_selector("[data-testid=stApp][data-test-script-state=notRunning]")
    page.wait_for_timeout(1500)
    if scroll_to is not None:
        page.get_by_text(scroll_to).first.evaluate("e => e.scrollIntoView({block: 'start'})")
        page.wait_for_timeout(500)
    shot = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    shot.quantize(COLOURS, dither=Image.Dither.NONE).save(OUT / f"{name}.png", optimize=True)


if __name__ == "__main__":
    main()
