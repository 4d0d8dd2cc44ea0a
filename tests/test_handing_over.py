"""The command line hands a series over and keeps a store whole, or says why it cannot."""

import io
import json
import shutil
import subprocess
import sys
import zipfile
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import pypdf
import pytest
from PIL import Image

from lesioncompare.cli import main
from lesioncompare.report.album import SIDE_PX
from lesioncompare.series import follow_spot
from lesioncompare.series.handover import dicom_of
from lesioncompare.series.marks import place_on_photo, place_on_picture
from lesioncompare.series.report import album, report_of
from lesioncompare.store import Store

HOSTILE = "=1+1 <script>alert(1)</script> ../../x\\..\\y"
OK, WRONG_USE, NOT_WELL = 0, 2, 3


@dataclass(frozen=True)
class Done:
    returncode: int
    stdout: str
    stderr: str


def run(home: Path, *words: object) -> Done:
    """The program on a store, as a person starts it."""
    said, wrong = io.StringIO(), io.StringIO()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LESIONCOMPARE_HOME", str(home))
        patch.setenv("COLUMNS", "200")
        patch.setattr(sys, "argv", ["lesioncompare", *map(str, words)])
        with redirect_stdout(said), redirect_stderr(wrong), pytest.raises(SystemExit) as left:
            main()
    return Done(int(left.value.code or 0), said.getvalue(), wrong.getvalue())


@pytest.fixture
def home(demo_home, tmp_path):
    shutil.copytree(demo_home, tmp_path / "home")
    return tmp_path / "home"


@pytest.fixture(scope="module")
def archived(demo_home, tmp_path_factory) -> bytes:
    """An archive of the store with the simulated cat."""
    folder = tmp_path_factory.mktemp("archived")
    shutil.copytree(demo_home, folder / "home")
    assert run(folder / "home", "archive", folder / "series.zip").returncode == OK
    return (folder / "series.zip").read_bytes()


@pytest.fixture
def store(home):
    kept = Store(home)
    yield kept
    kept.close()


@pytest.fixture
def site(store):
    return store.sites.of_cat(store.cats.all()[0].id)[0]


@pytest.fixture
def spot(store, site):
    return store.spots.of_site(site.id)[0]


class TestArchive:
    def test_another_installation_takes_it_in_whole_and_once(self, home, store, site, tmp_path):
        store.notes.add(site.id, HOSTILE, who=HOSTILE)
        store.decisions.add(site.id, "biopsy", who="A vet", text=HOSTILE)
        store.concerns.say(site.id, HOSTILE)
        file, there = tmp_path / "series.zip", tmp_path / "there"
        assert run(home, "archive", file).returncode == OK
        first = run(there, "import", file)
        assert first.returncode == OK, first.stderr
        assert "1 cat, 1 site" in first.stdout
        again = run(there, "import", file)
        assert "nothing new" in again.stdout
        assert run(there, "check").returncode == OK
        other = Store(there)
        kept = other.rows_of_sites([site.id])
        for table, rows in store.rows_of_sites([site.id]).items():
            assert [r["id"] for r in rows] == [r["id"] for r in kept[table]]
        followed = follow_spot(other, other.spots.of_site(site.id)[0].id)
        assert len(followed.series.visits) == 3
        other.close()

    def test_it_holds_reports_copies_and_data_under_plain_names(self, home, store, tmp_path):
        store.cats.edit(store.cats.all()[0].id, name=HOSTILE)
        file = tmp_path / "series.zip"
        assert run(home, "archive", file).returncode == OK
        with zipfile.ZipFile(file) as bag:
            names = bag.namelist()
            assert not [n for n in names if ".." in n or "\\" in n or "script" in n]
            data = {n.removeprefix("lesioncompare-series/data/"): n for n in names}
            for wanted in ("report/nose-1.pdf", "report/nose-1.html", "nose-1/measures.csv"):
                assert wanted in data
            assert len([n for n in data if n.startswith("display/")]) == 3
            html = bag.read(data["report/nose-1.html"]).decode()
            assert "<script>alert" not in html
            for name in names:
                if name.endswith(".jpg"):
                    with Image.open(io.BytesIO(bag.read(name))) as picture:
                        assert "exif" not in picture.info

    @pytest.mark.parametrize("fault", ["cut", "flipped", "words", "missing"])
    def test_a_damaged_one_is_refused_whole(self, archived, tmp_path, fault):
        file, there = tmp_path / "series.zip", tmp_path / "there"
        data = bytearray(archived)
        if fault == "cut":
            data = data[: len(data) // 2]
        elif fault == "flipped":
            data[len(data) // 2] ^= 1
        elif fault == "words":
            data = bytearray(b"no zip at all " * 40)
        file.write_bytes(data)
        if fault == "missing":
            file.unlink()
        done = run(there, "import", file)
        assert done.returncode == WRONG_USE
        assert "Traceback" not in done.stderr
        assert done.stderr.count(".") >= 2
        other = Store(there)
        assert other.cats.all() == []
        assert not list((there / "photos").rglob("*.*"))
        other.close()

    def test_a_folder_that_is_not_there_is_said(self, home, tmp_path):
        done = run(home, "archive", tmp_path / "no" / "series.zip")
        assert done.returncode == WRONG_USE
        assert "There is no folder" in done.stderr

    def test_what_is_not_in_the_store_is_said(self, home, tmp_path):
        for words in (("--cat", "Nobody"), ("--site", "gum-upper"), ("--site", "tail")):
            done = run(home, "archive", tmp_path / "series.zip", *words)
            assert done.returncode == WRONG_USE
            assert not (tmp_path / "series.zip").exists()


class TestReport:
    def test_it_writes_both_forms_of_each_spot(self, home, tmp_path):
        done = run(home, "report", "--out", tmp_path / "out", "--paper", "letter")
        assert done.returncode == OK, done.stderr
        pdf = pypdf.PdfReader(tmp_path / "out" / "nose-1.pdf")
        assert pdf.pages[0].mediabox.width == pytest.approx(612)
        html = (tmp_path / "out" / "nose-1.html").read_text()
        assert html.count("<img") == 2 + 3  # the first pair, and every photo in the strip
        assert "simulated: no real animal" in html

    def test_it_works_on_bare_photos(self, home, demo_photos, tmp_path):
        truth = json.loads((demo_photos / "truth.json").read_text())
        photos = [demo_photos / name for name in truth["photos"][:2]]
        words = ("--spot", truth["spot"], "--site", "nose", "--out", tmp_path / "out")
        done = run(home, "report", *photos, *words)
        assert done.returncode in {OK, NOT_WELL}, done.stderr
        assert (tmp_path / "out" / "report.pdf").read_bytes().startswith(b"%PDF")

    def test_photos_without_a_circle_are_said(self, home, demo_photos, tmp_path):
        done = run(home, "report", demo_photos / "nothing.jpg", "--out", tmp_path)
        assert done.returncode == WRONG_USE
        assert "--spot" in done.stderr

    def test_it_tells_what_people_wrote_and_who(self, store, site, spot):
        photo = follow_spot(store, spot.id).taken[-1].photo
        store.notes.add(site.id, "Scratched on Monday", who="The keeper")
        about = store.decisions.add(
            site.id, "biopsy", who="Dr A", spot_id=spot.id, photo_id=photo.id, mark_px=(5.0, 6.0)
        )
        store.decisions.add(site.id, "result", who="Dr B", text="No word yet", about=about.id)
        store.corrections.add(photo.id, spot.id, "accepted", who="Dr A")
        store.photos.set_state(photo.id, "excluded", reason="hair over it", who="Dr A")
        words = repr(report_of(store, spot.id))
        for wanted in ("Scratched on Monday", "The keeper", "place marked", "No word yet", "Dr B"):
            assert wanted in words
        assert "border accepted" in words
        assert "hair over it" in words

    def test_a_photo_that_was_never_measured_is_named(self, store, site, spot):
        visit = store.visits.begin(site.id)
        other = store.photos.data(store.photos.of_visit(store.visits.of_site(site.id)[0].id)[0].id)
        store.photos.add(visit.id, other + b"\0", name="dark.jpg")
        assert "never measured" not in repr(report_of(store, spot.id))  # the visit goes on
        store.visits.finish(visit.id)
        assert "never measured" in repr(report_of(store, spot.id))

    def test_the_place_of_a_biopsy_is_marked_on_the_last_photo(self, store, site, spot):
        followed = follow_spot(store, spot.id)
        first, taken = followed.first, followed.taken[1]
        at = place_on_photo(taken, first, (300.0, 400.0), SIDE_PX)
        store.decisions.add(
            site.id, "biopsy", who="Dr A", spot_id=spot.id, photo_id=taken.photo.id, mark_px=at
        )
        frames = album(store, followed).frames
        assert frames[0].mark is None
        for frame in frames[1:]:
            assert frame.mark == pytest.approx((300.0, 400.0), abs=1e-6)
        assert "place marked for a sample" in repr(report_of(store, spot.id))


class TestDicom:
    def test_it_writes_a_photo_and_a_report_of_each(self, home, tmp_path, program):
        pytest.importorskip("highdicom")
        done = run(home, "dicom", tmp_path / "out")
        assert done.returncode == OK, done.stderr
        files = sorted((tmp_path / "out" / "nose-1").glob("*.dcm"))
        assert len(files) == 6
        validator = program("dciodvfy", package="dicom3tools")
        for file in files:
            said = subprocess.run(
                [validator, "-new", str(file)], capture_output=True, text=True, check=False
            )
            assert not [s for s in (said.stdout + said.stderr).splitlines() if "Error" in s]

    def test_the_same_series_makes_the_same_objects(self, store, spot):
        pytest.importorskip("highdicom")
        one, other = dicom_of(store, spot.id), dicom_of(store, spot.id)
        assert one["photo-001.dcm"] == other["photo-001.dcm"]


class TestKeeping:
    def test_a_backup_brings_everything_back(self, home, store, site, tmp_path):
        assert run(home, "backup", tmp_path / "b.zip").returncode == OK
        assert "1 cat" in run(tmp_path / "there", "restore", tmp_path / "b.zip").stdout
        other = Store(tmp_path / "there")
        assert other.rows_of_sites([site.id]) == store.rows_of_sites([site.id])
        other.close()

    def test_a_photo_that_rotted_is_found(self, home, store, site):
        photo = store.photos.of_visit(store.visits.of_site(site.id)[0].id)[0]
        file = next((home / "photos").rglob(photo.sha256))
        file.chmod(0o644)
        file.write_bytes(b"rot" + file.read_bytes()[3:])
        done = run(home, "check")
        assert done.returncode == NOT_WELL
        assert done.stderr

    def test_opening_starts_the_app_where_it_was_asked_to(self, home, monkeypatch):
        asked = {}
        monkeypatch.setattr("lesioncompare.cli.keeping.serve", lambda **facts: asked.update(facts))
        assert run(home, "open", "--port", 8600).returncode == OK
        assert (asked["port"], asked["share"]) == (8600, False)


class TestPlaces:
    def test_a_place_goes_to_its_photo_and_back(self, store, spot):
        followed = follow_spot(store, spot.id)
        for taken in followed.taken:
            on_photo = place_on_photo(taken, followed.first, (400.0, 300.0), 900)
            back = place_on_picture(taken, followed.first, on_photo, 900)
            assert back == pytest.approx((400.0, 300.0), abs=1e-6)

    def test_the_middle_of_the_spot_is_on_the_spot(self, store, spot):
        """The circle that was drawn on the first photo, in its own pixels."""
        followed = follow_spot(store, spot.id)
        seed = store.seeds.latest(followed.first.photo.id, spot.id)
        on_photo = place_on_photo(followed.first, followed.first, (449.5, 449.5), 900)
        assert on_photo == pytest.approx((seed.x, seed.y), abs=2)
