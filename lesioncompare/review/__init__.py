"""Which registered statements apply to a series, each with its evidence and what else it could be.

Two steps of speaking: one odd visit only asks for a second photo; a change is stated once photos
of one visit, two visits running or the chart confirm it. A surface that looks broken and a keeper's
own alarming answer do not wait, and stand until a later visit tells otherwise.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from lesioncompare.records import Change, Finding, Series, Visit
from lesioncompare.review.doubts import doubts, first_visit, nothing_changed
from lesioncompare.review.hands import hands_on
from lesioncompare.review.looks import border, colour
from lesioncompare.review.places import places
from lesioncompare.review.sizes import size
from lesioncompare.review.surface import sore_surface
from lesioncompare.terms import Level, Site

URGENCY = (Level.NOW, Level.SHOW, Level.WATCH, Level.DOUBT, Level.NOTE)


def review(
    site: Site | None, visits: Sequence[Visit], changes: Mapping[str, Sequence[Change]]
) -> tuple[Finding, ...]:
    """What is to be said of a series after its last visit, the most pressing first.

    Parameters
    ----------
    site
        The photographed place, if it is known.
    visits
        Visits in order of time.
    changes
        What ``compare`` found of them, by measure.

    Returns
    -------
    tuple[Finding, ...]
        Each registered statement at most once (a hands-on question: once each). Empty only
        without visits.
    """
    if not visits:
        return ()
    found = [
        *hands_on(site, visits),
        *sore_surface(visits),
        *size(visits, changes),
        *border(visits, changes),
        *colour(visits, changes),
        *places(site, visits),
    ]
    found += doubts(visits, changes, said={finding.key for finding in found})
    found += first_visit(visits)
    if not any(finding.level in URGENCY[:3] for finding in found):
        found += nothing_changed(visits, changes)
    return tuple(sorted(found, key=lambda finding: URGENCY.index(finding.level)))


def as_of(series: Series, visit: int) -> Series:
    """The series as it was after one of its visits, with what was to be said then."""
    if visit == len(series.visits) - 1:
        return series
    visits = series.visits[: visit + 1]
    changes = {
        measure: tuple(change for change in course if change.visit <= visit)
        for measure, course in series.changes.items()
    }
    findings = review(series.site, visits, changes)
    return replace(series, visits=visits, changes=changes, findings=findings)
