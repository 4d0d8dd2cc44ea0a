"""When the next photo of a site is due."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from lesioncompare.store import CatSite, KeptVisit


def last_day(visits: Sequence[KeptVisit]) -> date | None:
    """The day of the latest finished visit; None before the first."""
    days = [_day(visit.taken or visit.began_at) for visit in visits]
    return max(days, default=None)


def due_day(site: CatSite, visits: Sequence[KeptVisit]) -> date | None:
    """The day the next photo is due; None before the first."""
    last = last_day(visits)
    return None if last is None else last + timedelta(days=site.every_days)


def _day(moment: datetime) -> date:
    """The day on this computer's calendar, or as it stands where the zone is not known."""
    return (moment.astimezone() if moment.tzinfo else moment).date()
