"""The teaching screens: sun, which cats, practice, the look from nose to tail, the weekly habit."""

import json
import shutil
from datetime import date, time, timedelta
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from lesioncompare import ui
from lesioncompare.claims import CLAIMS
from lesioncompare.store import Store
from lesioncompare.teach.home_check import OTHER, Found, Look
from lesioncompare.teach.practice.album import pairs, series
from lesioncompare.terms import parse_site
from lesioncompare.ui.dates import local_day

MAIN = Path(ui.__file__).parent / "main.py"
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")


@pytest.fixture
def store(tmp_path, monkeypatch):
    """A store with an orange cat and its nose."""
    monkeypatch.setenv("LESIONCOMPARE_HOME", str(tmp_path / "home"))
    kept = Store(tmp_path / "home")
    cat = kept.cats.add("Miez", coat_colour="orange", white_areas=("nose",), outdoor_hours=2)
    kept.sites.add(cat.id, parse_site("nose"))
    yield kept
    kept.close()


def the_cat(store: Store) -> str:
    return store.cats.all()[0].id


def open_page(name: str, **ids: str) -> AppTest:
    page = AppTest.from_file(str(MAIN), default_timeout=120)
    page.run()
    page.switch_page(f"screens/{name}.py")
    for key, value in ids.items():
        page.query_params[key] = value
    page.run()
    return whole(page)


def whole(page: AppTest) -> AppTest:
    assert [fault.value for fault in page.exception] == []
    return page


def words(page: AppTest) -> str:
    kinds = (page.title, page.header, page.subheader, page.markdown, page.caption)
    said = "\n".join(str(element.value) for kind in kinds for element in kind)
    return said.replace("\\", "").replace("\N{NO-BREAK SPACE}", " ")  # Markdown taken literally


def press(page: AppTest, label: str) -> AppTest:
    return whole(next(b for b in page.button if b.label == label).click().run())


def says(page: AppTest, key: str) -> bool:
    return CLAIMS[key].says in words(page)


class TestSun:
    def test_it_asks_for_the_nearest_city_and_keeps_it_coarse(self, store) -> None:
        page = open_page("sun")
        assert "Choose the city" in str(page.selectbox[0].proto.placeholder)
        whole(page.selectbox(key="sun-city").set_value("Europe/Berlin").run())
        kept = store.places.latest()
        assert (kept.zone, kept.latitude) == ("Europe/Berlin", 52)

    @pytest.fixture
    def berlin(self, store):
        store.places.set(52.5, 13.4, "Europe/Berlin")
        return store

    @pytest.mark.usefixtures("berlin")
    def test_a_summer_day_with_its_cautions_in_place(self) -> None:
        page = open_page("sun")
        whole(page.date_input(key="sun-date").set_value(date(2026, 6, 21)).run())
        said = words(page)
        assert "UV index 3 or more: 09:" in said
        assert "At most 8 (very high), at 13:" in said
        assert "Between 10 and 16 o’clock falls" in said
        assert "Assumed: 349 Dobson units" in said
        for key in ("clear_sky", "no_minutes", "cream", "sill", "film", "uv_three"):
            assert says(page, key), key

    @pytest.mark.usefixtures("berlin")
    def test_december_says_that_there_is_nothing_to_avoid(self) -> None:
        page = open_page("sun")
        whole(page.date_input(key="sun-date").set_value(date(2026, 12, 21)).run())
        assert "stays below 3" in words(page)
        assert "never shorter" in words(page)

    def test_polar_night(self, store) -> None:
        store.places.set(78, 16, "Arctic/Longyearbyen")
        page = open_page("sun")
        whole(page.date_input(key="sun-date").set_value(date(2026, 12, 21)).run())
        assert "does not rise" in words(page)

    def test_outings_are_kept_per_cat_and_weighed(self, berlin) -> None:
        page = open_page("sun")
        whole(page.date_input(key="sun-date").set_value(date(2026, 6, 21)).run())
        press(page, "Add an outing")
        assert berlin.outings.of_cat(the_cat(berlin)).spans == (("12:00", "14:00"),)
        assert "12:00–14:00" in words(page)
        assert "h later" in words(page)
        whole(page.slider[0].set_range(time(18), time(20)).run())
        assert berlin.outings.of_cat(the_cat(berlin)).spans == (("18:00", "20:00"),)
        press(page, "Remove 1")
        assert berlin.outings.of_cat(the_cat(berlin)).spans == ()


class TestWhichCats:
    def test_it_explains_by_the_cats_own_coat_and_gives_no_score(self, store) -> None:
        page = open_page("which_cats", cat=the_cat(store))
        for key in ("white_hair", "freckles", "freckles_not", "first_signs", "only_a_vet"):
            assert says(page, key), key
        assert "score" not in words(page).lower()

    def test_every_number_leads_to_a_source(self, store) -> None:
        page = open_page("which_cats", cat=the_cat(store))
        said = words(page)
        assert "[1]" in said
        assert "Dorn CR" in said


class TestPractice:
    def test_an_answer_is_kept_and_the_truth_shown_beside_the_programs(self, store) -> None:
        page = open_page("practice")
        press(page, "Same")
        kept = store.practice.this_round()
        assert len(kept) == 1
        item = next(i for i in pairs() if i.key == kept[0].item)
        said = words(page)
        assert "The truth:" in said
        assert ("You were right." in said) == (item.truth == "same")
        assert ("The program was right" in said) == (item.tool_says == item.truth)
        press(page, "Next")
        assert "Pair 2 of" in words(page)
        assert says(page, "practice_only")

    @pytest.mark.usefixtures("store")
    def test_nothing_is_given_away_before_the_answer(self) -> None:
        page = open_page("practice")
        before = words(page)
        assert "truth" not in before.lower()
        assert not any(i.key in before for i in pairs())

    def test_weeks_are_answered_by_the_week_or_never(self, store) -> None:
        page = open_page("practice")
        whole(page.segmented_control(key="practice-part").set_value("series").run())
        pills = next(g for g in page.button_group if g.key and g.key.startswith("when-"))
        whole(pills.set_value("never").run())
        press(page, "That is my answer")
        kept = store.practice.this_round()[0]
        assert kept.item in {i.key for i in series()}
        assert "Week 2:" in words(page)

    def test_ones_own_curve_appears_after_enough_answers(self, store) -> None:
        page = open_page("practice")
        whole(page.segmented_control(key="practice-part").set_value("eye").run())
        assert "needs 3 spots" in words(page)
        for item in pairs():
            seen = item.kind != "same" and (item.kind != "size" or item.size > 0.25)
            store.practice.add(item.key, "changed" if seen else "same")
        page = open_page("practice")
        whole(page.segmented_control(key="practice-part").set_value("eye").run())
        assert "You say “changed” of half the spots" in words(page)
        assert "The program says it of half" in words(page)
        assert page.get("vega_lite_chart")
        assert says(page, "eye_errs")

    def test_a_class_shares_a_screen_and_begins_anew(self, store) -> None:
        for who in ("A", "B"):
            store.practice.add(pairs()[0].key, "changed", who=who)
        page = open_page("practice")
        whole(page.segmented_control(key="practice-part").set_value("class").run())
        assert "People: 2. Answers: 2." in words(page)
        assert page.get("download_button")
        press(page, "Begin a new round")
        assert "No answers in this round" in words(page)


class TestHomeCheck:
    def test_an_answer_is_kept_at_once(self, store) -> None:
        cat = the_cat(store)
        page = open_page("home_check", cat=cat)
        whole(page.segmented_control(key=f"said-{cat}-nose").set_value("usual").run())
        assert store.home_checks.of_cat(cat)[-1].entries == {"nose": "usual"}
        again = open_page("home_check", cat=cat)  # after a reload
        assert again.segmented_control(key=f"said-{cat}-nose").value == "usual"

    def test_what_must_not_wait_is_said_at_once_and_in_the_sum(self, store) -> None:
        cat = the_cat(store)
        page = open_page("home_check", cat=cat)
        whole(page.segmented_control(key=f"said-{cat}-tray").set_value("other").run())
        whole(page.pills(key=f"signs-{cat}-tray").set_value(["no_urine"]).run())
        said = words(page)
        assert "Ring the vet now:** it strains and no urine comes" in said
        assert says(page, "ring_now")
        assert says(page, "nothing_found")
        assert store.home_checks.of_cat(cat)[-1].entries["tray.signs"] == "no_urine"

    def test_breathing_that_differs_in_some_way_is_for_the_vet_today(self, store) -> None:
        cat = the_cat(store)
        page = open_page("home_check", cat=cat)
        assert not says(page, "ring_today")
        whole(page.segmented_control(key=f"said-{cat}-breath").set_value("other").run())
        assert says(page, "ring_today")
        assert not says(page, "look_again")
        leading = [m.value for m in page.markdown].index("[What to do](#what-to-do)")
        assert CLAIMS["ring_today"].says in page.markdown[leading - 1].value
        home = words(AppTest.from_file(str(MAIN), default_timeout=120).run())
        assert "Ring the vet today.** Today’s look from nose to tail: Chest and breathing." in home
        whole(page.segmented_control(key=f"said-{cat}-breath").set_value("usual").run())
        assert not says(page, "ring_today")
        home = words(AppTest.from_file(str(MAIN), default_timeout=120).run())
        assert "Ring the vet" not in home

    def test_cautions_stand_where_they_are_needed(self, store) -> None:
        page = open_page("home_check", cat=the_cat(store))
        for key in ("stop", "no_force", "emergency_breath", "emergency_urine"):
            assert says(page, key), key

    def test_last_time_and_what_is_normal_are_remembered(self, store) -> None:
        cat = the_cat(store)
        last = local_day(store.now()) - timedelta(days=7)
        look = Look({"ears": Found(OTHER, ("ear_smell",), "the left one")})
        store.home_checks.add(cat, last, look.to_entries())
        store.home_checks.set_normal(cat, "eyes", "left pupil larger")
        page = open_page("home_check", cat=cat)
        assert "left pupil larger" in words(page)
        whole(page.segmented_control(key=f"said-{cat}-ears").set_value("other").run())
        whole(page.pills(key=f"signs-{cat}-ears").set_value(["ear_lump"]).run())
        said = words(page)
        assert "New since" in said
        assert "No longer there: it smells" in said
        assert "the left one" in said

    def test_a_difference_without_a_word_for_it_is_not_lost(self, store) -> None:
        cat = the_cat(store)
        page = open_page("home_check", cat=cat)
        whole(page.segmented_control(key=f"said-{cat}-tail").set_value("other").run())
        whole(page.text_input(key=f"words-{cat}-tail").set_value("a kink").run())
        assert "Under the tail: a kink" in words(page)
        assert says(page, "look_again")


class TestReminder:
    def test_it_is_kept_and_offered_as_a_file(self, store) -> None:
        site = store.sites.of_cat(the_cat(store))[0]
        page = open_page("reminder", site=site.id)
        assert not page.get("download_button")
        whole(page.pills(key="weekday").set_value(2).run())
        whole(page.time_input(key="clock").set_value(time(8, 15)).run())
        press(page, "Save")
        kept = store.reminders.of_site(site.id)
        assert (kept.weekday, kept.clock) == (2, "08:15")
        assert page.get("download_button")
        assert "Wednesday, 08:15" in words(page)
        press(page, "No reminder any more")
        assert store.reminders.of_site(site.id) is None

    def test_before_the_first_photo_nobody_is_scolded(self, store) -> None:
        site = store.sites.of_cat(the_cat(store))[0]
        said = words(open_page("reminder", site=site.id))
        assert "No photo yet." in said
        assert says(open_page("reminder", site=site.id), "gaps")

    def test_the_weeks_of_a_series_are_counted(self, demo_home, tmp_path, monkeypatch) -> None:
        shutil.copytree(demo_home, tmp_path / "home")
        monkeypatch.setenv("LESIONCOMPARE_HOME", str(tmp_path / "home"))
        kept = Store(tmp_path / "home")
        cat = kept.cats.all()[0].id
        site = kept.sites.of_cat(cat)[0]
        assert "of the last" not in words(open_page("reminder", site=site.id))  # it is simulated
        kept.cats.edit(cat, simulated=False)
        kept.close()
        page = open_page("reminder", site=site.id)
        assert "of the last" in words(page)
        assert "Next photo:" in words(page)


@pytest.mark.usefixtures("store")
def test_the_home_screen_leads_to_all_of_them() -> None:
    page = AppTest.from_file(str(MAIN), default_timeout=120).run()
    whole(page)
    links = json.dumps([str(link.proto) for link in page.get("page_link")])
    for name in ("sun", "practice", "home_check", "which_cats", "reminder"):
        assert name in links, name
