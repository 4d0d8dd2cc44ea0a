"""The store keeps what it was given, adds rather than overwrites, and undoes what it hides."""

from dataclasses import fields
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from lesioncompare.errors import StoreError
from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import (
    Alignment,
    Calibration,
    Circle,
    Light,
    Measurement,
    Notice,
    Outline,
    Photo,
    Reading,
    Seed,
    Sighting,
    Sticker,
)
from lesioncompare.settings import Settings
from lesioncompare.store import Store, reading_from_json, reading_to_json
from lesioncompare.store.ids import new_id
from lesioncompare.terms import Level, parse_site

EAR = parse_site("ear-left")
JPEG = b"\xff\xd8 one photo" * 40


class Clock:
    """A clock that a test turns."""

    def __init__(self) -> None:
        self.time = datetime(2026, 3, 1, 9, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.time


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def store(tmp_path: Path, clock: Clock):
    kept = Store(tmp_path / "home", now=clock)
    yield kept
    kept.close()


@pytest.fixture
def site(store: Store):
    cat = store.cats.add("Miez", white_areas=("nose", "ears"), outdoor_hours=4.5)
    return store.sites.add(cat.id, EAR)


def full_reading(seed: int = 1) -> Reading:
    """A reading with every field filled, of arbitrary numbers."""
    rng = np.random.default_rng(seed)
    note = Notice("tilted", Level.DOUBT, "says", "do", "vet")
    line = rng.normal(size=(7, 2))
    return Reading(
        photo=Photo(
            name="a.jpg",
            sha256="0" * 64,
            rgb=np.zeros((30, 40, 3), np.uint8),
            taken=datetime(2026, 3, 1, 10, 5),  # noqa: DTZ001  a camera without a zone
            taken_basis="original exif local",
            hashes=("ab", "cd"),
            notices=(note,),
        ),
        sticker=Sticker(
            "round", None, 8.0, rng.normal(size=(4, 2)), np.eye(3), 0.1, np.zeros((0, 6))
        ),
        calibration=Calibration(
            np.eye(3),
            0.05,
            12.0,
            (Component("scale", 0.01), Component("print", 0.003, common=True)),
            Light(np.ones(3), np.zeros(3), np.zeros(2), 1.5, steady=False),
        ),
        circle=Circle(1.0, 2.0, 1.5),
        alignment=Alignment(rng.normal(size=(3, 3)), 0.1, 0.8, 1.01, 0.004, (note,)),
        outline=Outline(line, line * 0.9, line * 1.1, 0.06, "person"),
        measurement=Measurement(
            {"area": Quantity(7.1, "mm²", (Component("border", 0.2),), relative=True)},
            (50.0, 10.0, 9.0),
            (70.0, 12.0, 8.0),
            0.7,
            (note,),
        ),
        notices=(note,),
        sightings=(Sighting("new_spot", 1.0, 2.0, 0.8, 0.1, line, {"depth": 3.5}),),
    )


class TestCats:
    def test_a_cat_comes_back_as_it_was_added(self, store: Store) -> None:
        cat = store.cats.add("Miez", coat_colour="orange", white_areas=("nose",), birth_year=2019)

        assert cat == store.cats.get(cat.id)
        assert cat.white_areas == ("nose",)
        assert cat.neutered is None

    def test_a_removed_cat_can_be_brought_back(self, store: Store) -> None:
        cat = store.cats.add("Miez")
        store.cats.remove(cat.id)
        assert store.cats.all() == []
        assert [cat.id] == [gone.id for gone in store.cats.removed()]

        store.cats.bring_back(cat.id)

        assert [cat] == store.cats.all()

    def test_typed_names_lose_control_characters_and_nothing_else(self, store: Store) -> None:
        assert store.cats.add(" Miez\x00 <b>O'Malley</b>\n").name == "Miez <b>O'Malley</b>"

    def test_a_nameless_cat_is_refused_with_advice(self, store: Store) -> None:
        with pytest.raises(StoreError, match="no name") as refusal:
            store.cats.add("  \n")
        assert refusal.value.advice

    def test_editing_changes_only_what_was_named(self, store: Store) -> None:
        cat = store.cats.add("Miez", coat_colour="cream", birth_year=2019)

        edited = store.cats.edit(cat.id, coat_colour="orange")

        assert (edited.coat_colour, edited.birth_year) == ("orange", 2019)

    def test_a_place_is_a_site_once(self, store: Store, site) -> None:
        with pytest.raises(StoreError, match="already has"):
            store.sites.add(site.cat_id, EAR)
        store.sites.remove(site.id)
        assert store.sites.add(site.cat_id, EAR).id != site.id

    def test_an_id_that_leads_nowhere_is_one_sentence(self, store: Store) -> None:
        for get in (store.cats.get, store.sites.get, store.visits.get, store.photos.get):
            with pytest.raises(StoreError, match="no such"):
                get("0" * 24)
        with pytest.raises(StoreError, match="does not fit"):
            store.spots.add("0" * 24, "a spot of no site")


class TestVisits:
    def test_a_visit_in_progress_is_found_where_it_was_left(self, store: Store, site) -> None:
        visit = store.visits.begin(site.id)
        store.photos.add(visit.id, JPEG, name="a.jpg")
        store.visits.set_step(visit.id, "outline")
        store.visits.save_draft(visit.id, {"edits": [{"kind": "add", "points": [[1.5, 2]]}]})
        store.close()

        again = Store(store.home)

        assert (
            again.visits.get(visit.id).step,
            again.visits.get(visit.id).finished_at,
        ) == ("outline", None)
        assert visit.id == again.visits.in_progress(site.id).id
        assert [again.photos.data(p.id) for p in again.photos.of_visit(visit.id)] == [JPEG]
        assert again.visits.get(visit.id).draft["edits"][0]["points"] == [[1.5, 2]]
        again.close()

    def test_a_finished_visit_is_dated_by_its_earliest_photo_that_stayed(
        self, store: Store, site
    ) -> None:
        visit = store.visits.begin(site.id)
        days = [datetime(2026, 2, day, 8, tzinfo=UTC) for day in (3, 2, 1)]
        photos = [
            store.photos.add(visit.id, JPEG + bytes([day.day]), name="a", taken=day) for day in days
        ]
        store.photos.set_state(photos[2].id, "removed", reason="blurred")

        assert days[1] == store.visits.finish(visit.id).taken
        assert store.visits.in_progress(site.id) is None

    def test_visits_stand_in_the_order_their_photos_were_taken(
        self, store: Store, site, clock: Clock
    ) -> None:
        ids = []
        for day in (9, 2, 5):
            visit = store.visits.begin(site.id)
            moment = datetime(2026, 1, day)  # noqa: DTZ001  cameras often know no zone
            store.photos.add(visit.id, JPEG + bytes([day]), name="a", taken=moment)
            ids.append(store.visits.finish(visit.id).id)
            clock.time += timedelta(days=1)

        assert [ids[1], ids[2], ids[0]] == [v.id for v in store.visits.of_site(site.id)]

    def test_a_discarded_visit_can_be_brought_back(self, store: Store, site) -> None:
        visit = store.visits.begin(site.id)
        store.visits.remove(visit.id)
        assert store.visits.in_progress(site.id) is None
        store.visits.bring_back(visit.id)
        assert visit.id == store.visits.in_progress(site.id).id


class TestPhotos:
    def test_the_original_bytes_come_back(self, store: Store, site) -> None:
        visit = store.visits.begin(site.id)
        photo = store.photos.add(visit.id, JPEG, name="../../etc/passwd")

        assert store.photos.data(photo.id) == JPEG
        assert photo.name == "../../etc/passwd"  # a label, never a path
        assert not list(store.home.rglob("*passwd*"))

    def test_the_same_bytes_are_one_photo_of_a_visit_and_one_file(self, store: Store, site) -> None:
        first, second = store.visits.begin(site.id), store.visits.begin(site.id)
        photo = store.photos.add(first.id, JPEG, name="a")

        assert photo.id == store.photos.add(first.id, JPEG, name="b").id
        assert photo.id != store.photos.add(second.id, JPEG, name="a").id
        assert len([p for p in (store.home / "photos").rglob("*") if p.is_file()]) == 1

    def test_exclusion_keeps_its_reason_and_is_undone(self, store: Store, site) -> None:
        photo = store.photos.add(store.visits.begin(site.id).id, JPEG, name="a")
        store.photos.set_state(photo.id, "excluded", reason="whisker over it", who="Ada")
        excluded = store.photos.get(photo.id)
        store.photos.set_state(photo.id, "used", reason="looks fine")

        assert (excluded.state, excluded.reason) == ("excluded", "whisker over it")
        assert store.photos.get(photo.id).state == "used"
        assert [(s.state, s.who) for s in store.photos.states(photo.id)] == [
            ("excluded", "Ada"),
            ("used", "keeper"),
        ]

    def test_a_removed_photo_that_is_added_again_is_back(self, store: Store, site) -> None:
        visit = store.visits.begin(site.id)
        photo = store.photos.add(visit.id, JPEG, name="a")
        store.photos.set_state(photo.id, "removed")
        assert store.photos.of_visit(visit.id) == []
        assert [photo.id] == [p.id for p in store.photos.of_visit(visit.id, removed=True)]

        assert store.photos.add(visit.id, JPEG, name="a").state == "used"

    def test_a_rotten_photo_is_never_handed_out(self, store: Store, site) -> None:
        photo = store.photos.add(store.visits.begin(site.id).id, JPEG, name="a")
        file = store.home / "photos" / photo.sha256[:2] / photo.sha256
        file.write_bytes(JPEG[:-1])

        with pytest.raises(StoreError, match="damaged"):
            store.photos.data(photo.id)
        assert ["damaged" in said for said in store.check()] == [True]

        file.unlink()
        with pytest.raises(StoreError, match="missing"):
            store.photos.data(photo.id)
        assert ["missing" in said for said in store.check()] == [True]


class TestNumbers:
    @pytest.fixture
    def photo(self, store: Store, site):
        return store.photos.add(store.visits.begin(site.id).id, JPEG, name="a")

    @pytest.fixture
    def spot(self, store: Store, site):
        return store.spots.add(site.id, "dark spot")

    def test_a_reading_survives_as_json_with_every_number(self) -> None:
        kept = reading_to_json(full_reading())
        again = reading_from_json(kept)

        assert {**kept, "photo": None} == {**reading_to_json(again), "photo": None}
        assert again.usable
        assert again.photo.rgb.shape == (0, 0, 3)
        assert kept["photo"]["size_px"] == [30, 40]
        assert again.sightings[0].evidence == {"depth": 3.5}
        assert again.sticker.ladder.shape == (0, 6)
        assert again.measurement.quantities["area"] == full_reading().measurement.quantities["area"]
        assert full_reading().photo.taken == again.photo.taken

    def test_no_field_of_a_reading_is_forgotten_but_the_pictures(self) -> None:
        kept = reading_to_json(full_reading())
        filled = {f.name for f in fields(Reading)} - {"overview", "scene"}
        assert filled <= kept.keys()
        assert all(kept[name] for name in filled)

    def test_an_empty_reading_survives_too(self) -> None:
        bare = Reading(photo=full_reading().photo)
        assert reading_from_json(reading_to_json(bare)).sticker is None

    def test_a_newer_form_is_refused(self) -> None:
        with pytest.raises(ValueError, match="form"):
            reading_from_json({**reading_to_json(full_reading()), "form": 99})

    def test_old_numbers_stay_beside_new_ones(self, store: Store, photo, spot) -> None:
        old = store.runs.add(photo.id, spot.id, full_reading(1), Settings())
        new = store.runs.add(photo.id, spot.id, full_reading(2), Settings(printed_bar_mm=99))

        assert [old, new] == store.runs.all(photo.id, spot.id)
        assert {photo.id: new} == store.runs.of_spot(spot.id)
        assert old.settings_digest != new.settings_digest
        assert store.runs.latest(photo.id, spot.id).settings["printed_bar_mm"] == 99

    def test_circles_and_corrections_are_added_never_changed(
        self, store: Store, photo, spot
    ) -> None:
        store.seeds.add(photo.id, spot.id, Seed(10, 20, 5))
        store.seeds.add(photo.id, spot.id, Seed(11, 20, 6), who="Ada")
        drawn = store.corrections.add(
            photo.id, spot.id, "corrected", contour_px=np.array([[0, 0], [4, 0], [4, 3]])
        )
        store.corrections.add(photo.id, spot.id, "accepted", who="vet")

        assert Seed(11, 20, 6) == store.seeds.latest(photo.id, spot.id).seed
        assert [s.radius for s in store.seeds.all(photo.id, spot.id)] == [5, 6]
        assert drawn == store.corrections.drawn(photo.id, spot.id)
        store.corrections.add(photo.id, spot.id, "automatic")
        assert store.corrections.drawn(photo.id, spot.id) is None
        assert len(store.corrections.all(photo.id, spot.id)) == 3

    def test_the_latest_stays_the_latest_when_the_clock_is_set_back(
        self, store: Store, photo, spot, monkeypatch
    ) -> None:
        store.seeds.add(photo.id, spot.id, Seed(1, 1, 1))
        monkeypatch.setattr("lesioncompare.store.ids.time.time_ns", lambda: 10**15)
        monkeypatch.setattr("lesioncompare.store.ids._last", [0])
        store.seeds.add(photo.id, spot.id, Seed(2, 2, 2))

        assert store.seeds.latest(photo.id, spot.id).x == 2

    def test_ids_grow(self) -> None:
        ids = [new_id() for _ in range(2000)]
        assert ids == sorted(set(ids))


class TestWords:
    def test_an_answer_can_be_changed_and_taken_back(self, store: Store, site) -> None:
        visit = store.visits.begin(site.id)
        store.answers.give(visit.id, "raised", "no")
        store.answers.give(visit.id, "raised", "yes")
        store.answers.give(visit.id, "crust", "no")
        store.answers.give(visit.id, "crust", "")

        assert store.answers.of_visit(visit.id) == {"raised": "yes"}
        assert len(store.answers.all(visit.id)) == 4

    def test_notes_and_decisions_say_who_and_when(self, store: Store, site, clock: Clock) -> None:
        store.notes.add(site.id, "scratched on Monday", who="Ada")
        first = store.decisions.add(
            site.id, "biopsy", who="Dr Vet", text="edge", due=clock.time.date(), mark_px=(10, 20)
        )
        store.decisions.add(site.id, "result", who="Dr Vet", text="see letter", about=first.id)

        assert [("Ada", clock.time)] == [(n.who, n.at) for n in store.notes.of_site(site.id)]
        assert [None, first.id] == [d.decision_id for d in store.decisions.of_site(site.id)]
        assert (first.due, first.x, first.y) == ("2026-03-01", 10, 20)
        with pytest.raises(StoreError, match="empty"):
            store.notes.add(site.id, " ")
        with pytest.raises(ValueError, match="kind"):
            store.decisions.add(site.id, "guess", who="x")


class TestHabits:
    def test_each_visit_is_read_with_the_print_of_its_time(
        self, store: Store, clock: Clock
    ) -> None:
        assert Settings() == store.print_checks.settings_at(clock.time)
        clock.time += timedelta(days=10)
        store.print_checks.add(97.5)
        clock.time += timedelta(days=10)
        store.print_checks.add(100)

        at = store.print_checks.settings_at
        assert at(clock.time - timedelta(days=5)).printed_bar_mm == 97.5
        assert at(clock.time - timedelta(days=15)).printed_bar_mm == 97.5  # the first known print
        assert at(clock.time).printed_bar_mm == 100

    @pytest.mark.parametrize("bar_mm", [0.0, -3.0, 10.0, 1000.0, float("nan"), float("inf")])
    def test_an_implausible_bar_is_refused(self, store: Store, bar_mm: float) -> None:
        with pytest.raises(StoreError, match="plausible"):
            store.print_checks.add(bar_mm)

    def test_a_home_check_of_the_same_day_counts_once(
        self, store: Store, site, clock: Clock
    ) -> None:
        day = clock.time.date()
        store.home_checks.add(site.cat_id, day, {"ears": "smell"})
        store.home_checks.add(site.cat_id, day, {"ears": "as usual"})
        store.home_checks.set_normal(site.cat_id, "eyes", "left pupil a bit larger")

        assert [c.entries for c in store.home_checks.of_cat(site.cat_id)] == [{"ears": "as usual"}]
        assert store.home_checks.normals(site.cat_id) == {"eyes": "left pupil a bit larger"}

    def test_a_reminder_is_set_and_stopped(self, store: Store, site) -> None:
        store.reminders.set(site.id, weekday=6, clock="18:30")
        assert store.reminders.of_site(site.id).clock == "18:30"
        store.reminders.set(site.id, weekday=6, clock="18:30", active=False)
        assert store.reminders.of_site(site.id) is None
