"""A real browser before a real server, each test with a store of its own."""

import json
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, expect, sync_playwright

from lesioncompare.series.demo import TRUTH
from lesioncompare.store import Store

ROOT = Path(__file__).parent.parent.parent
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
DESK = {"viewport": {"width": 1280, "height": 900}}
WAIT_MS = 90_000  # [ms] for a loaded machine; nothing waits this long when all is well
WCAG = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
QUIET = """() => {
    const app = document.querySelector("[data-testid=stApp]");
    const quiet = app?.dataset.testScriptState === "notRunning"
        && app.dataset.testConnectionState === "CONNECTED"
        && !document.querySelector(".stSkeleton, [data-stale=true]");
    if (!quiet) { delete window.quietSince; return false; }
    window.quietSince ??= performance.now();
    return performance.now() - window.quietSince > 400;
}"""
HARMLESS = ("404 (Not Found)",)  # Streamlit asks for its own files below each screen's address


def pytest_collection_modifyitems(items) -> None:
    for item in items:
        if Path(item.path).parent == Path(__file__).parent:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium(program):
    path = program("chromium", "chromium-browser", package="chromium")
    with sync_playwright() as playwright:
        args = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
        browser = playwright.chromium.launch(executable_path=path, args=args)
        yield browser
        browser.close()


@dataclass(frozen=True)
class Demo:
    """The photos that come with the program, and where the spot is on the first."""

    photos: list[Path]
    spot: tuple[float, float, float]
    site: str
    home: Path  # a store with the simulated cat in it


@pytest.fixture(scope="session")
def demo(tmp_path_factory, demo_photos, demo_home):
    home = tmp_path_factory.mktemp("demo") / "home"
    shutil.copytree(demo_home, home)
    truth = json.loads((demo_photos / TRUTH).read_text())
    x, y, radius = (float(part) for part in truth["spot"].split(","))
    photos = [demo_photos / name for name in truth["photos"]]
    return Demo(photos, (x, y, radius), truth["site"], home)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@contextmanager
def running(home: Path, log: Path):
    """The address of a server on a store; it is stopped by its handle afterwards."""
    port = free_port()
    command = [sys.executable, "-m", "streamlit", "run", str(ROOT / "app.py")]
    path = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    env = {**os.environ, "LESIONCOMPARE_HOME": str(home), "PYTHONPATH": path}
    with log.open("wb") as output:
        server = subprocess.Popen(
            [*command, f"--server.port={port}"], env=env, cwd=ROOT, stdout=output, stderr=output
        )
        try:
            wait_for(f"http://127.0.0.1:{port}/_stcore/health", server, log)
            yield f"http://localhost:{port}"
        finally:
            server.terminate()
            server.wait(20)


def wait_for(url: str, server: subprocess.Popen, log: Path) -> None:
    for _ in range(200):
        assert server.poll() is None, log.read_text()
        try:
            with urllib.request.urlopen(url, timeout=2) as answer:  # noqa: S310  our own server
                if answer.read() == b"ok":
                    return
        except (urllib.error.URLError, OSError):
            time.sleep(0.15)
    raise AssertionError(log.read_text())


@pytest.fixture
def empty(tmp_path):
    """A server on an empty store."""
    with running(tmp_path / "home", tmp_path / "log") as url:
        yield Site(url, tmp_path / "home")


@pytest.fixture(scope="session")
def shared(tmp_path_factory, demo):
    """One server for most tests, on a store with the simulated cat, which they leave as it was."""
    with running(demo.home, tmp_path_factory.mktemp("server") / "log") as url:
        yield Site(url, demo.home)


@dataclass(frozen=True)
class Site:
    url: str
    home: Path

    @contextmanager
    def store(self):
        """The store behind the server, opened a second time."""
        store = Store(self.home)
        yield store
        store.close()


class Screen:
    """A page with the few things a person does on it."""

    def __init__(self, page: Page, url: str) -> None:
        self.page, self.url = page, url
        self.page.set_default_timeout(WAIT_MS)
        expect.set_options(timeout=WAIT_MS)

    def open(self, path: str = "/") -> None:
        """Go to a screen by its address."""
        self.page.goto(self.url + path)
        self.settle()

    def settle(self) -> None:
        """Wait until the script has run to its end, all is drawn, and both stay so."""
        self.page.evaluate("() => { delete window.quietSince; }")
        self.page.wait_for_function(QUIET, timeout=WAIT_MS)

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name).first.click()
        self.settle()

    def choose(self, name: str, *, exact: bool = False) -> None:
        self.page.get_by_role("radio", name=name, exact=exact).first.click()
        self.settle()

    def upload(self, *files: Path) -> None:
        self.page.locator("input[type=file]").first.set_input_files([str(file) for file in files])
        self.page.wait_for_timeout(300)
        self.settle()

    def sees(self, words: str) -> None:
        expect(self.page.get_by_text(words).first).to_be_visible(timeout=WAIT_MS)

    def lacks(self, words: str) -> None:
        expect(self.page.get_by_text(words)).to_have_count(0)

    @property
    def canvas(self) -> Locator:
        """The photo that is drawn on, not one that is only looked at."""
        return self.page.locator("svg[data-tool=circle], svg[data-tool=mend]").last

    def on_screen(self, x: float, y: float) -> tuple[float, float]:
        """Where a pixel of the original photo is on the screen."""
        self.canvas.wait_for()
        self.canvas.evaluate("svg => svg.scrollIntoView({block: 'center'})")
        found = self.canvas.evaluate(
            "(svg, [x, y]) => { const p = new DOMPoint(x, y).matrixTransform(svg.getScreenCTM());"
            " return [p.x, p.y]; }",
            [x, y],
        )
        return found[0], found[1]

    def tap(self, x: float, y: float) -> None:
        self.page.touchscreen.tap(*self.on_screen(x, y))
        self.page.wait_for_timeout(200)

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """One finger from one place on the photo to another, as slow as a hand."""
        (x0, y0), (x1, y1) = self.on_screen(*start), self.on_screen(*end)
        session = self.page.context.new_cdp_session(self.page)

        def touch(kind: str, points: list[dict]) -> None:
            session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

        touch("touchStart", [{"x": x0, "y": y0}])
        for step in range(1, 11):
            share = step / 10
            touch("touchMove", [{"x": x0 + (x1 - x0) * share, "y": y0 + (y1 - y0) * share}])
            time.sleep(0.016)
        touch("touchEnd", [])
        session.detach()
        self.settle()

    def violations(self) -> list[str]:
        """What axe finds wrong, in short."""
        found = Axe().run(self.page, options=WCAG).response["violations"]
        return [f"{v['id']}: {[node['html'][:160] for node in v['nodes'][:3]]}" for v in found]

    def overflow_px(self) -> int:
        """How far the page could be moved sideways, once nothing is waited for any more."""
        self.page.wait_for_function("() => !document.querySelector('.stSkeleton')")
        return self.page.evaluate(
            "() => { const m = document.querySelector('[data-testid=stMain]');"
            " return Math.max(m.scrollWidth - m.clientWidth,"
            " document.documentElement.scrollWidth - innerWidth); }"
        )


@pytest.fixture
def on(chromium: Browser):
    """Open screens of a kind; fails on any page error and on any request to elsewhere."""
    contexts, faults = [], []

    def watch(page: Page, url: str) -> None:
        page.on("pageerror", lambda error: faults.append(f"page error: {error}"))
        page.on("console", lambda said: _note(faults, said))
        page.on("request", lambda request: _abroad(faults, request.url, url))

    def open_screen(kind: dict, site: Site, **extra) -> Screen:
        context = chromium.new_context(**kind, **extra)
        contexts.append(context)
        page = context.new_page()
        watch(page, site.url)
        return Screen(page, site.url)

    yield open_screen
    for context in contexts:
        context.close()
    assert faults == []


def _note(faults: list[str], said) -> None:
    if said.type == "error" and not any(known in said.text for known in HARMLESS):
        faults.append(f"console: {said.text}")


def _abroad(faults: list[str], asked: str, home: str) -> None:
    host = home.removeprefix("http://")
    ours = (home, f"ws://{host}", "blob:", "data:")
    if not asked.startswith(ours):
        faults.append(f"request to {asked}")
