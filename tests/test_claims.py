"""Every claim that a reader could act on has a source, and none stands on the screens without."""

import ast
import re
from collections.abc import Sequence
from pathlib import Path

import pytest

from lesioncompare.claims import CLAIMS, CUSTOM
from lesioncompare.registry.findings import FINDINGS
from lesioncompare.registry.home_check import SIGNS, STATIONS
from lesioncompare.registry.questions import QUESTIONS
from lesioncompare.teach.profile import always_claims, freckle_claims, sun_claims
from lesioncompare.ui.texts import HABIT, HOME_CHECK, PRACTICE, SUN, WHICH

SCREENS = Path(__file__).parent.parent / "lesioncompare" / "ui"
OURS = ("sun", "which_cats", "home_check", "practice", "reminder")
# words that tell somebody what to do with a cat, or what the sun or a spot does to one
ACTS = re.compile(
    r"\b(vet|ring|shade|indoors|keep (it|the cat)|avoid|never (hold|force)|cream|sore|bleed\w*|lump"
    r"|cancer|harm\w*|poison|risk|safe|danger\w*|healthy)\b",
    re.IGNORECASE,
)
# no word of ours may clear a cat, or promise minutes
CLEARS = re.compile(r"\b(safe|healthy|all clear|benign|malignant|diagnos\w*)\b", re.IGNORECASE)
MINUTES = re.compile(r"\b\d+ minutes\b|safe minutes", re.IGNORECASE)
LONGEST_SENTENCE = 26  # words; plain-language guides ask for 15 to 20 on average
MEAN_SENTENCE = 14


def all_claims() -> list[tuple[str, str, str]]:
    """Key, words and source of everything that can be acted on, from every registry."""
    found = [(c.key, c.says, c.source) for c in CLAIMS.values()]
    found += [(s.key, s.words, s.source) for s in SIGNS.values()]
    found += [(q.key, q.told, q.source) for q in QUESTIONS.values()]
    found += [(f.key, f.do, f.source) for f in FINDINGS.values()]
    return found


def strings(texts: object) -> list[str]:
    if isinstance(texts, str):
        return [texts]
    values = texts.values() if isinstance(texts, dict) else texts
    return [words for value in values for words in strings(value)]


def sentences(words: str) -> list[list[str]]:
    return [s.split() for s in re.split(r"(?<=[.?!])\s+", words) if s.strip()]


NAMED = re.compile(
    r"\b(1[89]|20)\d\d\b|NC State Veterinary Hospital|Veterinary Cancer Society|Task Force"
    r"|advice of cat clinics|reviews of squamous cell carcinoma|searched for, none found"
)


@pytest.mark.parametrize(("key", "words", "source"), all_claims(), ids=lambda v: v[:24])
def test_everything_that_can_be_acted_on_has_words_and_a_source(key, words, source) -> None:
    assert words.strip(), key
    assert source.strip(), key


@pytest.mark.parametrize("claim", [*CLAIMS.values(), *SIGNS.values()], ids=lambda c: c.key)
def test_a_source_is_a_print_an_institution_or_says_that_there_is_none(claim) -> None:
    """Sources without a year of print are named here one by one; more need a look."""
    assert CUSTOM in claim.source or NAMED.search(claim.source), claim.source


def test_claims_say_nothing_that_clears_a_cat_and_promise_no_minutes() -> None:
    for claim in CLAIMS.values():
        assert not CLEARS.search(claim.says), claim.key
        assert not MINUTES.search(claim.says), claim.key


@pytest.mark.parametrize("texts", [SUN, WHICH, HOME_CHECK, PRACTICE, HABIT])
def test_the_words_of_the_screens_themselves_advise_nothing(texts) -> None:
    """Advice is said by claims, which carry their source; the rest only works the screen."""
    for words in strings(texts):
        allowed = words.replace("the vet knows", "")  # a keeper's own note, as an example
        assert not ACTS.search(allowed), words


@pytest.mark.parametrize("screen", OURS)
def test_screens_say_only_claims_that_exist(screen) -> None:
    """Every key passed to say() or list() of the cited claims, read from the source."""
    tree = ast.parse((SCREENS / "screens" / f"{screen}.py").read_text())
    keys = []
    for node in ast.walk(tree):
        called = isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
        if called and node.func.attr in {"say", "list"}:
            keys += [c.value for c in ast.walk(node.args[0]) if isinstance(c, ast.Constant)]
    assert set(keys) <= set(CLAIMS)
    assert keys or screen == "which_cats"


def test_no_claim_is_kept_that_nobody_shows() -> None:
    shown = "".join(path.read_text() for path in SCREENS.rglob("*.py"))
    teach = SCREENS.parent / "teach"
    shown += "".join(path.read_text() for path in teach.rglob("*.py"))
    shown += (SCREENS.parent / "registry" / "home_check.py").read_text()
    assert [key for key in CLAIMS if f'"{key}"' not in shown] == []


class TestWhichCats:
    def test_white_hair_on_thin_skin_brings_the_figure_and_its_limits(self) -> None:
        keys = sun_claims(coat_colour="white", white_areas=(), pigment="pink", outdoor_hours=2)
        assert keys[0] == "white_hair"
        assert "outdoors" in keys
        assert "13.4" in CLAIMS["white_hair"].says
        assert "Most white cats never get it" in CLAIMS["white_hair"].says

    def test_a_dark_cat_is_not_frightened_and_not_cleared(self) -> None:
        keys = sun_claims(coat_colour="black", white_areas=(), pigment="dark", outdoor_hours=None)
        assert "white_hair" not in keys
        assert "dark_skin" in keys
        assert "still worth a look" in CLAIMS["dark_skin"].says

    @pytest.mark.parametrize(
        ("colour", "pattern", "freckled"),
        [
            ("orange", "tabby", True),
            ("black", "tortoiseshell", True),
            ("white", "calico", True),
            ("grey", "plain", False),
        ],
    )
    def test_freckles_are_explained_where_they_are_usual_with_what_is_not(
        self, colour, pattern, freckled
    ) -> None:
        keys = freckle_claims(coat_colour=colour, coat_pattern=pattern)
        assert keys == (("freckles", "freckles_not") if freckled else ())

    def test_every_cat_gets_the_first_signs_and_the_way_to_the_vet(self) -> None:
        for age in (None, 1, 14):
            assert {"first_signs", "only_a_vet"} <= set(always_claims(age))


def syllables(word: str) -> int:
    """Syllables of an English word by its vowels; a silent e does not count."""
    letters = re.sub(r"[^a-z]", "", word.lower())
    letters = re.sub(r"(?<=[^td])ed$|(?<=[^sxzchg])es$|(?<=[^l])e$", "", letters) or letters
    count = len(re.findall(r"[aeiouy]+", letters))
    return max(1, count + bool(re.search(r"[aeiouy]ing$", letters)))


def counts(texts: Sequence[str]) -> tuple[int, int, int]:
    """Sentences, words and syllables."""
    split = [s for words in texts for s in sentences(words)]
    every = [word for sentence in split for word in sentence]
    return len(split), len(every), sum(syllables(word) for word in every)


def reading_ease(texts: Sequence[str]) -> float:
    """Flesch R (1948) A new readability yardstick. J Appl Psychol 32:221-233."""
    parts, every, spoken = counts(texts)
    return 206.835 - 1.015 * every / parts - 84.6 * spoken / every


def grade(texts: Sequence[str]) -> float:
    """Kincaid JP et al. (1975) Research Branch Report 8-75: years of school in the USA."""
    parts, every, spoken = counts(texts)
    return 0.39 * every / parts + 11.8 * spoken / every - 15.59


class TestPlainWords:
    TEXTS = (*(c.says for c in CLAIMS.values()), *(s.how for s in STATIONS.values()))

    def test_sentences_are_short(self) -> None:
        """Short sentences carry most of a reading grade."""
        lengths = [len(s) for words in self.TEXTS for s in sentences(words)]
        assert max(lengths) <= LONGEST_SENTENCE
        assert sum(lengths) / len(lengths) <= MEAN_SENTENCE

    def test_the_yardstick_gives_published_values(self) -> None:
        """Two sentences whose Flesch reading ease is often quoted: 116 and 69."""
        assert reading_ease(["The cat sat on the mat."]) == pytest.approx(116, abs=0.5)
        quoted = (
            "This sentence, taken as a reading passage unto itself, is being used to prove a point."
        )
        assert reading_ease([quoted]) == pytest.approx(69, abs=0.5)

    def test_a_child_of_twelve_can_read_them(self) -> None:
        """Age 12 is grade 6 to 7; syllables are counted by rule, so a grade may be off by one."""
        assert grade(self.TEXTS) < 6
        assert grade([sign.words + "." for sign in SIGNS.values()]) < 6
