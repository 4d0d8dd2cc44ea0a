"""Practice: what is shown is what was computed, answers are counted right, paper holds it all."""

import io
from dataclasses import replace
from math import log
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from lesioncompare.errors import SettingsError
from lesioncompare.teach.practice import cases
from lesioncompare.teach.practice.album import (
    CHANGED,
    FOLDER,
    NEVER,
    SAME,
    Item,
    Measured,
    album,
    pairs,
    series,
)
from lesioncompare.teach.practice.cases import PAIRS, SERIES, shots, subjects
from lesioncompare.teach.practice.handout import SETS, handout, pairs_of_set
from lesioncompare.teach.practice.make import CUT_PX, write_album
from lesioncompare.teach.practice.score import (
    LEVELS,
    next_item,
    right,
    right_by_level,
    tally,
    tool_answers,
)
from lesioncompare.teach.practice.words import measured_words, truth_words

MOST_BYTES = 3_000_000  # of all practice photos
CASES = {case.key: case for case in (*PAIRS, *SERIES)}


def pixels(photo: Path) -> np.ndarray:
    """The picture as codes."""
    with Image.open(photo) as picture:
        return np.asarray(picture.convert("RGB"))


class TestCases:
    def test_there_is_every_kind_of_change_and_no_change_on_every_level(self) -> None:
        for level in LEVELS:
            kinds = {case.kind for case in PAIRS if case.level == level}
            assert {cases.SAME, cases.SIZE, cases.NEW} <= kinds
        assert {case.kind for case in PAIRS} == {
            *(cases.SAME, cases.SIZE, cases.BORDER, cases.COLOUR, cases.SORE, cases.NEW)
        }
        growths = {case.amounts[0] for case in PAIRS if case.kind == cases.SIZE}
        assert {1.1, 1.2, 1.35, 1.6} <= growths

    @pytest.mark.parametrize("case", [*PAIRS, *SERIES], ids=lambda c: c.key)
    def test_only_what_the_case_says_changes(self, case) -> None:
        first, *later = subjects(case)
        for cat, amount in zip(later, case.amounts, strict=True):
            assert replace(cat, spots=()) == replace(first, spots=())
            before, after = first.spots[0], cat.spots[0]
            area = after.rest_area_mm2 / before.rest_area_mm2
            assert area == pytest.approx(amount if case.kind == cases.SIZE else 1)
            if case.kind == cases.SAME:
                assert cat == first
            else:
                assert (cat == first) == (amount in {0.0, 1.0} and case.kind in {"sore", "size"})

    def test_no_two_photos_are_taken_alike(self) -> None:
        seen = [replace(shot, taken=None) for case in (*PAIRS, *SERIES) for shot in shots(case)]
        assert len(seen) == len({repr(shot) for shot in seen})

    def test_mean_pairs_differ_more_in_slant_than_easy_ones(self) -> None:
        def slant(level: str) -> float:
            picked = [shots(case) for case in PAIRS if case.level == level]
            return float(np.mean([abs(b.tilt_deg - a.tilt_deg) for a, b in picked]))

        assert slant("easy") < slant("mean")


class TestAlbum:
    def test_it_holds_every_case_with_its_truth(self) -> None:
        for item in album():
            case = CASES[item.key]
            assert (item.level, item.kind, item.site) == (case.level, case.kind, case.site)
            assert item.amounts == case.amounts
            rest = [cat.spots[0].rest_area_mm2 for cat in subjects(case)]
            assert item.true_area_mm2 == pytest.approx(rest, abs=2e-3)
        assert len(album()) == len(CASES)

    def test_photos_are_small_square_and_carry_no_metadata(self) -> None:
        total = 0
        for item in album():
            for photo in item.photos:
                with Image.open(photo) as picture:
                    assert picture.size == (CUT_PX, CUT_PX)
                    assert not picture.getexif()
                total += photo.stat().st_size
        assert total < MOST_BYTES
        assert {p.name for i in album() for p in i.photos} == {p.name for p in FOLDER.glob("*.jpg")}

    @pytest.mark.slow
    def test_making_a_case_again_gives_the_same_photo_and_nearly_the_same_measure(
        self, tmp_path
    ) -> None:
        """The album is what the present program makes: pixels and areas agree closely."""
        case = PAIRS[1]
        list(write_album(tmp_path, [case]))
        (again,) = album(tmp_path)
        kept = next(item for item in pairs() if item.key == case.key)
        for new, old in zip(again.photos, kept.photos, strict=True):
            apart = np.abs(pixels(new).astype(float) - pixels(old))
            assert apart.mean() < 2  # codes; other machines round otherwise
        assert again.tool_says == kept.tool_says
        assert log(again.measured[-1].ratio[0]) == pytest.approx(
            log(kept.measured[-1].ratio[0]), abs=0.05
        )

    def test_a_missing_album_is_told_in_two_sentences(self, tmp_path) -> None:
        with pytest.raises(SettingsError, match="not installed"):
            album(tmp_path / "nowhere")

    def test_the_cut_shows_the_spot(self) -> None:
        """The middle of the first photo of an easy pair is darker than its surroundings."""
        case = PAIRS[0]
        item = next(i for i in pairs() if i.key == case.key)
        grey = pixels(item.photos[0]).mean(axis=2)
        middle = CUT_PX // 2
        inside = np.median(grey[middle - 15 : middle + 15, middle - 15 : middle + 15])
        assert inside < 0.8 * np.median(grey)


def item(key: str, kind: str, ratio: float = 1.0, *, tool: bool = False, level="easy") -> Item:
    amounts = (ratio,) if kind == "size" else (1.0,)
    measured = Measured(usable=True, changed=tool, says=("x",), ratio=(ratio, 0.9, 1.9))
    return Item(
        key,
        level,
        kind,
        "nose",
        (FOLDER,) * 2,
        amounts,
        (5.0, 5.0 * ratio),
        (2.5, 2.6),
        (measured,),
    )


ITEMS = (
    item("a", "same"),
    item("b", "size", 1.2),
    item("c", "size", 1.2, tool=True),
    item("d", "size", 1.6, tool=True, level="mean"),
    item("e", "border"),
)


class TestScore:
    def test_answers_are_counted_by_how_much_the_spot_grew(self) -> None:
        counted = tally(ITEMS, [("a", CHANGED), ("b", SAME), ("c", CHANGED), ("d", CHANGED)])
        assert counted.sizes == pytest.approx((0, log(1.2), log(1.6)), abs=1e-3)
        assert counted.said == (1, 1, 1)
        assert counted.asked == (1, 2, 1)
        assert not counted.enough
        assert counted.curve() is None

    def test_other_kinds_of_change_have_no_place_on_that_scale(self) -> None:
        assert tally(ITEMS, [("e", CHANGED), ("nowhere", SAME)]).asked == ()

    def test_right_is_right(self) -> None:
        given = [("a", SAME), ("b", SAME), ("d", CHANGED), ("e", CHANGED)]
        assert right(ITEMS, given) == (3, 4)
        assert right_by_level(ITEMS, given) == {"easy": (2, 3), "mean": (1, 1)}

    def test_the_programs_answers_are_judged_alike(self) -> None:
        assert dict(tool_answers(ITEMS)) == {
            "a": SAME,
            "b": SAME,
            "c": CHANGED,
            "d": CHANGED,
            "e": SAME,
        }

    def test_the_next_item_goes_from_easy_to_mean_and_differs_between_people(self) -> None:
        done, order = [], []
        while (following := next_item(ITEMS, done, "A")) is not None:
            order.append(following)
            done.append(following.key)
        assert [LEVELS.index(i.level) for i in order] == sorted(
            LEVELS.index(i.level) for i in order
        )
        firsts = {next_item(ITEMS, [], who).key for who in "ABCDEFGH"}
        assert len(firsts) > 1

    def test_a_series_is_answered_by_the_week_in_which_it_begins(self) -> None:
        for one in series():
            case = CASES[one.key]
            assert one.truth == (NEVER if case.kind == "same" else one.truth)
            if case.kind == "sore":
                assert one.truth == str(1 + case.amounts.index(next(a for a in case.amounts if a)))


class TestWords:
    @pytest.mark.parametrize("case", [*PAIRS, *SERIES], ids=lambda c: c.key)
    def test_every_truth_can_be_told(self, case) -> None:
        one = next(i for i in album() if i.key == case.key)
        assert truth_words(one).endswith(".")
        assert all(measured_words(one, n).endswith(".") for n in range(len(one.measured)))

    def test_growth_is_told_in_percent_with_the_interval_measured(self) -> None:
        assert "20 % larger" in truth_words(ITEMS[1])
        assert measured_words(ITEMS[1]) == "Measured area: +20 % (95 % interval −10 to +90 %)."
        assert measured_words(ITEMS[0]).startswith("Measured area: 0 %")

    def test_of_other_changes_what_was_noticed_is_told(self) -> None:
        assert measured_words(item("f", "colour", tool=True)) == "x"


@pytest.fixture(scope="module")
def pages():
    """The pages of the first set."""
    return PdfReader(io.BytesIO(handout(1)))


class TestHandout:
    def test_it_holds_every_pair_and_the_key_comes_last(self, pages) -> None:
        chosen = pairs_of_set(1)
        photos = sum(len(page.images) for page in pages.pages)
        assert photos == 2 * len(chosen)
        key = pages.pages[-1].extract_text()
        assert key.startswith("Key to set 1")
        flat = " ".join(key.split())
        for pair in chosen:
            assert truth_words(pair) in flat
        for page in pages.pages[:-1]:
            assert "larger" not in page.extract_text()  # nothing is given away before

    def test_fonts_are_embedded_and_it_says_that_no_animal_was_photographed(self, pages) -> None:
        assert "No animal was photographed" in " ".join(pages.pages[0].extract_text().split())
        fonts = pages.pages[0]["/Resources"]["/Font"].values()
        for font in fonts:
            inner = font.get_object()["/DescendantFonts"][0].get_object()
            assert "/FontFile2" in inner["/FontDescriptor"].get_object()

    def test_sets_share_no_pair_and_together_hold_them_all(self) -> None:
        keys = [pair.key for n in range(1, SETS + 1) for pair in pairs_of_set(n)]
        assert sorted(keys) == sorted(pair.key for pair in pairs())
        assert len(keys) == len(set(keys))

    def test_equal_sets_have_equal_bytes_on_either_paper(self) -> None:
        assert handout(2) == handout(2)
        assert len(PdfReader(io.BytesIO(handout(3, "letter"))).pages) >= 3

    @pytest.mark.parametrize("wrong", [(0, "a4"), (4, "a4"), (1, "a5")])
    def test_what_is_not_there_is_refused(self, wrong) -> None:
        with pytest.raises(SettingsError):
            handout(*wrong)
