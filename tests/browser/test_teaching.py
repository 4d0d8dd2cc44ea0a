"""The teaching screens in a real browser: rules of access, fingers, and files that open."""

import io

import pytest
from pypdf import PdfReader

from lesioncompare.teach.home_check import OTHER, Found, Look
from lesioncompare.teach.practice.album import pairs
from lesioncompare.terms import parse_site
from lesioncompare.ui.dates import local_day

from .conftest import DESK, PHONE

TALL = {**PHONE, "viewport": {"width": 360, "height": 4200}}  # axe sees only what is in view


@pytest.fixture
def taught(empty):
    """A server whose store holds a cat with outings, a look, a reminder and answers."""
    with empty.store() as store:
        cat = store.cats.add("Miez", coat_colour="orange", white_areas=("nose",), outdoor_hours=2)
        site = store.sites.add(cat.id, parse_site("nose"))
        store.places.set(52, 13, "Europe/Berlin")
        store.outings.set(cat.id, [("11:30", "13:00")])
        look = Look({"tray": Found(OTHER, ("no_urine",)), "ears": Found(OTHER, ("ear_smell",))})
        store.home_checks.add(cat.id, local_day(store.now()), look.to_entries())
        store.reminders.set(site.id, weekday=6, clock="17:00")
        for item in pairs():
            store.practice.add(item.key, "changed" if item.size > 0.1 else "same")
    return empty, cat.id, site.id


def test_no_teaching_screen_has_a_fault_of_access_or_reaches_beyond_a_small_phone(
    taught, on
) -> None:
    """axe-core, rules of WCAG 2.0 to 2.2, levels A and AA, in the light and the dark theme."""
    site, cat_id, site_id = taught
    screen = on(TALL, site)
    found = []
    addresses = {
        "sun": f"/sun?cat={cat_id}",
        "which_cats": f"/which_cats?cat={cat_id}",
        "home_check": f"/home_check?cat={cat_id}",
        "reminder": f"/reminder?site={site_id}",
        "practice": "/practice",
    }
    for name, address in addresses.items():
        for theme in ("light", "dark"):
            screen.page.emulate_media(color_scheme=theme)
            screen.open(address)
            if name == "practice":
                screen.choose("Class")
            if (beyond := screen.overflow_px()) > 0:
                found.append(f"{name} reaches {beyond} px beyond the edge")
            found += [f"{name}, {theme}: {fault}" for fault in screen.violations()]
    assert found == [], "\n".join(found)


def test_a_pair_is_judged_with_a_finger_and_the_sheet_for_a_class_opens(empty, on) -> None:
    screen = on(PHONE, empty)
    screen.open("/practice")
    screen.press("Changed")
    screen.sees("The truth:")
    screen.sees("The program was")
    with empty.store() as store:
        assert [a.said for a in store.practice.this_round()] == ["changed"]
    screen.choose("Class")
    with screen.page.expect_download() as download:
        screen.page.get_by_role("button", name="Download set 1").click()
    with open(download.value.path(), "rb") as file:  # noqa: PTH123  the browser's own file
        pages = PdfReader(io.BytesIO(file.read())).pages
    assert "Same, or changed?" in pages[0].extract_text()


def test_the_weekly_reminder_is_downloaded_as_a_calendar(taught, on) -> None:
    site, _, site_id = taught
    screen = on(DESK, site)
    screen.open(f"/reminder?site={site_id}")
    with screen.page.expect_download() as download:
        screen.page.get_by_role("button", name="Download for the calendar").click()
    with open(download.value.path(), "rb") as file:  # noqa: PTH123  the browser's own file
        assert b"BEGIN:VCALENDAR" in file.read()
