"""Place, outings and practice in the store: what is kept, and what never leaves."""

from datetime import UTC, datetime, timedelta

import pytest
from alembic import command

from lesioncompare.store import Store
from lesioncompare.store.engine import open_engine, writing
from lesioncompare.store.migrate import alembic_config
from lesioncompare.terms import parse_site


@pytest.fixture
def clock():
    """A clock that moves on by a minute at each look."""
    moment = [datetime(2026, 6, 1, 8, tzinfo=UTC)]

    def now() -> datetime:
        moment[0] += timedelta(minutes=1)
        return moment[0]

    return now


@pytest.fixture
def store(tmp_path, clock):
    kept = Store(tmp_path / "home", now=clock)
    yield kept
    kept.close()


def test_a_place_is_kept_no_finer_than_a_degree(store) -> None:
    assert store.places.latest() is None
    store.places.set(52.5163, 13.3777, "Europe/Berlin", altitude_m=34)
    kept = store.places.latest()
    assert (kept.latitude, kept.longitude, kept.altitude_m) == (53, 13, 0)
    store.places.set(-33.9, 18.4, "Africa/Johannesburg", altitude_m=1690)
    assert (store.places.latest().latitude, store.places.latest().altitude_m) == (-34, 1700)


def test_the_latest_outings_count_and_staying_in_is_an_answer(store) -> None:
    cat = store.cats.add("Miez")
    assert store.outings.of_cat(cat.id) is None
    store.outings.set(cat.id, [("11:30", "13:00")])
    assert store.outings.of_cat(cat.id).spans == (("11:30", "13:00"),)
    store.outings.set(cat.id, [])
    assert store.outings.of_cat(cat.id).spans == ()


def test_only_the_first_answer_to_an_item_counts_as_practice(store) -> None:
    store.practice.add("p01", "same", who="A")
    store.practice.add("p01", "changed", who="A")
    store.practice.add("p01", "changed", who="B")
    assert [(a.who, a.said) for a in store.practice.this_round()] == [
        ("A", "same"),
        ("B", "changed"),
    ]
    assert [a.said for a in store.practice.this_round(who="B")] == ["changed"]


def test_a_new_round_begins_with_nothing_and_keeps_what_was(store, tmp_path) -> None:
    store.practice.add("p01", "same")
    store.practice.begin_round()
    assert store.practice.this_round() == []
    store.practice.add("p01", "changed")
    assert [a.said for a in store.practice.this_round()] == ["changed"]
    store.backup(tmp_path / "all.zip")
    other = Store(tmp_path / "other")
    assert other.restore(tmp_path / "all.zip")["practice"] == 3
    other.close()


def test_neither_place_nor_practice_is_handed_over(store, tmp_path) -> None:
    cat = store.cats.add("Miez")
    site = store.sites.add(cat.id, parse_site("nose"))
    store.places.set(52, 13, "Europe/Berlin")
    store.practice.add("p01", "same", who="A")
    store.outings.set(cat.id, [("9:00", "10:00")])
    rows = store.rows_of_sites([site.id])
    assert "place" not in rows
    assert "practice" not in rows
    assert "Berlin" not in str(rows)
    other = Store(tmp_path / "other")
    other.bring_in(rows, {})
    assert other.places.latest() is None
    assert other.outings.of_cat(cat.id).spans == (("9:00", "10:00"),)
    other.close()


def test_a_backup_holds_everything(store, tmp_path) -> None:
    store.places.set(52, 13, "Europe/Berlin")
    store.practice.add("p01", "same", who="A")
    store.backup(tmp_path / "all.zip")
    other = Store(tmp_path / "other")
    other.restore(tmp_path / "all.zip")
    assert other.places.latest() == store.places.latest()
    assert other.practice.this_round() == store.practice.this_round()
    other.close()


def test_a_store_of_the_first_shape_is_brought_to_this_one(tmp_path) -> None:
    home = tmp_path / "old"
    home.mkdir()
    engine = open_engine(f"sqlite:///{home / 'store.sqlite'}")
    with writing(engine) as connection:
        command.upgrade(alembic_config(connection), "0001")
    engine.dispose()
    store = Store(home)
    store.practice.add("p01", "same")
    assert (home / "store-before-0001.sqlite").exists()
    store.close()
