"""The hands-on questions: which answers send the cat to the vet."""

import pytest

from lesioncompare.registry.questions import ANSWERS, NO, QUESTIONS, UNSURE, YES
from lesioncompare.terms import Level, Part


@pytest.mark.parametrize("question", QUESTIONS.values(), ids=lambda q: q.key)
class TestEveryQuestion:
    def test_sends_the_cat_to_the_vet_on_yes_and_on_nothing_else(self, question):
        assert question.level_of(YES) in {Level.SHOW, Level.NOW}
        assert question.level_of(NO) is None
        assert question.level_of(UNSURE) is None

    def test_is_asked_in_one_short_question_and_names_its_source(self, question):
        assert question.ask.endswith("?")
        assert len(question.ask) < 80
        assert question.source

    def test_is_never_milder_on_one_part_than_elsewhere(self, question):
        order = [Level.SHOW, Level.NOW]
        for part in Part:
            found = order.index(question.level_of(YES, part))
            assert found >= order.index(question.level)


class TestQuestions:
    def test_ask_all_that_a_photo_cannot_show(self):
        assert set(QUESTIONS) == {
            *("raised", "broken", "crust", "sore"),
            *("smell", "swelling", "one_sided", "yellow"),
        }

    def test_know_three_answers(self):
        assert list(ANSWERS) == [NO, UNSURE, YES]

    @pytest.mark.parametrize("key", ["broken", "crust", "sore", "swelling", "yellow"])
    def test_do_not_wait_with_a_sore_blood_swelling_or_yellow(self, key):
        # list of ten warning signs, Veterinary Cancer Society / AVMA
        assert QUESTIONS[key].level_of(YES) == Level.NOW

    def test_send_a_raised_spot_of_lid_or_gum_at_once(self):
        # Patnaik & Mooney (1988) Vet Pathol 25:105–112: eyelid and oral melanoma spread
        assert QUESTIONS["raised"].level_of(YES, Part.EYELID) == Level.NOW
        assert QUESTIONS["raised"].level_of(YES, Part.NOSE) == Level.SHOW
