"""The look from nose to tail: what is kept, what differs, and what must not wait."""

from datetime import date, timedelta

import pytest

from lesioncompare.claims import CLAIMS
from lesioncompare.registry.home_check import SIGNS, STATIONS
from lesioncompare.teach.habit import kept, weeks
from lesioncompare.teach.home_check import (
    CLAIMS_BY_URGENCY,
    OTHER,
    SKIPPED,
    USUAL,
    Found,
    Look,
    differences,
    from_entries,
)
from lesioncompare.terms import Level

LOOK = Look(
    {
        "nose": Found(USUAL),
        "ears": Found(OTHER, ("ear_smell", "ear_lump"), "left one; since Monday"),
        "mouth": Found(SKIPPED),
        "tray": Found(OTHER, ("no_urine",)),
    }
)


class TestStations:
    def test_the_look_goes_from_nose_to_tail_and_signs_have_one_name_each(self) -> None:
        keys = [sign.key for station in STATIONS.values() for sign in station.signs]
        assert len(keys) == len(set(keys)) == len(SIGNS)
        order = list(STATIONS)
        assert order[0] == "nose"
        assert order.index("ears") < order.index("belly") < order.index("tail")

    @pytest.mark.parametrize(
        "key",
        ["open_mouth", "no_urine", "hind_cold", "gum_pale", "gum_yellow", "pupils", "no_food"],
    )
    def test_what_must_not_wait_does_not(self, key) -> None:
        assert SIGNS[key].level is Level.NOW

    def test_every_sign_asks_for_something_and_has_a_source(self) -> None:
        for sign in SIGNS.values():
            assert sign.level in {Level.NOW, Level.SHOW, Level.WATCH}
            assert sign.source

    def test_mouth_breath_and_tray_carry_their_cautions_in_place(self) -> None:
        assert STATIONS["mouth"].caution == "no_force"
        assert STATIONS["breath"].caution == "emergency_breath"
        assert STATIONS["tray"].caution == "emergency_urine"
        assert all(station.caution in {"", *CLAIMS} for station in STATIONS.values())


class TestLook:
    def test_it_comes_back_as_it_was(self) -> None:
        assert from_entries(LOOK.to_entries()) == LOOK

    def test_entries_of_another_version_do_no_harm(self) -> None:
        entries = {**LOOK.to_entries(), "wings": "other", "ears.signs": "ear_smell,unheard_of"}
        assert from_entries(entries).found["ears"].signs == ("ear_smell",)

    def test_the_most_pressing_sign_comes_first(self) -> None:
        assert list(LOOK.asks) == ["ring_now", "show_soon"]
        assert [told.station.key for told in LOOK.asks["ring_now"]] == ["tray"]

    @pytest.mark.parametrize(
        ("station", "claim"),
        [("breath", "ring_today"), ("tray", "ring_today"), ("back", "look_again")],
    )
    def test_what_has_no_name_does_not_wait_where_waiting_is_dangerous(
        self, station, claim
    ) -> None:
        assert list(Look({station: Found(OTHER)}).asks) == [claim]
        assert list(Look({station: Found(OTHER, words="odd")}).asks) == [claim]

    def test_a_named_sign_says_otherwise(self) -> None:
        assert list(Look({"breath": Found(OTHER, ("noise",))}).asks) == ["show_soon"]

    def test_every_place_asks_for_something_when_it_differs(self) -> None:
        assert all(STATIONS[key].unnamed in CLAIMS_BY_URGENCY for key in STATIONS)
        assert set(CLAIMS_BY_URGENCY) <= set(CLAIMS)


class TestDifferences:
    def test_signs_are_new_still_there_or_gone(self) -> None:
        later = Look(
            {
                "ears": Found(OTHER, ("ear_lump", "ear_edge")),
                "nose": Found(USUAL),
                "tray": Found(USUAL),
            }
        )
        by_station = {d.station: d for d in differences(later, [LOOK])}
        ears = by_station["ears"]
        assert [s.key for s in ears.new] == ["ear_edge"]
        assert [s.key for s in ears.still] == ["ear_lump"]
        assert [s.key for s in ears.gone] == ["ear_smell"]
        assert [s.key for s in by_station["tray"].gone] == ["no_urine"]
        assert "nose" not in by_station

    def test_a_place_not_looked_at_is_held_against_the_time_before(self) -> None:
        skipped = Look({"ears": Found(SKIPPED)})
        assert differences(skipped, [LOOK]) == []  # and itself says nothing
        later = Look({"ears": Found(USUAL)})
        assert [s.key for s in differences(later, [LOOK, skipped])[0].gone] == [
            "ear_lump",
            "ear_smell",
        ]

    def test_the_first_look_finds_everything_new(self) -> None:
        assert {d.station for d in differences(LOOK, [])} == {"ears", "tray"}


class TestWeeks:
    TODAY = date(2026, 11, 25)  # a Wednesday

    def test_weeks_run_from_the_first_visit_to_now(self) -> None:
        visits = [date(2026, 11, 1), date(2026, 11, 3), date(2026, 11, 24)]
        shown = weeks(visits, self.TODAY)
        assert [w.visits for w in shown] == [1, 1, 0, 0, 1]
        assert all(w.monday.weekday() == 0 for w in shown)
        assert kept(shown, self.TODAY) == (3, 5)

    def test_a_week_that_is_not_over_is_not_held_against_anybody(self) -> None:
        shown = weeks([self.TODAY - timedelta(days=7)], self.TODAY)
        assert kept(shown, self.TODAY) == (1, 1)

    def test_before_the_first_visit_there_is_nothing(self) -> None:
        assert weeks([], self.TODAY) == ()
        assert kept((), self.TODAY) == (0, 0)
