"""Every screen runs on a store with a cat in it, and says what it should."""

import json
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from lesioncompare import ui
from lesioncompare.registry.questions import QUESTIONS
from lesioncompare.series import follow_spot
from lesioncompare.series.demo import TRUTH
from lesioncompare.store import Store
from lesioncompare.terms import parse_site
from lesioncompare.ui import following

MAIN = Path(ui.__file__).parent / "main.py"
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")


@pytest.fixture
def nothing(tmp_path, monkeypatch):
    """An empty store."""
    monkeypatch.setenv("LESIONCOMPARE_HOME", str(tmp_path / "home"))
    kept = Store(tmp_path / "home")
    yield kept
    kept.close()


def demo_site(store: Store):
    return store.sites.of_cat(store.cats.all()[0].id)[0]


def open_page(name: str = "home", **ids: str) -> AppTest:
    page = AppTest.from_file(str(MAIN), default_timeout=300)
    page.run()
    if name != "home":
        page.switch_page(f"screens/{name}.py")
        for key, value in ids.items():
            page.query_params[key] = value
        page.run()
    assert [fault.value for fault in page.exception] == []
    return page


def press(page: AppTest, label: str) -> AppTest:
    button = next(b for b in page.button if b.label == label)
    button.click().run()
    assert [fault.value for fault in page.exception] == []
    return page


def words(page: AppTest) -> str:
    kinds = (page.title, page.header, page.subheader, page.markdown, page.caption)
    return "\n".join(str(element.value) for kind in kinds for element in kind)


def canvases(page: AppTest) -> list[dict]:
    """What was given to each component that takes JSON."""
    found = [json.loads(e.proto.json) for e in page.get("bidi_component") if e.proto.json]
    return [data for data in found if data]


class TestHome:
    @pytest.mark.usefixtures("nothing")
    def test_the_first_start_offers_a_cat_and_the_simulated_one(self) -> None:
        page = open_page()
        assert [b.label for b in page.button] == ["Add your cat", "Look at a simulated cat first"]
        assert "not a diagnosis" in words(page)

    def test_a_tile_tells_last_photo_next_date_and_latest_finding(self, store) -> None:
        page = open_page()
        site = demo_site(store)
        said = words(page)
        assert "Simulated cat" in said
        assert "Last photo:" in said
        assert "Next photo:" not in said  # nobody photographs it
        followed = follow_spot(store, store.spots.of_site(site.id)[0].id)
        assert followed.series.findings[0].says in said.replace("\\", "").replace("\xa0", " ")

    @pytest.mark.parametrize(
        ("question", "urgent"), [("broken", True), ("one_sided", False)], ids=["now", "show"]
    )
    def test_a_tile_leads_to_the_vet_first_where_a_finding_does(
        self, store, question, urgent
    ) -> None:
        site = demo_site(store)
        store.cats.edit(site.cat_id, simulated=False)
        assert "Next photo:" in words(open_page())
        visit = store.visits.of_site(site.id)[-1].id
        store.answers.give(visit, question, "yes")
        page = open_page()
        kinds = {b.label: b.proto.type for b in page.button}
        assert (kinds["Show the vet"], kinds["New photo"]) == ("primary", "secondary")
        assert ("Next photo:" in words(page)) is not urgent
        said = words(open_page("visit", visit=visit))
        asked = "Ring your vet now" if urgent else "Show it to your vet"
        assert f"- **{asked}, whatever the photos show" in said
        assert ("The next photo is due now." in said) is not urgent

    def test_a_tile_says_what_the_hands_told_though_no_photo_could_be_measured(self, store) -> None:
        visit = store.visits.begin(demo_site(store).id)
        store.photos.add(visit.id, b"x" * 99, name="a")
        store.answers.give(visit.id, "broken", "yes")
        store.visits.finish(visit.id)
        assert QUESTIONS["broken"].told in words(open_page())

    def test_a_visit_in_progress_is_offered_again(self, store) -> None:
        store.visits.begin(demo_site(store).id)
        assert any(b.label.startswith("Go on with the visit") for b in open_page().button)


class TestCat:
    def test_nothing_is_preset_and_only_the_name_is_needed(self, nothing) -> None:
        page = open_page("cat")
        assert all(group.value in (None, []) for group in page.button_group)
        press(page, "Save and choose a place")
        assert "no name" in page.error[0].value
        page.text_input[0].input("Miez").run()
        press(page, "Save and choose a place")
        assert [cat.name for cat in nothing.cats.all()] == ["Miez"]
        assert "A place to photograph" in words(page)

    def test_a_hostile_name_stays_a_name(self, nothing) -> None:
        cat = nothing.cats.add("<script>alert(1)</script> **x** [a](http://b)")
        said = words(open_page())
        assert cat.name not in said
        assert "\\<script\\>" in said

    def test_removing_a_cat_leaves_a_way_back(self, store) -> None:
        cat = store.cats.all()[0]
        page = press(open_page("cat", cat=cat.id), f"Remove {cat.name} from this computer’s list")
        assert store.cats.all() == []
        assert any(b.label == f"Bring back {cat.name}" for b in open_page().button)
        del page


class TestVisit:
    @pytest.fixture
    def visit(self, nothing):
        site = nothing.sites.add(nothing.cats.add("Miez").id, parse_site("ear-left"))
        nothing.spots.add(site.id, "dot")
        return nothing.visits.begin(site.id)

    @pytest.fixture
    def photo(self, demo_photos):
        name = json.loads((demo_photos / TRUTH).read_text())["photos"][0]
        return name, (demo_photos / name).read_bytes()

    def test_an_uploaded_photo_is_looked_at_kept_and_found_again(
        self, nothing, visit, photo
    ) -> None:
        page = open_page("visit", visit=visit.id)
        page.file_uploader[0].upload(*photo, "image/jpeg").run()
        assert [fault.value for fault in page.exception] == []
        assert "Usable." in words(page)
        assert any(data.get("sticker") for data in canvases(page))
        kept = nothing.photos.of_visit(visit.id)
        assert [nothing.photos.data(p.id) for p in kept] == [photo[1]]

        again = open_page("visit", visit=visit.id)  # after a reload
        assert "Usable." in words(again)
        press(again, "Go on")
        assert "Where is dot?" in words(again)

    def test_what_is_no_photo_is_refused_kindly_and_not_kept(self, nothing, visit) -> None:
        page = open_page("visit", visit=visit.id)
        page.file_uploader[0].upload("a.jpg", b"words, not a picture" * 30, "image/jpeg").run()
        assert "This photo cannot be used." in words(page)
        assert nothing.photos.of_visit(visit.id) == []
        assert not any(b.label == "Go on" for b in page.button)

    def test_answers_are_kept_as_they_are_given_and_none_is_preset(self, nothing, visit) -> None:
        nothing.visits.set_step(visit.id, "questions")
        page = open_page("visit", visit=visit.id)
        assert "Step 4 of 5" in words(page)
        assert {group.value for group in page.button_group} == {None}
        page.button_group[0].set_value("yes").run()
        assert set(nothing.answers.of_visit(visit.id).values()) == {"yes"}
        press(page, "Go on")
        assert nothing.visits.get(visit.id).finished_at is not None

    def test_steps_that_are_not_shown_are_not_counted(self, store) -> None:
        """From the second visit on, nobody is asked to show the spot."""
        visit = store.visits.begin(demo_site(store).id)
        assert "Step 1 of 4: photos" in words(open_page("visit", visit=visit.id))
        store.visits.set_step(visit.id, "questions")
        assert "Step 3 of 4" in words(open_page("visit", visit=visit.id))

    @pytest.mark.usefixtures("nothing")
    def test_a_link_that_leads_nowhere_says_so(self) -> None:
        assert "leads nowhere" in words(open_page("visit", visit="0" * 24))

    def test_the_result_compares_with_last_time_and_the_start(self, store) -> None:
        site = demo_site(store)
        store.cats.edit(site.cat_id, simulated=False)
        visit = store.visits.of_site(site.id)[-1]
        said = words(open_page("visit", visit=visit.id))
        assert "Against last time" in said
        assert "Against the start" in said
        assert "not a diagnosis" in said
        assert "Take the next photo" in said or "due now" in said

    def test_the_result_is_headed_by_what_sends_to_the_vet(self, store) -> None:
        """A broken skin felt by hand is no "same as before" and no "odd today"."""
        visits = store.visits.of_site(demo_site(store).id)
        store.answers.give(visits[-1].id, "broken", "yes")
        heads = [h.value for h in open_page("visit", visit=visits[-1].id).header]
        assert "Ring the vet now" in heads
        earlier = [h.value for h in open_page("visit", visit=visits[1].id).header]
        assert "Ring the vet now" not in earlier  # it was not known then


class TestHistory:
    def test_leaving_a_photo_out_needs_a_reason_and_is_undone(self, store) -> None:
        site = demo_site(store)
        photo = store.photos.of_visit(store.visits.of_site(site.id)[-1].id)[0]
        page = open_page("history", site=site.id)
        leave = next(b for b in page.button if b.label == "Leave this photo out of the series")
        assert leave.disabled
        next(g for g in page.button_group if "not sharp" in g.options).set_value("not sharp").run()
        press(page, "Leave this photo out of the series")
        assert (store.photos.get(photo.id).state, "not sharp") == (
            "excluded",
            store.photos.get(photo.id).reason,
        )
        press(page, "Use this photo again")
        assert store.photos.get(photo.id).state == "used"

    @pytest.mark.slow
    def test_measuring_again_keeps_the_old_numbers(self, store) -> None:
        site = demo_site(store)
        spot = store.spots.of_site(site.id)[0]
        before = store.runs.ids_of_spot(spot.id)
        press(open_page("history", site=site.id), "Measure again now")
        after = store.runs.ids_of_spot(spot.id)
        assert after[: len(before)] == before
        assert len(after) == 2 * len(before)

    @pytest.mark.slow
    def test_the_first_photo_can_be_left_out_and_the_rest_is_measured_anew(self, store) -> None:
        site = demo_site(store)
        spot = store.spots.of_site(site.id)[0]
        visits = store.visits.of_site(site.id)
        first, second = (store.photos.of_visit(v.id)[0] for v in visits[:2])
        store.photos.set_state(first.id, "excluded", reason="not sharp")
        assert follow_spot(store, spot.id).stale

        open_page("history", site=site.id)

        followed = follow_spot(store, spot.id)
        assert not followed.stale
        assert followed.first.photo.id == second.id
        assert len(followed.series.visits) == len(visits) - 1

    def test_a_note_is_kept_and_shown(self, store) -> None:
        site = demo_site(store)
        page = open_page("history", site=site.id)
        page.text_area[0].input("Scratched on Monday").run()
        press(page, "Save the note")
        assert [n.text for n in store.notes.of_site(site.id)] == ["Scratched on Monday"]
        assert "Scratched on Monday" in words(page)


class TestSeriesThatCannotBeFollowed:
    """Whatever a photo does to a series, the keeper can leave that photo out."""

    def test_every_screen_opens_and_leads_to_leaving_a_photo_out(self, store, monkeypatch) -> None:
        site = demo_site(store)
        store.cats.edit(site.cat_id, simulated=False)
        visit = store.visits.of_site(site.id)[-1]
        last = store.photos.of_visit(visit.id)[0]

        def failing(kept, spot_id):
            if kept.photos.get(last.id).state == "used":
                raise TypeError("can't compare offset-naive and offset-aware datetimes")
            return follow_spot(kept, spot_id)

        monkeypatch.setattr(following, "follow_spot", failing)
        screens = (("home", {}), ("reminder", {"site": site.id}), ("vet", {"site": site.id}))
        for name, ids in (*screens, ("visit", {"visit": visit.id})):
            page = open_page(name, **ids)
            assert "cannot be followed" in words(page), name
            assert "history" in json.dumps([str(way.proto) for way in page.get("page_link")])
        page = open_page("history", site=site.id)
        assert "Leave the newest photo out" in words(page)
        press(page, "Leave this photo out of the series")
        assert store.photos.get(last.id).state == "excluded"
        assert "cannot be followed" not in words(open_page())


class TestOthers:
    def test_the_check_bar_is_kept_and_an_impossible_one_refused(self, nothing) -> None:
        page = open_page("stickers")
        page.number_input[0].set_value(97.5).run()
        press(page, "Save the length")
        assert nothing.print_checks.all()[-1].printed_bar_mm == 97.5
        page.number_input[0].set_value(9.75).run()
        press(page, "Save the length")
        assert "not plausible" in page.error[0].value
        assert len(nothing.print_checks.all()) == 1

    def test_help_says_first_when_to_go(self, nothing) -> None:
        page = open_page("guide")
        assert page.header[0].value == "When to stop photographing and go to the vet"
        assert str(nothing.home.name) in words(page)
