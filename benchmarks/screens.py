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
from lesioncompare.series import examine, take_in  # noqa: E402
from lesioncompare.series.demo import add_demo  # noqa: E402
from lesioncompare.store import CatSite, Store  # noqa: E402
from lesioncompare.ui.serve import server_command  # noqa: E402

OUT = ROOT / "docs" / "screens"
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
DESK = {"viewport": {"width": 1280, "height": 900}}
SHOTS = (  # kind of screen, theme, what is shown on it
    (PHONE, "light", ("home", "photos", "spot", "outline", "questions", "result", "compare")),
    (PHONE, "light", ("history", "guide")),
    (PHONE, "dark", ("home", "mend", "result", "compare")),
    (DESK, "light", ("home", "result", "history", "vet")),
    (DESK, "dark", ("outline", "compare")),
)
QUALITY = 82  # [%] of the JPEG, colour at full resolution: a screen stays below 150 kB
STROKE = 0.9  # [spot radii] from the middle, where a correction is painted


def main() -> None:
    """Fill a store, start the app on it, and save pictures of the main screens."""
    OUT.mkdir(exist_ok=True)
    for old in OUT.glob("*.jpg"):
        old.unlink()
    with tempfile.TemporaryDirectory() as folder:
        addresses = fill(Path(folder))
        with running(Path(folder)) as url, sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
            )
            for kind, scheme, names in SHOTS:
                page = browser.new_page(**kind, color_scheme=scheme)
                for name in names:
                    file = f"{'phone' if kind is PHONE else 'desk'}-{scheme}-{name}.jpg"
                    address, scroll_to = addresses[name]
                    save(page, OUT / file, url + address, scroll_to)
                page.close()
            browser.close()


def fill(home: Path) -> dict[str, tuple[str, str | None]]:
    """A store with the simulated cat and a visit at each step; address and words to scroll to."""
    store = Store(home)
    for _ in add_demo(store, demo_folder(), spot="the dark spot"):
        pass
    cat = store.cats.all()[0]
    site = store.sites.of_cat(cat.id)[0]
    visits = store.visits.of_site(site.id)
    addresses: dict[str, tuple[str, str | None]] = {
        "result": (f"/visit?visit={visits[-1].id}", None),
        "compare": (f"/visit?visit={visits[-1].id}", "Lay today’s photo over"),
        "history": (f"/history?site={site.id}", None),
        "vet": (f"/vet?site={site.id}", None),
        "guide": ("/guide", "How to take the photo"),
        "home": ("/", None),
    }
    first = store.photos.of_visit(visits[0].id)[0]
    seed = store.seeds.latest(first.id, store.spots.of_site(site.id)[0].id)
    if seed is None:
        raise SystemExit("the simulated cat has no circle on its first photo")
    extra = []
    for step in ("photos", "spot", "outline", "mend", "questions"):
        extra.append(store.cats.add(cat.name, simulated=True).id)
        place = store.sites.add(extra[-1], site.site)
        addresses[step] = (
            f"/visit?visit={visit_at(store, place, step, first.id, seed.seed)}",
            None,
        )
    for cat_id in extra:
        store.cats.remove(cat_id)
    store.close()
    return addresses


def visit_at(store: Store, site: CatSite, step: str, photo_id: str, seed: Seed) -> str:
    """A visit with the first photo that has come as far as one step; its id."""
    spot = store.spots.add(site.id, "the dark spot")
    visit = store.visits.begin(site.id)
    data = store.photos.data(photo_id)
    intake = take_in(store, visit.id, data, name="photo.jpg")
    photo = intake.photo
    if photo is None:
        raise SystemExit("the first photo was refused")
    draft = {}
    if step in {"outline", "mend"}:
        store.seeds.add(photo.id, spot.id, seed)
        examine(store, photo.id, spot.id)
    if step == "spot":
        circle = {"x": seed.x, "y": seed.y, "radius": seed.radius}
        draft["circles"] = {f"circle-{photo.id}-{spot.id}": circle}
    if step == "mend":
        path = [
            [seed.x + STROKE * seed.radius, seed.y + share * seed.radius] for share in (-0.4, 0.4)
        ]
        edit = {"id": "a", "kind": "add", "radius": 0.25 * seed.radius, "points": path}
        draft["mend"] = {"photo": photo.id, "spot": spot.id, "edits": [edit]}
    store.visits.save_draft(visit.id, draft)
    store.visits.set_step(visit.id, "outline" if step == "mend" else step)
    return visit.id


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


def save(page: Page, file: Path, url: str, scroll_to: str | None) -> None:
    """One screen as a small JPEG."""
    page.goto(url, wait_until="domcontentloaded")
    for _ in range(3):  # pictures laid over each other are made when they are first asked for
        page.wait_for_timeout(1000)
        page.wait_for_selector("[data-testid=stApp][data-test-script-state=notRunning]")
    if scroll_to is not None:
        page.get_by_text(scroll_to).first.evaluate("e => e.scrollIntoView({block: 'start'})")
        page.wait_for_timeout(500)
    shot = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    shot.save(file, quality=QUALITY, subsampling=0, optimize=True, progressive=True)


if __name__ == "__main__":
    main()
