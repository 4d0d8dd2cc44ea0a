"""The vet's page in a real browser: pictures that follow the hand without asking the server."""

import shutil
from pathlib import Path

import pytest

from .conftest import DESK

TABLET = {"viewport": {"width": 820, "height": 1180}, "has_touch": True}
TALL_DESK = {"viewport": {"width": 1280, "height": 3200}}  # axe sees only what is in view
SENT = "websocket"


def address(shared) -> str:
    with shared.store() as store:
        cat = next(cat for cat in store.cats.all() if cat.simulated)
        return f"/vet?site={store.sites.of_cat(cat.id)[0].id}"


@pytest.mark.parametrize("kind", [DESK, TABLET], ids=["desk", "tablet"])
def test_zooming_and_dividing_ask_the_server_nothing(shared, on, kind) -> None:
    screen = on(kind, shared)
    sent: list[object] = []

    def note(frame) -> None:
        sent.append(frame)

    screen.page.on(SENT, lambda socket: socket.on("framesent", note))
    screen.open(address(shared))
    screen.page.wait_for_selector(".viewer .pane")
    screen.settle()
    screen.page.wait_for_timeout(1500)
    sent.clear()
    screen.page.get_by_role("button", name="Zoom in").click()
    screen.page.locator("input[value=divided]").check()
    screen.page.get_by_label("Dividing line").focus()
    screen.page.keyboard.press("ArrowRight")
    screen.page.get_by_role("button", name="Borders").click()
    screen.page.wait_for_timeout(500)
    assert sent == []
    assert screen.overflow_px() <= 0


def test_a_place_marked_on_a_picture_is_kept_with_the_biopsy(empty, demo, on) -> None:
    shutil.copytree(demo.home, empty.home, dirs_exist_ok=True)
    screen = on(DESK, empty)
    screen.open(address(empty))
    screen.page.wait_for_selector(".viewer .pane")
    screen.page.get_by_role("textbox", name="Your name").fill("Dr A")
    screen.page.keyboard.press("Enter")
    screen.settle()
    screen.page.get_by_role("button", name="Mark a place").click()
    pane = screen.page.locator(".viewer .pane").last
    pane.scroll_into_view_if_needed()
    box = pane.bounding_box()
    screen.page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    screen.settle()
    screen.page.get_by_role("radio", name="Biopsy").or_(
        screen.page.get_by_role("button", name="Biopsy")
    ).first.click()
    screen.settle()
    screen.sees("A place is marked on the photo")
    screen.press("Keep the decision")
    with empty.store() as store:
        cat = next(cat for cat in store.cats.all() if cat.simulated)
        site = store.sites.of_cat(cat.id)[0]
        (kept,) = store.decisions.of_site(site.id)
        last = store.photos.of_visit(store.visits.of_site(site.id)[-1].id)[0]
        assert (kept.kind, kept.who, kept.photo_id) == ("biopsy", "Dr A", last.id)
        assert kept.x == pytest.approx(demo.spot[0], abs=300)  # near the spot, not at a corner


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_part_of_it_has_a_fault_of_access(shared, on, scheme) -> None:
    """axe-core, rules of WCAG 2.0 to 2.2, levels A and AA, behind every tab."""
    screen = on(TALL_DESK, shared, color_scheme=scheme)
    screen.open(address(shared))
    screen.page.wait_for_selector(".viewer .pane")
    for tab in ("Decide", "Borders and visits", "Not used", "Take along"):
        screen.page.get_by_role("tab", name=tab).click()
        screen.settle()
        assert screen.violations() == []


@pytest.mark.parametrize(
    ("label", "start"),
    [("Report (PDF)", b"%PDF"), ("Report (HTML)", b"<!DOCTYPE html>"), ("Everything", b"PK")],
)
def test_what_is_taken_along_is_made_when_it_is_asked_for(shared, on, label, start) -> None:
    screen = on(DESK, shared)
    screen.open(address(shared))
    screen.page.wait_for_selector(".viewer .pane")
    screen.page.get_by_role("tab", name="Take along").click()
    screen.settle()
    with screen.page.expect_download() as expected:
        screen.page.get_by_role("button", name=label).click()
    assert Path(expected.value.path()).read_bytes().startswith(start)
