"""The vet's page: evidence to see, words to keep with who and when, nothing overwritten."""

import json
import struct
from datetime import timedelta
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from lesioncompare import ui
from lesioncompare.report.sizes import size_line
from lesioncompare.series import follow_spot

MAIN = Path(ui.__file__).parent / "main.py"
HOSTILE = "<script>alert(1)</script> **bold** [x](http://example.org) $y$ :red[z]"
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")


@pytest.fixture
def site(store):
    return store.sites.of_cat(store.cats.all()[0].id)[0]


@pytest.fixture
def spot(store, site):
    return store.spots.of_site(site.id)[0]


def opened(site, *, name: str = "") -> AppTest:
    page = AppTest.from_file(str(MAIN), default_timeout=300)
    page.run()
    page.switch_page("screens/vet.py")
    page.query_params["site"] = site.id
    if name:
        page.session_state["review-who"] = name
    page.run()
    assert [fault.value for fault in page.exception] == []
    return page


def button(page: AppTest, label: str):
    return next(b for b in page.button if b.label == label)


def press(page: AppTest, label: str) -> AppTest:
    button(page, label).click().run()
    assert [fault.value for fault in page.exception] == []
    return page


def area(page: AppTest, label: str):
    return next(a for a in page.text_area if a.label == label)


def words(page: AppTest) -> str:
    kinds = (page.title, page.header, page.subheader, page.markdown, page.caption)
    text = "\n".join(str(element.value) for kind in kinds for element in kind)
    return text.replace("\u00a0", " ")


def packed(page: AppTest) -> list[dict]:
    """What was given to each component that takes pictures."""
    found = []
    for element in page.get("bidi_component"):
        data = element.proto.bytes
        if data:
            size = struct.unpack(">I", data[:4])[0]
            found.append(json.loads(data[4 : 4 + size]))
    return found


class TestSee:
    def test_the_first_and_the_last_photo_lie_side_by_side(self, site):
        page = opened(site)
        pair = next(head for head in packed(page) if "mm" in head)
        assert [shot["label"] for shot in pair["shots"]] == ["5 Apr 26", "24 May 26"]
        assert all(len(shot["outline"]) > 20 for shot in pair["shots"])
        assert 0 < pair["mm"] < 1

    def test_findings_stand_with_what_else_it_could_be(self, store, site, spot):
        page = opened(site)
        for finding in follow_spot(store, spot.id).series.findings:
            plain = words(page).replace("\\", "")
            assert finding.vet in plain
            assert all(thing in plain for thing in finding.could_be)

    def test_the_size_in_millimetres_stands_with_the_findings(self, store, site, spot):
        line = size_line(follow_spot(store, spot.id).series)
        assert "mm²" in line
        assert f"Size on {line}." in words(opened(site)).replace("\\", "")

    def test_what_is_known_of_the_cat_is_one_line(self, store, site):
        known = {"birth_year": 2014, "neutered": True, "coat_colour": "", "outdoor_hours": 3.0}
        store.cats.edit(site.cat_id, **known)
        line = f"about {store.now().year - 2014} y (born 2014), neutered, 3 h a day outdoors"
        assert line in words(opened(site)).replace("\\", "").split("\n")

    def test_it_says_what_it_is_not(self, site):
        assert "not a diagnosis" in words(opened(site))

    def test_an_empty_store_says_so(self, tmp_path, monkeypatch):
        monkeypatch.setenv("LESIONCOMPARE_HOME", str(tmp_path / "none"))
        page = AppTest.from_file(str(MAIN), default_timeout=300)
        page.run()
        page.switch_page("screens/vet.py").run()
        assert "nothing to review yet" in words(page)

    def test_everything_can_be_taken_along(self, site):
        labels = [e.proto.label for e in opened(site).get("download_button")]
        assert labels[:3] == ["Report (PDF)", "Report (HTML)", "Everything (zip archive)"]


class TestDecide:
    def test_nothing_is_written_without_a_name(self, site):
        page = opened(site)
        for label in ("Keep the decision", "Accept this border", "Reject it", "Keep the note"):
            assert button(page, label).disabled

    def test_a_recheck_is_kept_with_its_day_who_and_when(self, store, site, spot):
        page = opened(site, name="Dr A")
        page.button_group(key="decide-kind").set_value("watch").run()
        area(page, "In your words").input("Sun cream").run()
        press(page, "Keep the decision")
        (kept,) = store.decisions.of_site(site.id)
        assert (kept.kind, kept.who, kept.text, kept.spot_id) == (
            *("watch", "Dr A", "Sun cream"),
            spot.id,
        )
        assert kept.due > store.now().date().isoformat()
        assert abs(store.now() - kept.at) < timedelta(minutes=5)
        assert "Dr A" in words(page)

    def test_a_biopsy_keeps_the_place_that_was_marked(self, store, site, spot):
        from lesioncompare.ui.review.case import MARK, Pointed

        photo = follow_spot(store, spot.id).taken[-1].photo
        page = opened(site, name="Dr A")
        page.session_state[MARK] = Pointed(photo.id, 740.0, 910.0)
        page.button_group(key="decide-kind").set_value("biopsy").run()
        assert "A place is marked" in words(page)
        press(page, "Keep the decision")
        (kept,) = store.decisions.of_site(site.id)
        assert (kept.photo_id, kept.x, kept.y) == (photo.id, 740.0, 910.0)
        pair = next(head for head in packed(page) if "mm" in head)
        assert pair["mark"] is not None  # from now on it is seen on the picture

    def test_the_result_comes_later_and_belongs_to_its_decision(self, store, site):
        first = store.decisions.add(site.id, "cytology", who="Dr A")
        page = opened(site, name="Dr B")
        area(page, "The result").input("Too few cells").run()
        press(page, "Keep the result")
        before, after = store.decisions.of_site(site.id)
        assert before == first
        assert (after.kind, after.decision_id, after.who) == ("result", first.id, "Dr B")

    def test_typed_words_stay_words(self, store, site):
        store.decisions.add(site.id, "treat", who=HOSTILE, text=HOSTILE)
        store.concerns.say(site.id, HOSTILE)
        text = words(opened(site))
        assert "<script>" not in text.replace("\\<", "")
        assert "[x](" not in text
        assert "**bold**" not in text


class TestBorders:
    def test_accepting_is_kept_and_changes_no_number(self, store, site, spot):
        before = follow_spot(store, spot.id).taken[-1]
        press(opened(site, name="Dr A"), "Accept this border")
        (word,) = store.corrections.all(before.photo.id, spot.id)
        assert (word.kind, word.who) == ("accepted", "Dr A")
        assert follow_spot(store, spot.id).taken[-1].run == before.run

    def test_rejecting_needs_a_reason_and_leaves_the_photo_out(self, store, site, spot):
        photo = follow_spot(store, spot.id).taken[-1].photo
        page = opened(site, name="Dr A")
        assert button(page, "Reject it").disabled
        page.text_input(key=f"reason-{photo.id}").input("a hair lies on it").run()
        press(page, "Reject it")
        assert store.corrections.latest(photo.id, spot.id).kind == "rejected"
        state = store.photos.states(photo.id)[-1]
        assert (state.state, state.reason, state.who) == ("excluded", "a hair lies on it", "Dr A")
        assert len(follow_spot(store, spot.id).series.visits) == 2
        assert "a hair lies on it" in words(page)

        press(page, "Use this photo again")
        assert len(follow_spot(store, spot.id).series.visits) == 3
        assert len(store.photos.states(photo.id)) == 2  # nothing was overwritten

    def test_a_visit_is_left_out_as_a_whole(self, store, site, spot):
        taken = follow_spot(store, spot.id).taken[-1]
        page = opened(site, name="Dr A")
        page.text_input(key=f"reason-{taken.photo.id}").input("another lamp").run()
        press(page, "Leave the whole visit out")
        assert all(p.state == "excluded" for p in store.photos.of_visit(taken.visit.id))

    def test_a_border_that_is_mended_carries_the_name(self, store, site, spot):
        taken = follow_spot(store, spot.id).taken[-1]
        page = press(opened(site, name="Dr A"), "Correct it by hand")
        press(page, "Keep this border")
        word = store.corrections.drawn(taken.photo.id, spot.id)
        assert (word.kind, word.who) == ("corrected", "Dr A")
        assert follow_spot(store, spot.id).taken[-1].reading.outline.by == "person"
        press(page, "Take the program’s own border again")
        assert store.corrections.drawn(taken.photo.id, spot.id) is None


class TestQuestion:
    def test_the_keepers_question_leads_the_page(self, store, site):
        page = opened(site)
        area(page, "What the keeper wants to know").input("Has it grown?").run()
        press(page, "Keep the question")
        assert "The keeper asks: Has it grown?" in words(page).replace("\\", "")
        assert store.concerns.of_site(site.id) == "Has it grown?"
