"""A series goes to another installation whole, once, and without where it was taken."""

import io
import json
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from lesioncompare.errors import ExchangeError
from lesioncompare.exchange.archive import open_archive, pack_archive
from lesioncompare.exchange.handover import Handover, handover_files, taken_in
from lesioncompare.records import Photo, Reading, Seed, Series, Visit
from lesioncompare.store import Store
from lesioncompare.terms import parse_site

HOSTILE = '=cmd|"/c calc"!A1 <script>alert(1)</script> ../../x\\..\\y'
PLACE = {1: "N", 2: (47.0, 11.0, 13.0), 3: "E", 4: (8.0, 37.0, 41.0)}


def photo(seed: int, form: str = "JPEG", maker: str = "Zarathustra") -> bytes:
    rng = np.random.default_rng(seed)
    coarse = rng.integers(20, 235, (8, 10, 3)).astype(np.uint8)
    exif = Image.Exif()
    exif[0x010F] = maker
    exif[0x8825] = PLACE
    buffer = io.BytesIO()
    picture = Image.fromarray(coarse).resize((400, 320), Image.Resampling.BICUBIC)
    picture.save(buffer, form, exif=exif.tobytes())
    return buffer.getvalue()


@pytest.fixture
def stores(tmp_path: Path):
    now = datetime(2026, 6, 30, tzinfo=UTC)
    kept = [Store(tmp_path / name, now=lambda: now) for name in ("here", "there")]
    yield kept
    for store in kept:
        store.close()


def filled(store: Store) -> tuple[list[str], Handover]:
    """A site with three photos of one visit, two of which differ in metadata only."""
    cat = store.cats.add(HOSTILE, white_areas=("nose",), outdoor_hours=4.5)
    site = store.sites.add(cat.id, parse_site("nose"))
    spot = store.spots.add(site.id, HOSTILE)
    visit = store.visits.begin(site.id)
    originals = [photo(1), photo(2, "PNG"), photo(1, maker="Someone else")]
    kept = [store.photos.add(visit.id, data, name=HOSTILE) for data in originals]
    store.seeds.add(kept[0].id, spot.id, Seed(200, 160, 40))
    taken = datetime(2026, 5, 31, tzinfo=UTC)
    blank = np.zeros((0, 0, 3), np.uint8)
    reading = Reading(Photo(HOSTILE, kept[0].sha256, blank, taken, "given"))
    series = Series(parse_site("nose"), (reading,), (Visit(taken, ()),), {}, ())
    handover = Handover(
        rows=store.rows_of_sites([site.id]),
        photos={k.sha256: data for k, data in zip(kept, originals, strict=True)},
        series={"spot-1": series},
        displays={kept[0].sha256: photo(3)},
        reports={"report.html": b"<p>report</p>"},
    )
    return [site.id], handover


def packed(handover: Handover) -> bytes:
    return pack_archive(handover_files(handover), name="series", about={})


def unpacked(data: bytes):
    with open_archive(io.BytesIO(data)) as archive:
        return taken_in(archive)


class TestRoundTrip:
    def test_another_installation_has_the_same_rows_then(self, stores):
        here, there = stores
        sites, handover = filled(here)
        rows, photos = unpacked(packed(handover))
        there.bring_in(rows, photos)
        assert there.rows_of_sites(sites) == rows
        assert there.check() == []

    def test_only_the_photos_are_named_anew(self, stores):
        _, handover = filled(stores[0])
        rows, _ = unpacked(packed(handover))
        for table, before in handover.rows.items():
            for one, other in zip(before, rows[table], strict=True):
                changed = {name for name in one if one[name] != other[name]}
                assert changed <= ({"sha256", "bytes"} if table == "photo" else set())

    def test_taking_it_in_again_changes_nothing(self, stores):
        here, there = stores
        sites, handover = filled(here)
        rows, photos = unpacked(packed(handover))
        there.bring_in(rows, photos)
        before = there.rows_of_sites(sites)
        assert set(there.bring_in(*unpacked(packed(handover))).values()) == {0}
        assert there.rows_of_sites(sites) == before

    def test_taking_it_in_at_home_changes_nothing(self, stores):
        here, _ = stores
        sites, handover = filled(here)
        assert set(here.bring_in(*unpacked(packed(handover))).values()) == {0}
        assert here.rows_of_sites(sites) == handover.rows

    def test_handed_on_it_is_the_same_archive(self, stores):
        here, there = stores
        sites, handover = filled(here)
        rows, photos = unpacked(packed(handover))
        there.bring_in(rows, photos)
        again = Handover(there.rows_of_sites(sites), photos)
        assert unpacked(packed(again))[0] == rows


class TestContent:
    def test_neither_place_nor_camera_leaves(self, stores):
        _, handover = filled(stores[0])
        with zipfile.ZipFile(io.BytesIO(packed(handover))) as bag:
            for name in bag.namelist():
                if name.startswith("series/data/photos/"):
                    with Image.open(io.BytesIO(bag.read(name))) as picture:
                        picture.load()
                        assert not picture.getexif()

    def test_photos_that_differ_in_metadata_only_stay_two(self, stores):
        _, handover = filled(stores[0])
        assert len(unpacked(packed(handover))[1]) == 3

    def test_everything_speaks_of_the_copies(self, stores):
        _, handover = filled(stores[0])
        with open_archive(io.BytesIO(packed(handover))) as archive:
            photos = {
                path.split("/")[1].split(".")[0] for path in archive.paths if path[:7] == "photos/"
            }
            record = json.loads(archive.read("spot-1/record.json"))
            assert record["photos"][0]["sha256"] in photos
            assert record["photos"][0]["sha256"].encode() in archive.read("spot-1/measures.csv")
            originals = json.loads(archive.read("originals.json"))
            assert set(originals) == photos
            assert set(originals.values()) == set(handover.photos)
            assert {p for p in archive.paths if p.startswith(("display/", "report/"))} == {
                f"display/{record['photos'][0]['sha256']}.jpg",
                "report/report.html",
            }

    def test_it_says_what_it_is_not(self, stores):
        _, handover = filled(stores[0])
        with open_archive(io.BytesIO(packed(handover))) as archive:
            assert b"do not say what a spot is" in archive.read("README.txt")

    def test_words_become_no_path(self, stores):
        _, handover = filled(stores[0])
        with zipfile.ZipFile(io.BytesIO(packed(handover))) as bag:
            assert all(".." not in name and "script" not in name for name in bag.namelist())

    def test_a_photo_that_rotted_stops_it_with_a_sentence(self, stores):
        _, handover = filled(stores[0])
        rotten = Handover(handover.rows, {"a" * 64: b"rotten"})
        with pytest.raises(ExchangeError, match="can no longer be read"):
            packed(rotten)


class TestForeign:
    @pytest.mark.parametrize(
        "rows",
        [
            *(b"", b"[]", b"{}", b'{"format": 1}', b'{"format": "x", "rows": {}}', b"[" * 9999),
            *(b'{"format": 1, "rows": {"photo": [1]}}', b'{"format": 1, "rows": []}', b"\xff"),
        ],
    )
    def test_rows_that_are_none_are_refused(self, rows):
        with pytest.raises(ExchangeError):
            unpacked(pack_archive([("rows.json", rows)], name="x", about={}))

    def test_rows_of_a_newer_program_are_refused(self):
        newer = b'{"format": 99, "rows": {}}'
        with pytest.raises(ExchangeError, match="newer"):
            unpacked(pack_archive([("rows.json", newer)], name="x", about={}))

    def test_a_photo_under_a_wrong_name_is_refused(self):
        files = [("rows.json", b'{"format": 1, "rows": {}}'), (f"photos/{'0' * 64}.jpg", b"x")]
        with pytest.raises(ExchangeError, match="name"):
            unpacked(pack_archive(files, name="x", about={}))
