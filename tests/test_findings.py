"""Every sentence of the registry, read word by word."""

import re
from string import Formatter

import pytest

from lesioncompare.registry.findings import FINDINGS
from lesioncompare.registry.notices import NOTICES
from lesioncompare.registry.questions import QUESTIONS
from lesioncompare.terms import Level, Verdict

# Never let an all-clear read as a diagnosis, nor a measurement as one
FORBIDDEN = re.compile(
    r"diagnos|cancer|tumou?r|benign|malign|\bsafe|healthy|all clear", re.IGNORECASE
)
TO_THE_VET = re.compile(r"\bvet\b", re.IGNORECASE)
NOW = re.compile(r"\b(ring|now)\b", re.IGNORECASE)


def sentences():
    for kind in [*FINDINGS.values(), *NOTICES.values()]:
        yield kind.key, kind.says
        yield kind.key, kind.do
        yield kind.key, kind.vet
    for kind in FINDINGS.values():
        yield from ((kind.key, other) for other in kind.could_be)
    for question in QUESTIONS.values():
        for text in (question.ask, question.hint, question.told, question.vet):
            yield question.key, text
    yield from (("verdict", verdict.value) for verdict in Verdict)


@pytest.mark.parametrize(("key", "sentence"), list(sentences()))
def test_no_sentence_names_an_illness_or_clears_the_cat(key, sentence):
    assert not FORBIDDEN.search(sentence), f"{key}: {sentence}"


@pytest.mark.parametrize("kind", FINDINGS.values(), ids=lambda kind: kind.key)
class TestEveryFinding:
    def test_says_and_does_in_whole_sentences(self, kind):
        for text in (kind.says, kind.do, kind.vet):
            assert text.endswith((".", "}"))
            assert text[0].isupper() or text[0] == "{"

    def test_names_its_rule_and_its_source(self, kind):
        assert len(kind.rule) > 5
        assert kind.source

    def test_sends_to_the_vet_as_its_level_says(self, kind):
        if kind.level == Level.NOW:
            assert NOW.search(kind.do)
            assert TO_THE_VET.search(kind.do)
        if kind.level == Level.SHOW:
            assert TO_THE_VET.search(kind.do)

    def test_offers_what_else_a_picture_could_show(self, kind):
        about_pictures = kind.level in {Level.WATCH, Level.SHOW, Level.NOW}
        if about_pictures and not kind.key.startswith("hands_on"):
            assert len(kind.could_be) >= 2

    def test_asks_for_plain_fields_only(self, kind):
        for text in (kind.says, kind.do, kind.vet):
            assert all(not f or f.isidentifier() for _, f, _, _ in Formatter().parse(text))


class TestCautions:
    def test_no_change_is_said_with_its_limit_and_is_no_word_on_health(self):
        kind = FINDINGS["no_change"]

        assert "{detectable_percent" in kind.says
        assert "no word on health" in kind.says
        assert "whatever the photos say" in kind.do

    def test_growth_of_a_freckle_in_an_orange_cat_is_named_as_a_normal_cause(self):
        assert any("orange" in other for other in FINDINGS["growth"].could_be)
        assert any("orange" in other for other in FINDINGS["new_spot"].could_be)
