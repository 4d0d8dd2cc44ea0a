"""What holds on every screen: no fault of access, nothing beside the edge, nothing from outside."""

import urllib.request

import pytest

from lesioncompare.records import Seed
from lesioncompare.series import examine
from lesioncompare.terms import parse_site

from .conftest import DESK, PHONE

# 360 px is a small phone; tall, because axe sees only what is in view
WIDE = {"viewport": {"width": 1280, "height": 2600}}
TALL = {**PHONE, "viewport": {"width": 360, "height": 2600}}


def addresses(store, demo) -> dict[str, str]:
    """Every screen of a keeper's week, and every step of a visit, by name."""
    cat = next(cat for cat in store.cats.all() if cat.simulated)
    site = store.sites.of_cat(cat.id)[0]
    done = store.visits.of_site(site.id)[-1]
    screens = {
        "home": "/",
        "cat": f"/cat?cat={cat.id}",
        "site": f"/site?cat={cat.id}",
        "history": f"/history?site={site.id}",
        "stickers": "/stickers",
        "guide": "/guide",
        "vet": f"/vet?site={site.id}",
        "result": f"/visit?visit={done.id}",
        "nowhere": "/visit?visit=000",
    }
    for step in ("photos", "spot", "outline", "mend", "questions"):
        screens[step] = f"/visit?visit={visit_at(step, store, demo).id}"
    return screens


def visit_at(step, store, demo):
    """A visit of a new cat that has come as far as one step."""
    site = store.sites.add(store.cats.add(step).id, parse_site(demo.site))
    spot = store.spots.add(site.id, "dot")
    visit = store.visits.begin(site.id)
    photo = store.photos.add(visit.id, demo.photos[0].read_bytes(), name="a.jpg")
    if step in {"outline", "mend"}:
        store.seeds.add(photo.id, spot.id, Seed(*demo.spot))
        examine(store, photo.id, spot.id)
    if step == "mend":
        draft = {"photo": photo.id, "spot": spot.id, "edits": []}
        store.visits.save_draft(visit.id, {"mend": draft})
    store.visits.set_step(visit.id, "outline" if step == "mend" else step)
    return visit


def test_no_screen_has_a_fault_of_access_or_reaches_beyond_a_small_phone(shared, on, demo) -> None:
    """axe-core, rules of WCAG 2.0 to 2.2, levels A and AA, in the light and the dark theme."""
    with shared.store() as store:
        screens = addresses(store, demo)
    screen = on(TALL, shared)
    found = []
    for name, address in screens.items():
        screen.page.emulate_media(color_scheme="light")
        screen.open(address)
        if (beyond := screen.overflow_px()) > 0:
            found.append(f"{name} reaches {beyond} px beyond the edge")
        found += [f"{name}, light: {fault}" for fault in screen.violations()]
        screen.page.emulate_media(color_scheme="dark")
        screen.settle()
        found += [f"{name}, dark: {fault}" for fault in screen.violations()]
    wide = on(WIDE, shared)
    for name in ("home", "result", "history", "vet"):  # what differs where there is room
        wide.open(screens[name])
        found += [f"{name}, wide: {fault}" for fault in wide.violations()]
    assert found == [], "\n".join(found)


def test_the_divider_moves_with_keys_and_never_flashes_by_itself(shared, on) -> None:
    with shared.store() as store:
        cat = next(cat for cat in store.cats.all() if cat.simulated)
        site = store.sites.of_cat(cat.id)[0]
        done = store.visits.of_site(site.id)[-1]
    screen = on(DESK, shared)
    screen.open(f"/visit?visit={done.id}")
    divider = screen.page.get_by_label("Divider")
    divider.focus()
    before = divider.input_value()
    screen.page.keyboard.press("ArrowRight")
    assert int(divider.input_value()) == int(before) + 1
    tags = screen.page.locator(".tag:visible")
    still = tags.all_inner_texts()
    screen.page.wait_for_timeout(1300)
    assert tags.all_inner_texts() == still
    screen.page.get_by_role("button", name="Swap").click()
    assert len(tags.all_inner_texts()) == 1


def test_every_answer_is_shielded(shared) -> None:
    """The headers that the OWASP Secure Headers Project recommends for a page in no frame."""
    with urllib.request.urlopen(shared.url, timeout=10) as answer:  # noqa: S310  our own server
        headers = answer.headers
    assert "default-src 'self'" in headers["content-security-policy"]
    assert "frame-ancestors 'none'" in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert "geolocation=()" in headers["permissions-policy"]
    with pytest.raises(urllib.error.HTTPError, match="404"):
        urllib.request.urlopen(f"{shared.url}/_stcore/metrics", timeout=10)  # noqa: S310
