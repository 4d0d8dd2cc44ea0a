"""Nothing acknowledged is lost: killed writers, crossing writers, backups, upgrades, rot."""

import os
import shutil
import signal
import subprocess
import sys
import threading
import time
import zipfile
from pathlib import Path

import pytest
from alembic import command
from sqlalchemy import inspect, text

from lesioncompare.errors import ExchangeError, StoreError
from lesioncompare.records import Seed
from lesioncompare.store import Store
from lesioncompare.store.engine import open_engine, writing
from lesioncompare.store.migrate import alembic_config, newest_revision, present_revision
from lesioncompare.terms import parse_site

ROOT = Path(__file__).parent.parent
NOSE = parse_site("nose")

WRITER = """
import hashlib, sys
from pathlib import Path
from lesioncompare.store import Store
store = Store(Path(sys.argv[1]))
visit, tag = sys.argv[2], sys.argv[3]
for count in range(100_000):
    data = hashlib.sha256(f"{tag}{count}".encode()).digest() * 4000
    photo = store.photos.add(visit, data, name=f"{tag}{count}")
    store.answers.give(visit, f"{tag}{count}", photo.id)
    print(photo.id, photo.sha256, flush=True)
"""


@pytest.fixture
def store(tmp_path: Path):
    kept = Store(tmp_path / "home")
    yield kept
    kept.close()


def begin(store: Store):
    site = store.sites.add(store.cats.add("Miez").id, NOSE)
    return site, store.visits.begin(site.id)


def filled(store: Store):
    """A store with something in every corner a backup must reach."""
    site, visit = begin(store)
    spot = store.spots.add(site.id, "spot")
    photo = store.photos.add(visit.id, b"original" * 100, name="a.jpg")
    store.photos.set_state(photo.id, "excluded", reason="moved")
    store.seeds.add(photo.id, spot.id, Seed(1, 2, 3))
    store.corrections.add(photo.id, spot.id, "corrected", contour_px=[[0, 0], [1, 0], [1, 1]])
    first = store.decisions.add(site.id, "watch", who="vet", photo_id=photo.id)
    store.decisions.add(site.id, "result", who="vet", about=first.id)
    store.notes.add(site.id, "note ü 猫 '; DROP TABLE cat", visit_id=visit.id)
    store.print_checks.add(98)
    store.visits.finish(visit.id)
    return site, visit, photo


class TestKill:
    def test_a_writer_killed_again_and_again_loses_nothing_it_acknowledged(
        self, store: Store
    ) -> None:
        _, visit = begin(store)
        acknowledged = []
        for turn in range(4):
            for delay_s in (0.25, 0.37):
                acknowledged += self._killed(store.home, visit.id, f"{turn}-{delay_s}-", delay_s)

        kept = {photo.id: photo.sha256 for photo in store.photos.of_visit(visit.id)}
        assert len(acknowledged) > 20  # the test did interrupt a working writer
        assert dict(acknowledged).items() <= kept.items()
        assert store.check() == []
        answers = set(store.answers.of_visit(visit.id).values())
        assert {photo_id for photo_id, _ in acknowledged} <= answers

    def _killed(self, home: Path, visit_id: str, tag: str, delay_s: float):
        """What a writer said it had stored before it was killed without warning."""
        writer = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(home), visit_id, tag],
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
        first = writer.stdout.readline()
        time.sleep(delay_s)
        writer.send_signal(signal.SIGKILL)
        said = first + writer.communicate()[0]
        lines = [line.split() for line in said.splitlines(keepends=True) if line.endswith("\n")]
        return [(photo_id, sha256) for photo_id, sha256 in lines]

    def test_what_a_killed_write_left_behind_is_swept_and_nothing_else(self, store: Store) -> None:
        _, _, photo = filled(store)
        folder = store.home / "photos"
        (folder / ".tmp-half").write_bytes(b"half a photo")
        orphan = folder / "ab" / ("ab" + "0" * 62)
        orphan.parent.mkdir(exist_ok=True)
        orphan.write_bytes(b"no row speaks of it")

        assert store.sweep() == 0  # too young: its row may still be coming
        assert store.sweep(older_than_s=-1) == 2
        assert store.photos.data(photo.id)
        assert not orphan.exists()


class TestTwoWriters:
    def test_two_processes_neither_block_nor_corrupt_each_other(self, store: Store) -> None:
        _, visit = begin(store)
        script = WRITER.replace("100_000", "25")
        writers = [
            subprocess.Popen(
                [sys.executable, "-c", script, str(store.home), visit.id, tag],
                stdout=subprocess.PIPE,
                env={**os.environ, "PYTHONPATH": str(ROOT)},
            )
            for tag in ("left", "right")
        ]
        read = []
        while any(writer.poll() is None for writer in writers):
            read.append(len(store.photos.of_visit(visit.id)))
            time.sleep(0.02)
        for writer in writers:
            writer.communicate()

        assert [writer.returncode for writer in writers] == [0, 0]
        assert len(store.photos.of_visit(visit.id)) == 50
        assert read == sorted(read)  # a reader sees the series grow, never shrink
        assert store.check() == []

    def test_threads_that_read_then_write_all_succeed(self, store: Store) -> None:
        _, visit = begin(store)
        failures = []

        def work(number: int) -> None:
            try:
                for count in range(10):
                    store.photos.add(visit.id, f"{number} {count}".encode() * 50, name="x")
            except StoreError as problem:
                failures.append(problem)

        threads = [threading.Thread(target=work, args=(n,)) for n in range(6)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

        assert failures == []
        assert len(store.photos.of_visit(visit.id)) == 60

    def test_two_first_starts_at_once_make_one_store(self, tmp_path: Path) -> None:
        script = "import sys; from pathlib import Path; from lesioncompare.store import Store; "
        script += "Store(Path(sys.argv[1])).cats.add('Miez')"
        starts = [
            subprocess.Popen(
                [sys.executable, "-c", script, str(tmp_path / "home")],
                env={**os.environ, "PYTHONPATH": str(ROOT)},
            )
            for _ in range(3)
        ]
        assert [start.wait(60) for start in starts] == [0, 0, 0]
        store = Store(tmp_path / "home")
        assert len(store.cats.all()) == 3
        store.close()


class TestBackup:
    def test_a_backup_restores_everything_and_twice_is_once(
        self, store: Store, tmp_path: Path
    ) -> None:
        site, _, photo = filled(store)
        file = tmp_path / "backup.zip"
        assert store.backup(file) == 1

        other = Store(tmp_path / "other")
        first = other.restore(file)
        again = other.restore(file)

        assert {n: c for n, c in first.items() if c} == {
            "cat": 1, "site": 1, "spot": 1, "visit": 1, "photo": 1, "photo_state": 1, "seed": 1,
            "correction": 1, "decision": 2, "note": 1, "print_check": 1,
        }  # fmt: skip
        assert sum(again.values()) == 0
        assert store.photos.get(photo.id) == other.photos.get(photo.id)
        assert store.photos.data(photo.id) == other.photos.data(photo.id)
        assert store.notes.of_site(site.id) == other.notes.of_site(site.id)
        assert store.decisions.of_site(site.id) == other.decisions.of_site(site.id)
        assert store.visits.of_site(site.id) == other.visits.of_site(site.id)
        assert other.check() == []
        other.close()

    def test_restoring_overwrites_nothing_that_is_here(self, store: Store, tmp_path: Path) -> None:
        site, _, _ = filled(store)
        store.backup(tmp_path / "b.zip")
        store.cats.edit(site.cat_id, name="Renamed since")

        store.restore(tmp_path / "b.zip")

        assert store.cats.get(site.cat_id).name == "Renamed since"

    @pytest.mark.parametrize("damage", ["cut", "text", "photo", "rows", "foreign", "future"])
    def test_a_damaged_backup_is_refused_whole(
        self, store: Store, tmp_path: Path, damage: str
    ) -> None:
        filled(store)
        file = tmp_path / "b.zip"
        store.backup(file)
        self._damage(file, damage)
        other = Store(tmp_path / "other")

        with pytest.raises((ExchangeError, StoreError)) as refusal:
            other.restore(file)

        assert refusal.value.what
        assert refusal.value.advice
        assert other.cats.all() == []
        assert other.print_checks.all() == []
        other.close()

    def _damage(self, file: Path, damage: str) -> None:
        if damage == "cut":
            file.write_bytes(file.read_bytes()[:-200])
        elif damage == "text":
            file.write_text("not a zip")
        else:
            with zipfile.ZipFile(file) as archive:
                parts = {name: archive.read(name) for name in archive.namelist()}
            photo = next(name for name in parts if name.startswith("photos/"))
            if damage == "photo":
                parts[photo] = b"another picture"
            elif damage == "rows":
                parts["rows.json"] = parts["rows.json"].replace(b"moved", b"MOVED")
            elif damage == "foreign":
                parts["about.json"] = b'{"kind": "something else"}'
            else:
                parts["about.json"] = parts["about.json"].replace(
                    f'"{newest_revision()}"'.encode(), b'"9999"'
                )
            with zipfile.ZipFile(file, "w") as archive:
                for name, data in parts.items():
                    archive.writestr(name, data)

    def test_rows_that_do_not_fit_together_change_nothing(
        self, store: Store, tmp_path: Path
    ) -> None:
        site, visit, photo = filled(store)
        rows = store.rows_of_sites([site.id])
        photos = {photo.sha256: store.photos.data(photo.id)}
        other = Store(tmp_path / "other")
        broken = (
            {**rows, "visit": []},  # photos of a visit that is not there
            {**rows, "cat": [{"id": "x"}]},
            {**rows, "spaceship": []},
            {**rows, "spot": [{**rows["spot"][0], "added_at": "yesterday"}]},
        )
        for wrong in broken:
            with pytest.raises(ExchangeError):
                other.bring_in(wrong, photos)
            assert other.cats.all() == []
        assert other.bring_in(rows, photos)["visit"] == 1
        assert visit.id == other.visits.of_site(site.id)[0].id
        other.close()

    def test_rows_of_one_site_hold_nothing_of_another(self, store: Store) -> None:
        site, _, photo = filled(store)
        other = store.sites.add(site.cat_id, parse_site("ear-left"))
        strange = store.photos.add(store.visits.begin(other.id).id, b"other" * 99, name="o")
        begin(store)

        rows = store.rows_of_sites([site.id])

        assert [photo.sha256] == [row["sha256"] for row in rows["photo"]]
        assert strange.id not in str(rows)
        assert [len(rows["cat"]), len(rows["site"])] == [1, 1]


class TestUpgrade:
    def test_the_migrations_make_exactly_the_tables(self, tmp_path: Path) -> None:
        """Alembic's own comparison of models and database finds no difference."""
        engine = open_engine(f"sqlite:///{tmp_path / 'x.sqlite'}")
        with writing(engine) as connection:
            command.upgrade(alembic_config(connection), "head")
            command.check(alembic_config(connection))
        engine.dispose()

    def test_a_copy_of_the_old_store_is_kept_before_an_upgrade(
        self, tmp_path: Path, monkeypatch
    ) -> None:
        store = Store(tmp_path)
        cat = store.cats.add("Miez")
        store.close()
        present = newest_revision()
        monkeypatch.setattr("lesioncompare.store.migrate.newest_revision", lambda: "9998")

        Store(tmp_path).close()

        kept = Store(
            tmp_path / "old", url=f"sqlite:///{tmp_path / f'store-before-{present}.sqlite'}"
        )
        assert [cat] == kept.cats.all()
        kept.close()

    def test_a_store_of_a_newer_program_is_left_alone(self, tmp_path: Path) -> None:
        store = Store(tmp_path)
        store.cats.add("Miez")
        store.close()
        engine = open_engine(f"sqlite:///{tmp_path / 'store.sqlite'}")
        with writing(engine) as connection:
            connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))

        with pytest.raises(StoreError, match="newer version"):
            Store(tmp_path)

        assert "9999" == present_revision(engine) != newest_revision()
        engine.dispose()

    def test_commits_are_durable_and_foreign_keys_enforced(self, store: Store) -> None:
        with store._engine.connect() as connection:
            asked = {
                name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
                for name in ("journal_mode", "synchronous", "foreign_keys")
            }
        assert asked == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}


@pytest.mark.skipif(
    not (shutil.which("initdb") and shutil.which("runuser")) or os.name == "nt",
    reason="no second database: PostgreSQL’s initdb is missing from the path (apt: postgresql), or "
    "runuser, which starts it as its own user",
)
class TestPostgres:
    def test_the_same_models_run_on_postgresql(self, tmp_path: Path) -> None:
        pytest.importorskip("psycopg")
        folder = Path(subprocess.check_output(["mktemp", "-d"], text=True).strip())
        shutil.chown(folder, "postgres")
        run = ["runuser", "-u", "postgres", "--"]
        base = str(folder / "data")
        subprocess.check_output(
            [*run, "initdb", "-A", "trust", "-U", "app", "--no-sync", base],
        )
        options = f"-k {folder} -c listen_addresses='' -c fsync=off"
        log = str(folder / "log")
        start = [*run, "pg_ctl", "-D", base, "-w", "-l", log, "-o", options, "start"]
        subprocess.run(start, check=True, stdout=subprocess.DEVNULL)
        try:
            store = Store(tmp_path, url=f"postgresql+psycopg://app@/postgres?host={folder}")
            _, visit, photo = filled(store)
            store.backup(tmp_path / "b.zip")
            other = Store(tmp_path / "sqlite")
            other.restore(tmp_path / "b.zip")

            assert store.visits.get(visit.id) == other.visits.get(visit.id)
            assert store.photos.get(photo.id) == other.photos.get(photo.id)
            assert store.check() == []
            assert "correction" in inspect(store._engine).get_table_names()
            store.close()
            other.close()
        finally:
            subprocess.check_output(
                [*run, "pg_ctl", "-D", base, "-m", "immediate", "stop"],
            )
            shutil.rmtree(folder, ignore_errors=True)
