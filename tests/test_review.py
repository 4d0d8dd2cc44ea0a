"""What is said of a series: two steps of speaking, and what does not wait for the second."""

from datetime import datetime, timedelta
from math import log

import numpy as np
import pytest

from lesioncompare.compare.margin import LEAST_MM2
from lesioncompare.quantity import Quantity
from lesioncompare.records import (
    Change,
    Course,
    Measurement,
    Photo,
    Reading,
    Series,
    Sighting,
    Visit,
)
from lesioncompare.registry.findings import FINDINGS
from lesioncompare.registry.surface_parts import PARTS
from lesioncompare.registry.tolerances import TOLERANCES
from lesioncompare.report.compared import verdict_of
from lesioncompare.review import as_of, review
from lesioncompare.review.latest import STANDS
from lesioncompare.review.places import LEAST_MARGIN_U
from lesioncompare.terms import MEASURES, Level, Verdict, parse_site

START = datetime(2026, 3, 1)  # noqa: DTZ001  a photo's own clock has no zone
PHOTO = Photo("x.jpg", "0", np.zeros((1, 1, 3), np.uint8), None, "none")
U = 0.06
WORST = {part.measure: part.scale * 1.2 for part in PARTS}  # every part of a sore at once


def reading(*, sightings=(), **values):
    quantities = {name: Quantity(value, MEASURES[name].unit) for name, value in values.items()}
    measurement = Measurement(quantities, (38, 12, 14), (66, 20, 15), 1.0)
    return Reading(PHOTO, measurement=measurement, sightings=tuple(sightings))


def visits(count=3, *, last=None, before=None, answers=None):
    """Weekly visits of one plain photo; the last two may be given."""
    groups = [[reading()] for _ in range(count)]
    if before is not None:
        groups[-2] = before
    if last is not None:
        groups[-1] = last
    return [
        Visit(START + timedelta(days=7 * i), tuple(group), answers or {} if i == count - 1 else {})
        for i, group in enumerate(groups)
    ]


def course(measure, *differences, verdict=Verdict.SAME, u=U, rate=0.0, first=1):
    """Changes at successive visits; the verdict is the last one's."""
    return tuple(
        Change(
            measure,
            first + i,
            difference,
            u,
            difference - 1.96 * u,
            difference + 1.96 * u,
            1.96 * u,
            verdict if i == len(differences) - 1 else Verdict.SAME,
            Course(difference, 0.0, u, difference, 0.2, rate, rate - 1e-3, rate + 1e-3),
        )
        for i, difference in enumerate(differences)
    )


def still(**others):
    """Changes of three visits at which nothing happened, but for the measures given."""
    quiet = {
        "area": course("area", 0.01, 0.02),
        "colour_de00": course("colour_de00", 0.0, 0.0, u=0.8),
    }
    return quiet | others


def found(series, changes, site=None):
    return {finding.key: finding for finding in review(site, series, changes)}


def mark(x=3.0, y=1.0, area=2.0, kind="new_spot", u=0.2):
    return Sighting(kind, x, y, area, u, np.zeros((3, 2)), {"darkness": 0.3})


class TestWithoutChange:
    def test_says_so_with_what_could_not_have_been_seen(self):
        finding = found(visits(), still())["no_change"]

        assert finding.level == Level.NOTE
        assert "1 March 2026" in finding.says
        assert f"{100 * (np.exp(1.96 * U) - 1):.0f} %" in finding.says
        assert "no word on health" in finding.says

    def test_names_only_what_was_judged(self):
        edge = course("border_irregularity", 0.0, 0.0, u=0.01)

        told = found(visits(), still(border_irregularity=edge))["no_change"]
        assert "No change of size, border or colour was" in told.says
        assert "size or colour was" in found(visits(), still())["no_change"].says
        colourless = found(visits(), still(colour_de00=()))
        assert "No change of size was" in colourless["no_change"].says
        assert "colour" in colourless["could_not_judge"].says

    @pytest.mark.parametrize("verdict", [Verdict.CHANGED, Verdict.UNCONFIRMED])
    @pytest.mark.parametrize("measure", TOLERANCES)
    @pytest.mark.parametrize("way", [-1, 1])
    def test_is_silent_but_not_mute_where_any_measure_moved(self, measure, verdict, way):
        amount = 1.5 * TOLERANCES[measure].floor * (1 if measure == "colour_de00" else way)
        change = course(measure, 0.0, amount, verdict=verdict, u=abs(amount) / 4)
        told = found(visits(), still(**{measure: change}))

        assert told
        assert "no_change" not in told
        assert verdict_of(list(told.values())) == verdict

    def test_a_move_too_small_for_a_word_does_not_silence_it(self):
        small = course("asymmetry", 0.0, 0.03, verdict=Verdict.UNCONFIRMED, u=0.01)

        assert set(found(visits(), still(asymmetry=small))) == {"no_change"}

    def test_says_only_that(self):
        assert set(found(visits(), still())) == {"no_change"}

    def test_a_first_visit_has_nothing_to_compare_with(self):
        assert set(found(visits(1), {})) == {"first_visit"}

    def test_no_visit_no_finding(self):
        assert review(None, [], {}) == ()


class TestSize:
    def test_confirmed_growth_is_told_with_its_interval(self):
        changes = still(area=course("area", 0.1, log(1.35), verdict=Verdict.CHANGED))
        finding = found(visits(), changes)["growth"]

        assert finding.level == Level.WATCH
        assert "35 % larger" in finding.says
        assert finding.visit == 2
        assert finding.evidence["low_percent"] < 35 < finding.evidence["high_percent"]

    def test_growth_is_not_told_beside_no_change(self):
        changes = still(area=course("area", 0.1, log(1.35), verdict=Verdict.CHANGED))

        assert "no_change" not in found(visits(), changes)

    @pytest.mark.parametrize(("ratio", "rate"), [(1.6, 0.0), (1.3, log(2) / 60)])
    def test_half_as_large_again_or_doubling_within_months_is_shown_to_the_vet(self, ratio, rate):
        changes = still(area=course("area", 0.1, log(ratio), verdict=Verdict.CHANGED, rate=rate))
        finding = found(visits(), changes)["fast_growth"]

        assert finding.level == Level.SHOW
        assert "growth" not in found(visits(), changes)

    def test_a_spot_that_surely_grows_has_a_doubling_time(self):
        changes = still(area=course("area", 0.1, 0.3, verdict=Verdict.CHANGED, rate=0.004))
        evidence = found(visits(), changes)["growth"].evidence

        assert evidence["doubling_days"] == pytest.approx(log(2) / 0.004)

    def test_shrinking_is_told_in_percent_less(self):
        changes = still(area=course("area", -0.1, log(0.8), verdict=Verdict.CHANGED))
        finding = found(visits(), changes)["shrinking"]

        assert "20 % less" in finding.says
        assert 0 < finding.evidence["low_percent"] < 20 < finding.evidence["high_percent"]

    def test_long_series_add_a_line_and_a_test_that_trust_no_stated_error(self):
        area = course("area", *np.linspace(0.05, 0.4, 8), verdict=Verdict.CHANGED)
        evidence = found(visits(9), still(area=area, colour_de00=()))["growth"].evidence

        assert evidence["median_month_percent"] == pytest.approx(100 * 30 * 0.05 / 7)
        assert evidence["trend_p"] < 0.001

    def test_what_was_called_once_and_came_back_is_not_told(self):
        area = course("area", 0.4, 0.01)

        assert set(found(visits(), still(area=area))) == {"no_change"}


class TestLooks:
    def test_a_more_uneven_edge_is_told_whatever_the_size(self):
        changes = still(
            border_irregularity=course(
                "border_irregularity", 0.0, 0.1, verdict=Verdict.CHANGED, u=0.01
            )
        )

        assert "border irregularity" in found(visits(), changes)["border"].vet

    def test_an_indented_edge_is_told(self):
        solidity = course("solidity", 0.0, -0.1, verdict=Verdict.CHANGED, u=0.01)

        assert "border" in found(visits(), still(solidity=solidity))

    @pytest.mark.parametrize(("measure", "way"), [("border_irregularity", -1), ("solidity", 1)])
    def test_a_smoother_edge_is_noted_as_such(self, measure, way):
        change = course(measure, 0, 0.1 * way, verdict=Verdict.CHANGED, u=0.01)
        told = found(visits(), still(**{measure: change}))

        assert set(told) == {"smoother"}
        assert told["smoother"].level == Level.NOTE
        assert "smoother than at the start" in told["smoother"].says

    def test_a_paler_spot_is_noted_and_its_change_of_colour_still_told(self):
        changes = still(
            redness=course("redness", 0.0, -0.2, verdict=Verdict.CHANGED, u=0.02),
            colour_de00=course("colour_de00", 1.0, 6.0, verdict=Verdict.CHANGED, u=0.8),
        )

        assert set(found(visits(), changes)) == {"colour", "less_red"}

    def test_diameters_are_told_with_the_area_and_not_again(self):
        changes = still(
            area=course("area", 0.1, log(1.35), verdict=Verdict.CHANGED),
            longest_diameter=course("longest_diameter", 0.0, 0.15, verdict=Verdict.CHANGED),
        )

        assert set(found(visits(), changes)) == {"growth"}
        assert "length" in found(visits(), changes | still())["other_change"].says

    @pytest.mark.parametrize(
        ("measure", "difference", "key"),
        [("darkness", 0.2, "darker"), ("darkness", -0.2, "lighter"), ("redness", 0.2, "redder")],
    )
    def test_colour_is_told_by_its_way(self, measure, difference, key):
        changes = still(
            **{measure: course(measure, 0.0, difference, verdict=Verdict.CHANGED, u=0.02)},
            colour_de00=course("colour_de00", 1.0, 6.0, verdict=Verdict.CHANGED, u=0.8),
        )
        told = found(visits(), changes)

        assert told[key].evidence["de00"] == 6.0
        assert "colour" not in told

    def test_a_colour_that_moved_another_way_is_told_as_such(self):
        distance = course("colour_de00", 1.0, 6.0, verdict=Verdict.CHANGED, u=0.8)

        assert "ΔE00 6.0" in found(visits(), still(colour_de00=distance))["colour"].vet


class TestTwoSteps:
    def test_an_odd_visit_asks_for_a_second_photo_now(self):
        area = course("area", 0.0, 0.4, verdict=Verdict.UNCONFIRMED)
        finding = found(visits(), still(area=area))["odd_visit"]

        assert "second photo now" in finding.do
        assert "49 % larger" in finding.says

    def test_a_visit_just_beyond_the_detectable_is_called_borderline(self):
        area = course("area", 0.0, 0.15, verdict=Verdict.UNCONFIRMED)
        told = found(visits(), still(area=area))

        assert told["borderline"].level == Level.NOTE
        assert "odd_visit" not in told

    def test_a_colour_seen_darker_once_is_odd(self):
        distance = course("colour_de00", 0.0, 5.0, verdict=Verdict.UNCONFIRMED, u=0.8)

        assert "odd_visit" in found(visits(), still(colour_de00=distance))

    def test_what_is_told_already_is_not_doubted_again(self):
        changes = still(
            darkness=course("darkness", 0.0, 0.3, verdict=Verdict.CHANGED, u=0.02),
            colour_de00=course("colour_de00", 0.0, 5.0, verdict=Verdict.UNCONFIRMED, u=0.8),
        )

        assert "odd_visit" not in found(visits(), changes)

    def test_an_odd_visit_of_long_ago_is_left_in_peace(self):
        area = course("area", 0.5, 0.0)

        assert set(found(visits(), still(area=area))) == {"no_change"}


class TestNotJudged:
    def test_names_what_the_last_visit_lacks(self):
        changes = {"colour_de00": course("colour_de00", 0.0, 0.0)}
        finding = found(visits(), changes)["could_not_judge"]

        assert finding.level == Level.DOUBT
        assert "the size" in finding.says
        assert "no_change" not in found(visits(), changes)

    def test_names_what_is_too_unsure(self):
        changes = still(area=course("area", 0.0, 0.1, verdict=Verdict.UNKNOWN, u=0.5))

        assert "doubling" in found(visits(), changes)["could_not_judge"].says


class TestHands:
    def test_an_alarming_answer_speaks_at_the_first_visit(self):
        series = visits(1, answers={"broken": "yes"})
        finding = found(series, {})["hands_on_now"]

        assert finding.level == Level.NOW
        assert finding.evidence["question"] == "broken"

    def test_a_raised_spot_is_more_pressing_on_the_gum(self):
        series = visits(1, answers={"raised": "yes"})

        assert "hands_on_show" in found(series, {}, parse_site("nose"))
        assert "hands_on_now" in found(series, {}, parse_site("gum-upper-left"))

    def test_no_and_not_sure_ask_for_nothing(self):
        series = visits(1, answers={"broken": "no", "raised": "unsure"})

        assert set(found(series, {})) == {"first_visit"}

    def test_an_answer_taken_back_no_longer_counts(self):
        series = visits(2, answers={"broken": "no"})
        series[0] = Visit(series[0].when, series[0].readings, {"broken": "yes"})

        assert "hands_on_now" not in found(series, {})

    def test_an_answer_stands_while_the_question_is_skipped(self):
        series = visits(2)
        series[0] = Visit(series[0].when, series[0].readings, {"broken": "yes"})

        assert found(series, {})["hands_on_now"].visit == 0

    def test_a_standing_answer_is_not_hidden_behind_no_change(self):
        series = visits(2)
        series[0] = Visit(series[0].when, series[0].readings, {"broken": "yes"})
        changes = {"area": course("area", 0.01), "colour_de00": course("colour_de00", 0.0)}

        assert set(found(series, changes)) == {"hands_on_now"}
        assert verdict_of(review(None, series, changes)) is None

    def test_an_answer_never_renewed_stands_for_two_months_of_weeks(self):
        for count, stands in ((STANDS, True), (STANDS + 1, False)):
            series = visits(count)
            series[0] = Visit(series[0].when, series[0].readings, {"broken": "yes"})
            assert ("hands_on_now" in found(series, {})) == stands

    def test_unknown_questions_and_answers_are_passed_over(self):
        assert set(found(visits(1, answers={"weather": "yes", "sore": ""}), {})) == {"first_visit"}


class TestSoreSurface:
    def test_speaks_at_once(self):
        series = visits(1, last=[reading(**WORST)])
        finding = found(series, {})["sore_surface"]

        assert finding.level == Level.NOW
        assert "raw red" in finding.says

    def test_one_part_alone_says_nothing(self):
        for part in PARTS:
            series = visits(1, last=[reading(**{part.measure: 1.2 * part.scale})])
            assert "sore_surface" not in found(series, {})

    def test_raw_and_crust_on_a_third_of_the_spot_are_enough(self):
        series = visits(1, last=[reading(raw_red_fraction=0.2, crust_fraction=0.1)])

        assert "sore_surface" in found(series, {})

    def test_a_wet_rough_patchy_spot_without_raw_or_crust_says_nothing(self):
        parts = {k: v for k, v in WORST.items() if "red" not in k and "crust" not in k}

        assert "sore_surface" not in found(visits(1, last=[reading(**parts)]), {})

    def test_a_soaked_and_furrowed_spot_says_nothing(self):
        soaked = reading(glint_fraction=0.5, roughness=0.2)

        assert "sore_surface" not in found(visits(1, last=[soaked]), {})

    def test_of_an_earlier_visit_is_told_with_its_date(self):
        finding = found(visits(before=[reading(**WORST)]), still())["sore_surface"]

        assert finding.visit == 1
        assert "8 March 2026" in finding.says

    def test_stands_beside_no_no_change_until_a_photo_shows_another_surface(self):
        whole = [reading(raw_red_fraction=0.0, crust_fraction=0.0)]

        assert set(found(visits(before=[reading(**WORST)]), still())) == {"sore_surface"}
        assert set(found(visits(before=[reading(**WORST)], last=whole), still())) == {"no_change"}


class TestPlaces:
    def test_a_mark_in_one_photo_asks_for_a_second(self):
        told = found(visits(last=[reading(sightings=[mark()])]), still())

        assert "second photo now" in told["new_spot_once"].do
        assert "new_spot" not in told

    def test_another_photo_of_the_visit_confirms_it(self):
        last = [reading(sightings=[mark()]), reading(sightings=[mark(3.3, 0.8)])]
        finding = found(visits(last=last), still())["new_spot"]

        assert "1.6 mm across" in finding.says

    def test_the_visit_before_confirms_it(self):
        seen = [reading(sightings=[mark()])]

        assert "new_spot" in found(visits(before=seen, last=seen), still())

    def test_another_place_does_not(self):
        before, last = [reading(sightings=[mark(-4, 5)])], [reading(sightings=[mark()])]

        assert "new_spot_once" in found(visits(before=before, last=last), still())

    def test_several_new_marks_are_counted(self):
        seen = [reading(sightings=[mark(), mark(-4, 5), mark(0, -6)])]

        assert found(visits(before=seen, last=seen), still())["spot_count"].evidence["count"] == 3

    def test_missing_margin_needs_two_looks_and_more_than_its_error(self):
        ear = parse_site("ear-left")
        loss = [reading(sightings=[mark(area=4.0, kind="margin_loss", u=0.5)])]
        faint = [reading(sightings=[mark(area=0.8, kind="margin_loss", u=0.5)])]

        told = found(visits(before=loss, last=loss), still(), ear)
        assert told["margin_loss"].level == Level.SHOW
        assert "margin_loss" not in found(visits(last=loss), still(), ear)
        assert "margin_loss" not in found(visits(before=faint, last=faint), still(), ear)

    def test_only_an_ear_can_miss_margin(self):
        loss = [reading(sightings=[mark(area=4.0, kind="margin_loss", u=0.5)])]

        assert "margin_loss" not in found(visits(before=loss, last=loss), still())

    def test_a_notch_of_less_than_a_square_millimetre_counts_if_surely_seen(self):
        nick = [reading(sightings=[mark(area=0.8, kind="margin_loss", u=0.3)])]
        told = found(visits(before=nick, last=nick), still(), parse_site("ear-left"))

        assert told["margin_loss"].evidence["area_mm2"] == 0.8
        assert f"beyond {LEAST_MARGIN_U:g} u" in FINDINGS["margin_loss"].rule
        assert f"{LEAST_MM2:g} mm²" in FINDINGS["margin_loss"].rule

    def test_a_mark_of_one_side_needs_two_looks_and_is_counted_once(self):
        once = [reading(sightings=[mark(kind="one_sided")])]
        twice = [*once, reading(sightings=[mark(3.3, 0.8, kind="one_sided")])]

        assert "one_sided" not in found(visits(last=once), still())
        assert found(visits(last=twice), still())["one_sided"].evidence["count"] == 1
        assert "one_sided" in found(visits(before=once, last=once), still())


class TestOrder:
    def test_the_most_pressing_comes_first(self):
        series = visits(last=[reading(**WORST, sightings=[mark()])], answers={"raised": "yes"})
        levels = [finding.level for finding in review(None, series, still())]

        order = [Level.NOW, Level.SHOW, Level.WATCH, Level.DOUBT, Level.NOTE]
        assert levels == sorted(levels, key=order.index)
        assert levels[0] == Level.NOW


class TestHeadline:
    """The word over a visit is that of what is said under it."""

    def test_an_unchanged_spot_is_the_same(self):
        assert verdict_of(review(None, visits(), still())) == Verdict.SAME

    @pytest.mark.parametrize("answers", [{"broken": "yes"}, {"raised": "yes"}])
    def test_what_sends_to_the_vet_is_never_headed_by_same_or_odd(self, answers):
        odd = still(area=course("area", 0.0, 0.4, verdict=Verdict.UNCONFIRMED))

        assert verdict_of(review(None, visits(answers=answers), still())) is None
        assert verdict_of(review(None, visits(answers=answers), odd)) is None
        assert verdict_of(review(None, visits(last=[reading(**WORST)]), still())) is None

    def test_marks_are_changed_once_confirmed_and_odd_before(self):
        seen = [reading(sightings=[mark()])]

        assert verdict_of(review(None, visits(last=seen), still())) == Verdict.UNCONFIRMED
        assert verdict_of(review(None, visits(before=seen, last=seen), still())) == Verdict.CHANGED

    def test_an_odd_measure_below_its_floor_is_not_odd_today(self):
        small = course("area", 0.0, 0.05, verdict=Verdict.UNCONFIRMED, u=0.02)

        assert verdict_of(review(None, visits(), still(area=small))) == Verdict.SAME

    def test_without_size_nothing_can_be_told(self):
        changes = {"colour_de00": course("colour_de00", 0.0, 0.0)}

        assert verdict_of(review(None, visits(), changes)) == Verdict.UNKNOWN

    def test_an_earlier_visit_is_headed_by_what_was_said_then(self):
        quiet = visits()
        changes = still(area=course("area", 0.01, log(1.6), verdict=Verdict.CHANGED))
        series = Series(None, (), tuple(quiet), changes, review(None, quiet, changes))

        assert verdict_of(as_of(series, 2).findings) == Verdict.CHANGED
        assert verdict_of(as_of(series, 1).findings) == Verdict.SAME
