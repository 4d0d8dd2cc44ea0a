"""The weekly visit on a phone, from the first start to the result."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from lesioncompare.terms import KEEPER_PART, parse_site

from .conftest import DESK, PHONE

TURNED_HEIC = Path(__file__).parent.parent / "references" / "turned.heic"


@pytest.fixture
def unstickered(demo, tmp_path):
    """The first photo with its sticker painted over, as if it had been forgotten."""
    picture = np.asarray(Image.open(demo.photos[0]).convert("RGB")).copy()
    x, y, radius = (round(part) for part in demo.spot)
    kept = picture[y - 2 * radius : y + 2 * radius, x - 2 * radius : x + 2 * radius].copy()
    picture[:] = picture.mean(axis=(0, 1)).astype(np.uint8)
    picture[y - 2 * radius : y + 2 * radius, x - 2 * radius : x + 2 * radius] = kept
    path = tmp_path / "no-sticker.jpg"
    Image.fromarray(picture).save(path, quality=90)
    return path


def show_the_spot(screen, demo) -> None:
    """Tap the spot to come nearer, then put a finger on its middle and drag to its edge."""
    x, y, radius = demo.spot
    screen.tap(x, y)
    screen.drag((x, y), (x + radius, y))
    screen.press("This is the spot")


def test_first_start_to_second_result_on_a_phone_with_reloads_in_the_middle(
    empty, on, demo
) -> None:
    screen = on(PHONE, empty)
    screen.open("/guide")  # a link kept from before works as the very first one
    screen.sees("Back to home")
    assert "stMainBlockContainer" in " ".join(screen.page.locator("style").all_inner_texts())
    screen.open()
    screen.sees("One spot, once a week")
    for scheme in ("dark", "light"):
        screen.page.emulate_media(color_scheme=scheme)
        screen.settle()
        assert screen.violations() == []
    screen.press("Add your cat")
    screen.page.get_by_label("Name").fill("Miez")
    screen.press("Save and choose a place")
    place = parse_site(demo.site)
    screen.choose(KEEPER_PART[place.part])
    for word in (place.level, place.side):
        if word is not None:
            screen.choose(word, exact=True)
    screen.press("Save and take the first photo")

    screen.upload(demo.photos[0])
    screen.sees("Usable. The sticker was found")
    screen.page.reload()
    screen.settle()
    screen.sees("Usable. The sticker was found")
    screen.press("Go on")
    show_the_spot(screen, demo)
    screen.sees("Is this the edge of")
    screen.page.reload()
    screen.settle()
    screen.sees("Is this the edge of")
    screen.press("Yes, this is the edge")
    screen.choose("Yes")
    screen.page.reload()
    screen.settle()
    assert (
        screen.page.get_by_role("radio", name="Yes").first.get_attribute("aria-checked") == "true"
    )
    screen.press("Go on")
    screen.sees("This is the first visit")

    screen.press("Done")
    screen.press("New photo")
    screen.upload(demo.photos[1])
    screen.sees("Usable.")
    screen.press("Go on")
    screen.press("Yes, this is the edge")
    screen.press("Go on")
    screen.sees("Against last time")
    screen.sees("Against the start")
    screen.page.get_by_role("button", name="Swap").wait_for()
    with empty.store() as store:
        site = store.sites.of_cat(store.cats.all()[0].id)[0]
        assert len(store.visits.of_site(site.id)) == 2
        assert store.check() == []


def test_a_bad_photo_says_what_to_do_and_the_retake_goes_on(shared, on, demo, unstickered) -> None:
    with shared.store() as store:
        site = store.sites.add(store.cats.add("Miez").id, parse_site(demo.site))
        store.spots.add(site.id, "dot")
        visit = store.visits.begin(site.id)
    screen = on(PHONE, shared)
    screen.open(f"/visit?visit={visit.id}")
    text = unstickered.with_name("words.jpg")
    text.write_text("not a photo at all, whatever its name says " * 20)

    screen.upload(unstickered)
    screen.sees("This photo cannot be used.")
    assert screen.page.get_by_role("button", name="Go on").count() == 0
    screen.upload(text)
    with shared.store() as store:
        assert len(store.photos.of_visit(visit.id)) == 1  # what is no photo is not kept
    screen.upload(demo.photos[0])
    screen.sees("Usable. The sticker was found")
    screen.press("Leave this photo out")
    screen.sees("was left out")
    screen.press("Go on")
    screen.sees("Where is dot?")


def test_a_photo_in_a_phones_own_format_is_kept_as_it_came(shared, on, demo) -> None:
    with shared.store() as store:
        site = store.sites.add(store.cats.add("Own format").id, parse_site(demo.site))
        visit = store.visits.begin(site.id)
    screen = on(PHONE, shared)
    screen.open(f"/visit?visit={visit.id}")
    screen.upload(TURNED_HEIC)
    screen.sees("This photo cannot be used.")  # it shows no sticker
    with shared.store() as store:
        [photo] = store.photos.of_visit(visit.id)
        assert store.photos.data(photo.id) == TURNED_HEIC.read_bytes()


def test_two_tabs_on_one_visit_neither_lose_nor_block(shared, on, demo) -> None:
    with shared.store() as store:
        site = store.sites.add(store.cats.add("Two tabs").id, parse_site(demo.site))
        visit = store.visits.begin(site.id)
        store.photos.add(visit.id, demo.photos[-1].read_bytes(), name="again.jpg")
        store.visits.set_step(visit.id, "questions")
    one, other = on(PHONE, shared), on(DESK, shared)
    for screen in (one, other):
        screen.open(f"/visit?visit={visit.id}")
        screen.sees("What a photo cannot show")

    one.page.get_by_role("radio", name="Yes").nth(0).click()
    other.page.get_by_role("radio", name="No", exact=True).nth(1).click()
    one.settle()
    other.settle()

    with shared.store() as store:
        assert sorted(store.answers.of_visit(visit.id).values()) == ["no", "yes"]
    one.press("Go on")
    one.sees("The result")
    other.page.reload()
    other.settle()
    other.sees("The result")


def test_the_spot_can_be_shown_without_a_pointer(shared, on, demo) -> None:
    with shared.store() as store:
        site = store.sites.add(store.cats.add("Miez").id, parse_site(demo.site))
        spot = store.spots.add(site.id, "dot")
        visit = store.visits.begin(site.id)
        photo = store.photos.add(visit.id, demo.photos[0].read_bytes(), name="a.jpg")
        store.visits.set_step(visit.id, "spot")
    screen = on(DESK, shared)
    screen.open(f"/visit?visit={visit.id}")
    screen.sees("Where is dot?")
    screen.canvas.focus()
    for key in ("ArrowLeft", "Shift+ArrowUp", "Enter", "+"):
        screen.page.keyboard.press(key)
    screen.settle()
    screen.press("This is the spot")
    with shared.store() as store:
        assert store.seeds.latest(photo.id, spot.id) is not None
