"""The report as a file: opened without the app or any network, on a desk and on a phone."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from lesioncompare.report.html import as_html
from lesioncompare.series.report import report_of
from lesioncompare.store import Store

from .conftest import DESK, PHONE, WCAG


@pytest.fixture(scope="module")
def file(demo, tmp_path_factory):
    store = Store(demo.home)
    site = store.sites.of_cat(store.cats.all()[0].id)[0]
    page = as_html(report_of(store, store.spots.of_site(site.id)[0].id))
    store.close()
    path = tmp_path_factory.mktemp("report") / "report.html"
    path.write_bytes(page)
    return path


@pytest.fixture
def show(chromium, file):
    """Open the file offline; any fault, or any request, fails the test."""
    contexts, faults = [], []

    def opened(kind, **extra):
        context = chromium.new_context(**kind, offline=True, **extra)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("console", lambda said: said.type == "error" and faults.append(said.text))
        page.on(
            "request",
            lambda asked: asked.url.startswith(("file:", "data:")) or faults.append(asked.url),
        )
        page.goto(file.as_uri())
        page.wait_for_selector(".viewer .pane")
        return page

    yield opened
    for context in contexts:
        context.close()
    assert faults == []


def mode(page, name: str) -> None:
    page.locator(f".viewer input[value={name}]").check()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_has_no_fault_of_access_however_the_photos_are_shown(show, scheme):
    """axe-core, rules of WCAG 2.0 to 2.2, levels A and AA."""
    page = show(PHONE, color_scheme=scheme)
    for name in ("side", "divided", "turns", "difference"):
        mode(page, name)
        found = Axe().run(page, options=WCAG).response["violations"]
        assert [v["id"] for v in found] == []
    wide = "document.documentElement.scrollWidth - innerWidth"
    assert page.evaluate(wide) <= 0


def test_on_a_phone_no_drawing_begins_with_its_old_visits_only(show):
    page = show(PHONE)
    first, *others = page.locator("figure > .wide").all()
    right = "box => box.getBoundingClientRect().right"
    hidden = "box => box.scrollWidth - box.clientWidth"
    assert first.evaluate(hidden) <= 0
    for drawing in others:
        assert drawing.evaluate(hidden) > 0
        end = drawing.locator("svg").evaluate(right)
        assert end == pytest.approx(drawing.evaluate(right), abs=1)  # [px] by rounding


def test_both_pictures_are_zoomed_together(show):
    page = show(DESK)
    page.get_by_role("button", name="Zoom in").click()
    boxes = page.locator(".viewer .pane > svg").evaluate_all(
        "all => all.map(svg => svg.getAttribute('viewBox'))"
    )
    assert len(boxes) == 2
    assert boxes[0] == boxes[1] != "0 0 700 700"


def test_the_line_moves_with_keys(show):
    page = show(DESK)
    mode(page, "divided")
    line = page.get_by_label("Dividing line")
    line.focus()
    page.keyboard.press("ArrowRight")
    assert line.input_value() == "51"
    assert page.locator(".edge").evaluate("edge => edge.style.left") == "51%"


def test_nothing_flashes_by_itself_and_turning_can_be_stopped(show):
    """At most one change a second; WCAG 2.3.1 allows three flashes."""
    page = show(DESK)
    mode(page, "turns")
    tag = page.locator(".viewer .tag")
    still = tag.inner_text()
    page.wait_for_timeout(1500)
    assert tag.inner_text() == still
    page.get_by_role("button", name="Start turning").click()
    page.wait_for_timeout(300)
    first = tag.inner_text()
    assert first != still
    page.get_by_role("button", name="Stop turning").click()
    page.wait_for_timeout(1500)
    assert tag.inner_text() == first


def test_the_difference_is_told_in_millimetres(show):
    page = show(DESK)
    mode(page, "difference")
    told = page.locator(".told").inner_text()
    assert "outward by at most" in told
    assert page.locator(".legend li").count() == 5


def test_the_ruler_measures_what_the_bar_shows(show):
    """The ruler laid along the millimetre bar reads the bar's length."""
    page = show(DESK)
    page.get_by_role("button", name="Ruler").click()
    told = page.evaluate(
        """() => {
            const pane = document.querySelector('.viewer .pane svg');
            const bar = pane.querySelectorAll('rect')[1];
            const ends = [...pane.querySelectorAll('.handle')];
            const apart = Math.abs(ends[1].getAttribute('cx') - ends[0].getAttribute('cx'));
            const words = [...pane.querySelectorAll('text')].map((t) => parseFloat(t.textContent));
            return [words[0] / bar.getAttribute('width'), words[1] / apart];
        }"""
    )
    # both in mm per shown pixel; the bar's words have two digits, the ruler's two decimals
    assert told[0] == pytest.approx(told[1], rel=0.01)


def test_without_scripts_the_photos_are_there(chromium, file):
    context = chromium.new_context(java_script_enabled=False, offline=True)
    page = context.new_page()
    page.goto(file.as_uri())
    assert page.locator("figure img").count() >= 2
    assert not page.locator(".viewer-room").is_visible()
    context.close()
