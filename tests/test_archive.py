"""An archive is whole or refused: nothing damaged, foreign or malicious is taken in."""

import hashlib
import io
import os
import stat
import struct
import zipfile
from pathlib import Path

import bagit
import numpy as np
import pytest

from lesioncompare.errors import ExchangeError
from lesioncompare.exchange.archive import layout, open_archive, pack_archive, write_archive

rng = np.random.default_rng(11)
FILES = {
    "record.json": b'{"format": 1}' * 50,
    "photos/0001.jpg": rng.bytes(4000),
    "photos/0002.jpg": rng.bytes(300),
    "measures.csv": "\ufeffvisit,area [mm²]\r\n".encode(),
    "empty.txt": b"",
}
ABOUT = {"Bagging-Date": "2026-06-30", "External-Description": "nose\nPayload-Oxum: 1.1"}
WHOLE = pack_archive(FILES.items(), name="tiger-nose", about=ABOUT)


def taken_in(data: bytes) -> dict[str, bytes]:
    with open_archive(io.BytesIO(data)) as archive:
        return {path: archive.read(path) for path in archive.paths}


def refused(data: bytes) -> ExchangeError:
    with pytest.raises(ExchangeError) as refusal:
        taken_in(data)
    for sentence in (refusal.value.what, refusal.value.advice):
        assert sentence.endswith(".")
    return refusal.value


def entries(data: bytes = WHOLE) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return {entry.filename: packed.read(entry) for entry in packed.infolist()}


def zipped(
    content: list[tuple[zipfile.ZipInfo | str, bytes]], method=zipfile.ZIP_DEFLATED
) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", method) as packed:
        for name, data in content:
            packed.writestr(name, data)
    return stream.getvalue()


def resealed(content: dict[str, bytes]) -> bytes:
    """Entries with manifests that fit them: what a careful attacker would send."""
    root = next(iter(content)).split("/")[0]
    inner = {name.removeprefix(f"{root}/"): data for name, data in content.items()}
    payload = {n: d for n, d in inner.items() if n.startswith("data/")}
    tags = {
        "bagit.txt": layout.DECLARATION,
        layout.INFO: f"Payload-Oxum: {sum(map(len, payload.values()))}.{len(payload)}\n".encode(),
        layout.MANIFEST: lines(payload),
    }
    tags[layout.TAG_MANIFEST] = lines(tags)
    return zipped([(f"{root}/{n}", d) for n, d in {**payload, **tags}.items()])


def lines(files: dict[str, bytes]) -> bytes:
    sums = (f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in files.items())
    return "".join(sums).encode()


class TestRoundTrip:
    def test_what_goes_in_comes_out(self):
        assert taken_in(WHOLE) == FILES

    def test_the_same_content_makes_the_same_bytes(self):
        assert pack_archive(FILES.items(), name="tiger-nose", about=ABOUT) == WHOLE

    def test_the_independent_checker_finds_it_valid(self, tmp_path):
        """Checked by bagit 1.9 (Library of Congress): the unpacked bag is valid."""
        write_archive(tmp_path / "a.zip", FILES.items(), name="tiger-nose", about=ABOUT)
        with zipfile.ZipFile(tmp_path / "a.zip") as packed:
            packed.extractall(tmp_path)
        bag = bagit.Bag(str(tmp_path / "tiger-nose"))
        assert bag.validate(processes=1)
        assert set(bag.payload_files()) == {f"data/{path}" for path in FILES}
        assert bag.info["Bagging-Date"] == "2026-06-30"
        assert bag.info["Payload-Oxum"] == f"{sum(map(len, FILES.values()))}.{len(FILES)}"

    def test_a_bag_of_the_independent_maker_is_read(self, tmp_path):
        """What bagit 1.9 makes, zipped, is taken in too, once its folder's extras fit ours."""
        folder = tmp_path / "bag"
        (folder / "photos").mkdir(parents=True)
        (folder / "photos/1.jpg").write_bytes(b"picture")
        bagit.make_bag(str(folder), checksums=["sha256"])
        (folder / "bagit.txt").write_bytes(layout.DECLARATION)
        bagit.Bag(str(folder)).save(manifests=True)
        found = {f"bag/{p.relative_to(folder)}": p.read_bytes() for p in folder.rglob("*.*")}
        assert taken_in(zipped(list(found.items()))) == {"photos/1.jpg": b"picture"}

    def test_text_in_the_description_stays_on_its_line(self):
        info = entries()["tiger-nose/bag-info.txt"].decode().splitlines()
        assert info[1] == "External-Description: nose Payload-Oxum: 1.1"
        assert len(info) == 3


class TestWriting:
    def test_a_file_that_is_there_is_replaced_only_by_a_whole_one(self, tmp_path):
        out = tmp_path / "a.zip"
        write_archive(out, FILES.items(), name="x", about={})

        def breaks():
            yield "photos/1.jpg", b"picture"
            raise OSError("the disk is full")

        before = out.read_bytes()
        with pytest.raises(OSError, match="full"):
            write_archive(out, breaks(), name="x", about={})
        assert out.read_bytes() == before
        assert os.listdir(tmp_path) == ["a.zip"]  # noqa: PTH208

    @pytest.mark.parametrize(
        "path", ["../x", "/x", "a//b", "a/../b", "C:x", "a\\b", "", "ü", "a\nb"]
    )
    def test_no_path_leads_elsewhere(self, path):
        with pytest.raises(ValueError, match="plain"):
            pack_archive([(path, b"")], name="x", about={})

    def test_no_path_comes_twice(self):
        with pytest.raises(ValueError, match="once"):
            pack_archive([("a.txt", b""), ("A.TXT", b"")], name="x", about={})

    @pytest.mark.parametrize("name", ["", "..", "a/b", "Müsli", " "])
    def test_the_folder_has_a_plain_name(self, name):
        with pytest.raises(ValueError, match="plain"):
            pack_archive(FILES.items(), name=name, about={})


class TestDamage:
    @pytest.mark.parametrize("name", sorted(entries()))
    def test_a_missing_file_refuses_all(self, name):
        refused(zipped([(n, d) for n, d in entries().items() if n != name]))

    @pytest.mark.parametrize("name", sorted(n for n, data in entries().items() if data))
    def test_a_changed_file_refuses_all(self, name):
        changed = {
            n: (d[:-1] + bytes([d[-1] ^ 1]) if n == name else d) for n, d in entries().items()
        }
        refused(zipped(list(changed.items())))

    @pytest.mark.parametrize(
        "name", ["tiger-nose/data/more.txt", "tiger-nose/fetch.txt", "other/x.txt"]
    )
    def test_an_extra_file_refuses_all(self, name):
        refused(zipped([*entries().items(), (name, b"http://example.org/a 3 data/a\n")]))

    def test_a_flipped_bit_is_seen_or_changes_nothing(self):
        """400 random single-bit flips: refused, or (in dates and the like) the content is whole."""
        flips = np.random.default_rng(12)
        seen = 0
        for _ in range(400):
            data = bytearray(WHOLE)
            data[flips.integers(len(data))] ^= 1 << int(flips.integers(8))
            try:
                assert taken_in(bytes(data)) == FILES
            except ExchangeError:
                seen += 1
        assert seen > 300

    def test_a_cut_archive_is_refused(self):
        cuts = np.random.default_rng(13).integers(0, len(WHOLE) - 1, 100)
        for cut in cuts:
            refused(WHOLE[:cut])

    @pytest.mark.parametrize("data", [b"", b"PK", b"no zip at all" * 50, bytes(22)])
    def test_what_is_no_zip_is_refused(self, data):
        refused(data)

    def test_a_file_that_is_not_there_is_said(self, tmp_path):
        with pytest.raises(ExchangeError, match="opened"), open_archive(tmp_path / "none.zip"):
            pass


class TestMalice:
    """Every case carries manifests that fit it: only the rule itself can refuse it."""

    @pytest.mark.parametrize(
        "path",
        [
            *("../../evil.sh", "/etc/passwd", "..\\evil", "C:\\evil", "a/./b", ".hidden", "a//b"),
            *("nul\u0000x", "evil\u202egpj.exe", "a:b", "long" * 100, "new\nline", "-rf", "%0a"),
        ],
    )
    def test_a_name_that_leads_elsewhere(self, path):
        refused(resealed({**entries(), f"tiger-nose/data/{path}": b"x"}))

    def test_two_files_of_one_name(self):
        twice = [*entries().items(), ("tiger-nose/data/record.json", b"other")]
        with pytest.warns(UserWarning, match="Duplicate name"):
            data = zipped(twice)
        refused(data)

    def test_two_files_whose_names_differ_in_case_only(self):
        refused(resealed({**entries(), "tiger-nose/data/RECORD.json": b"other"}))

    def test_a_link(self):
        link = zipfile.ZipInfo("tiger-nose/data/link.txt")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        content = entries(resealed({**entries(), "tiger-nose/data/link.txt": b"/etc/passwd"}))
        del content["tiger-nose/data/link.txt"]
        refused(zipped([*content.items(), (link, b"/etc/passwd")]))

    def test_something_that_unpacks_to_a_thousand_times_its_size(self):
        bomb = resealed({**entries(), "tiger-nose/data/bomb.txt": bytes(30 << 20)})
        assert len(bomb) < 100_000
        assert "far more" in refused(bomb).what

    def test_something_that_claims_to_be_huge(self):
        """The stated size of every entry in the zip directory raised to 2 GB."""
        data = bytearray(WHOLE)
        at = -1
        while (at := data.find(b"PK\x01\x02", at + 1)) >= 0:
            data[at + 24 : at + 28] = struct.pack("<I", 2_000_000_000)
        assert "larger" in refused(bytes(data)).what

    def test_more_files_than_any_of_ours(self, monkeypatch):
        monkeypatch.setattr("lesioncompare.exchange.archive.reading.MAX_FILES", 5)
        assert "larger" in refused(WHOLE).what

    def test_a_way_of_packing_that_we_do_not_use(self):
        refused(zipped(list(entries().items()), zipfile.ZIP_LZMA))

    def test_a_wrong_stated_size(self):
        content = entries(resealed(entries()))
        content["tiger-nose/bag-info.txt"] = b"Payload-Oxum: 5.1\n"
        tags = {n.split("/")[1]: d for n, d in content.items() if n.count("/") == 1}
        del tags[layout.TAG_MANIFEST]
        content[f"tiger-nose/{layout.TAG_MANIFEST}"] = lines(tags)
        assert "size" in refused(zipped(list(content.items()))).what

    def test_a_file_swapped_after_the_check(self, tmp_path):
        """The bytes given out are compared again, at the moment they are given out."""
        path: Path = tmp_path / "a.zip"
        path.write_bytes(WHOLE)
        with open_archive(path) as archive, path.open("r+b") as stream:
            stream.seek(WHOLE.index(FILES["photos/0001.jpg"]) + 100)
            stream.write(b"evil")
            stream.flush()
            with pytest.raises(ExchangeError):
                archive.read("photos/0001.jpg")

    def test_a_file_that_is_not_listed_is_not_given_out(self):
        with open_archive(io.BytesIO(WHOLE)) as archive, pytest.raises(ExchangeError):
            archive.read("../bagit.txt")
