"""When the next photo of a site is due."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from lesioncompare.series.follow import Followed
from lesioncompare.store import CatSite, KeptVisit


def measured(visits: Sequence[KeptVisit], spots: Sequence[Followed]) -> list[KeptVisit]:
    """The visits with a photo that counts for a spot: one without asks for another right away."""
    counting = {taken.visit.id for one in spots for taken in one.taken if taken.counts}
    return [visit for visit in visits if visit.id in counting]


def last_day(visits: Sequence[KeptVisit]) -> date | None:
    """The day of the latest of these visits; None without any."""
    days = [_day(visit.taken or visit.began_at) for visit in visits]
    return max(days, default=None)


def due_day(site: CatSite, visits: Sequence[KeptVisit]) -> date | None:
    """The day the next photo is due after these visits; None without any."""
    last = last_day(visits)
    return None if last is None else last + timedelta(days=site.every_days)


def _day(moment: datetime) -> date:
    """The day on this computer's calendar, or as it stands where the zone is not known."""
    return (moment.astimezone() if moment.tzinfo else moment).date()
