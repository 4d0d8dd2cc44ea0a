"""The sheet's check bar, the home check and the weekly appointment."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from lesioncompare.errors import StoreError
from lesioncompare.settings import Settings
from lesioncompare.store import tables
from lesioncompare.store.base import KEEPER, Desk, one_line, plain_text
from lesioncompare.store.kept import HomeCheck, Normal, PrintCheck, Reminder

BAR_RANGE_MM = (70.0, 130.0)  # [mm] beyond this something else was measured; common practice


@dataclass(frozen=True, slots=True)
class PrintChecks:
    """How true the printed sheet came out."""

    _desk: Desk

    def add(self, printed_bar_mm: float, *, who: str = KEEPER) -> PrintCheck:
        """What the 100 mm bar measures on paper [mm].

        Raises
        ------
        StoreError
            When no printer prints that wrong.
        """
        low, high = BAR_RANGE_MM
        if not low <= printed_bar_mm <= high:
            raise StoreError(
                f"A check bar of {printed_bar_mm:g} mm is not plausible.",
                "Measure the long bar from end to end in millimetres; it should be near 100.",
            )
        return self._desk.add(
            tables.print_check,
            PrintCheck,
            printed_bar_mm=float(printed_bar_mm),
            who=one_line(who),
            at=self._desk.now(),
        )

    def all(self) -> list[PrintCheck]:
        """Every answer, oldest first."""
        return self._desk.find(tables.print_check, PrintCheck)

    def settings_at(self, moment: datetime) -> Settings:
        """The settings that hold for photos of a visit begun at ``moment`` (aware)."""
        checks = self.all()
        before = [check for check in checks if check.at <= moment]
        counts = before[-1] if before else (checks[0] if checks else None)
        return Settings() if counts is None else Settings(printed_bar_mm=counts.printed_bar_mm)


@dataclass(frozen=True, slots=True)
class HomeChecks:
    """The look from nose to tail, and what is normal for each cat."""

    _desk: Desk

    def add(
        self, cat_id: str, day: date, entries: Mapping[str, str], *, who: str = KEEPER
    ) -> HomeCheck:
        """A dated list; a later one of the same day counts instead, both are kept."""
        return self._desk.add(
            tables.home_check,
            HomeCheck,
            cat_id=cat_id,
            day=day.isoformat(),
            entries={one_line(k): plain_text(v) for k, v in entries.items()},
            who=one_line(who),
            at=self._desk.now(),
        )

    def of_cat(self, cat_id: str) -> list[HomeCheck]:
        """The list that counts for each day, in order of days."""
        where = tables.home_check.c.cat_id == cat_id
        by_day = {
            check.day: check for check in self._desk.find(tables.home_check, HomeCheck, where)
        }
        return [by_day[day] for day in sorted(by_day)]

    def set_normal(self, cat_id: str, item: str, text: str, *, who: str = KEEPER) -> Normal:
        """What is normal for this cat; empty words take it back."""
        return self._desk.add(
            tables.normal,
            Normal,
            cat_id=cat_id,
            item=one_line(item),
            text=plain_text(text),
            who=one_line(who),
            at=self._desk.now(),
        )

    def normals(self, cat_id: str) -> dict[str, str]:
        """What is normal for this cat, by item."""
        found = self._desk.find(tables.normal, Normal, tables.normal.c.cat_id == cat_id)
        latest = {normal.item: normal.text for normal in found}
        return {item: text for item, text in latest.items() if text}


@dataclass(frozen=True, slots=True)
class Reminders:
    """When each site is photographed."""

    _desk: Desk

    def set(
        self, site_id: str, *, weekday: int, clock: str, active: bool = True, who: str = KEEPER
    ) -> Reminder:
        """The weekly appointment; ``weekday`` 0 is Monday, ``clock`` is like "18:30"."""
        return self._desk.add(
            tables.reminder,
            Reminder,
            site_id=site_id,
            weekday=weekday,
            clock=clock,
            active=active,
            who=one_line(who),
            at=self._desk.now(),
        )

    def of_site(self, site_id: str) -> Reminder | None:
        """The appointment that counts, if it is active."""
        where = tables.reminder.c.site_id == site_id
        latest = self._desk.latest(tables.reminder, Reminder, where)
        return latest if latest is not None and latest.active else None
