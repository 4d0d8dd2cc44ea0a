"""Correcting, leaving out and bringing back, on the history of a site."""

import numpy as np
from playwright.sync_api import expect

from lesioncompare.series import follow_spot, outline_px

from .conftest import PHONE


def first_site(store):
    cat = next(cat for cat in store.cats.all() if cat.simulated)
    return store.sites.of_cat(cat.id)[0]


def test_an_outline_corrected_with_the_brush_is_kept_beside_the_old_one(shared, on) -> None:
    with shared.store() as store:
        site = first_site(store)
        spot = store.spots.of_site(site.id)[0]
        last = follow_spot(store, spot.id).taken[-1]
        border = outline_px(last.reading)
        before = len(store.runs.all(last.photo.id, spot.id))
        area = last.reading.measurement.quantities["area"].value
    screen = on(PHONE, shared)
    screen.open(f"/history?site={site.id}")
    screen.press("Correct the outline")
    screen.sees("Correct the edge")
    middle, reach = border.mean(axis=0), np.ptp(border, axis=0)[0]
    right = (middle[0] + 0.75 * reach, middle[1])
    screen.drag((middle[0], middle[1]), right)
    screen.page.reload()  # a phone that locks keeps the stroke
    screen.settle()
    screen.sees("Correct the edge")
    screen.press("Use this outline")
    screen.sees("This outline was corrected by hand.")

    with shared.store() as store:
        runs = store.runs.all(last.photo.id, spot.id)
        assert len(runs) == before + 1
        grown = follow_spot(store, spot.id).taken[-1].reading
        assert grown.outline.by == "person"
        assert grown.measurement.quantities["area"].value > 1.05 * area
        assert store.corrections.drawn(last.photo.id, spot.id).strokes
    screen.press("Take the program’s own outline again")
    screen.lacks("This outline was corrected by hand.")


def test_the_strip_begins_with_the_newest_photo(shared, on) -> None:
    with shared.store() as store:
        site = first_site(store)
        count = len(follow_spot(store, store.spots.of_site(site.id)[0].id).taken)
    screen = on(PHONE, shared)
    screen.open(f"/history?site={site.id}")
    strip = screen.page.locator(".st-key-strip")
    screen.page.set_viewport_size({"width": 320, "height": 844})  # narrower than three photos
    reach = "box => box.scrollWidth - box.clientWidth"
    expect(strip.locator("img")).to_have_count(count)
    assert strip.evaluate(reach) > 0
    first, *_, last = strip.locator("img").all()
    assert first.bounding_box()["x"] < 0  # oldest on the left, newest in view
    assert last.bounding_box()["x"] + last.bounding_box()["width"] <= 320
    strip.evaluate("box => box.scrollTo(-box.scrollWidth, 0)")
    assert first.bounding_box()["x"] >= 0


def test_a_photo_left_out_or_deleted_comes_back(shared, on) -> None:
    with shared.store() as store:
        site = first_site(store)
        spot = store.spots.of_site(site.id)[0]
        count = len(follow_spot(store, spot.id).series.visits)
    screen = on(PHONE, shared)
    screen.open(f"/history?site={site.id}")

    screen.page.get_by_text("Leave this photo out of the series").first.click()
    screen.choose("not sharp")
    screen.page.get_by_role("button", name="Leave this photo out of the series").last.click()
    screen.settle()
    screen.sees("Left out on")
    with shared.store() as store:
        assert len(follow_spot(store, spot.id).series.visits) == count - 1
    screen.press("Use this photo again")
    screen.lacks("Left out on")
    delete = screen.page.get_by_role("button", name="Delete this photo")
    if not delete.is_visible():
        screen.page.get_by_text("Leave this photo out of the series").first.click()
        screen.settle()  # the drawer has opened
    delete.click()
    screen.settle()
    screen.sees("was deleted.")
    screen.press("Undo")
    screen.lacks("was deleted.")
    with shared.store() as store:
        assert len(follow_spot(store, spot.id).series.visits) == count


def test_a_removed_cat_comes_back(shared, on) -> None:
    with shared.store() as store:
        name = next(cat.name for cat in store.cats.all() if cat.simulated)
    screen = on(PHONE, shared)
    screen.open()
    screen.page.get_by_role("link", name=f"About {name}").click()
    screen.settle()
    screen.press("from this computer’s list")
    screen.sees("was removed.")
    with shared.store() as store:
        assert not any(cat.simulated for cat in store.cats.all())
    screen.press("Undo")
    screen.lacks("was removed.")
    with shared.store() as store:
        assert any(cat.simulated for cat in store.cats.all())
