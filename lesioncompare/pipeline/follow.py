"""Readings become a Series."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from lesioncompare.compare import compare
from lesioncompare.records import (
    Reading,
    Series,
    Visit,
)
from lesioncompare.registry import notice
from lesioncompare.review import review
from lesioncompare.terms import Site

WEEK = timedelta(days=7)


def follow_series(
    readings: Sequence[Reading],
    *,
    site: Site | None = None,
    answers: Mapping[date, Mapping[str, str]] | None = None,
) -> Series:
    """What changed over the dated readings of one spot, and what is to be said about it.

    Parameters
    ----------
    readings
        Readings of one site, each with a capture time; those of one day make one visit.
    site
        The site, for the words.
    answers
        The keeper's hands-on answers by day of visit.

    Returns
    -------
    Series
        Readings in order of time; photos that could not be used stay in ``readings`` only.

    Raises
    ------
    ValueError
        When a usable reading has no capture time.
    """
    ordered = tuple(sorted(readings, key=lambda r: _clock(r.photo.taken)))
    visits = _visits([r for r in ordered if r.usable], answers or {})
    changes = compare(visits)
    return Series(site, ordered, visits, changes, review(site, visits, changes))


def with_dates(readings: Sequence[Reading], start: datetime) -> tuple[Reading, ...]:
    """Readings in the order given, each with a date.

    One without a date is put a week after the one before it (the first at ``start``), and says so.
    """
    dated: list[Reading] = []
    before = start - WEEK
    for reading in readings:
        photo = reading.photo
        if photo.taken is None:
            photo = replace(photo, taken=before + WEEK, taken_basis="assumed weekly")
            notices = (*reading.notices, notice("date_assumed"))
            reading = replace(reading, photo=photo, notices=notices)  # noqa: PLW2901
        elif dated and _clock(photo.taken) < _clock(before):
            reading = replace(reading, notices=(*reading.notices, notice("out_of_order")))  # noqa: PLW2901
        before = photo.taken or before
        dated.append(reading)
    return tuple(dated)


def _clock(taken: datetime | None) -> float:
    """Seconds to sort by; a time without offset is taken as it stands."""
    if taken is None:
        return float("inf")
    return taken.replace(tzinfo=None).timestamp()


def _visits(
    usable: Sequence[Reading], answers: Mapping[date, Mapping[str, str]]
) -> tuple[Visit, ...]:
    """Usable readings grouped by day."""
    days: dict[date, list[Reading]] = {}
    for reading in usable:
        if reading.photo.taken is None:
            raise ValueError("readings must have a capture time; give one by hand")
        days.setdefault(reading.photo.taken.date(), []).append(reading)
    return tuple(
        # a photo may or may not state its zone: visits go by the clock on the wall
        Visit(taken.replace(tzinfo=None), tuple(group), answers.get(day, {}))
        for day, group in days.items()
        if (taken := group[0].photo.taken) is not None
    )
