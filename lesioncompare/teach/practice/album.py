"""The practice photos that come with the program, with their truth and what was measured."""

import json
from dataclasses import dataclass
from functools import cache
from math import exp, log
from pathlib import Path
from typing import Any

from lesioncompare.errors import SettingsError

FORMAT = 1
FILE = "album.json"
FOLDER = Path(__file__).parent / "photos"
# findings after which nothing needs to be seen in the photos
QUIET = frozenset({"first_visit", "no_change", "could_not_judge", "borderline", "other_odd"})
SAME, CHANGED = "same", "changed"  # what can be said of a pair
NEVER = "never"  # what can be said of a series instead of a week


@dataclass(frozen=True, slots=True)
class Measured:
    """What the program made of a later photo against the first.

    ``ratio`` is the area against the first photo's with its 95 % interval; None where it had none.
    """

    usable: bool
    changed: bool
    says: tuple[str, ...]
    ratio: tuple[float, float, float] | None


@dataclass(frozen=True, slots=True)
class Item:
    """A pair or a short series: one spot over some photos, and the truth about it."""

    key: str
    level: str
    kind: str
    site: str
    photos: tuple[Path, ...]
    amounts: tuple[float, ...]
    true_area_mm2: tuple[float, ...]
    true_longest_mm: tuple[float, ...]
    measured: tuple[Measured, ...]

    @property
    def is_pair(self) -> bool:
        """True for two photos, False for a series."""
        return len(self.photos) == 2

    @property
    def area_ratios(self) -> tuple[float, ...]:
        """True area of each later photo against the first [1]."""
        return tuple(area / self.true_area_mm2[0] for area in self.true_area_mm2[1:])

    @property
    def size(self) -> float:
        """True change of the last photo as log area ratio [1]; 0 where the size stayed."""
        return abs(log(self.area_ratios[-1]))

    @property
    def begins(self) -> int | None:
        """The first photo (0 is the first of all) that differs in truth; None where none does."""
        if self.kind == SAME:
            return None
        still = {"sore": 0.0, "size": 1.0}.get(self.kind)
        return next((n for n, a in enumerate(self.amounts, start=1) if a != still), None)

    @property
    def truth(self) -> str:
        """The right answer: "same" or "changed" for a pair, the photo or "never" for a series."""
        if self.is_pair:
            return SAME if self.begins is None else CHANGED
        return NEVER if self.begins is None else str(self.begins)

    @property
    def tool_says(self) -> str:
        """The program's own answer, of the same form as ``truth``; "" where it had none."""
        usable = [m for m in self.measured if m.usable]
        if not usable:
            return ""
        if self.is_pair:
            return CHANGED if self.measured[-1].changed else SAME
        first = next((n for n, m in enumerate(self.measured, start=1) if m.changed), None)
        return NEVER if first is None else str(first)


@cache
def album(folder: Path = FOLDER) -> tuple[Item, ...]:
    """Every pair and series that comes with the program, pairs first.

    Raises
    ------
    SettingsError
        When the photos are not there.
    """
    try:
        document = json.loads((folder / FILE).read_text(encoding="utf-8"))
    except OSError as cause:
        raise SettingsError(
            "The practice photos are not installed.",
            "Install the program again, or make them with python -m lesioncompare.teach.",
        ) from cause
    return tuple(_item(record, folder) for record in document["cases"])


def pairs() -> tuple[Item, ...]:
    """The pairs, from easy to mean."""
    return tuple(item for item in album() if item.is_pair)


def series() -> tuple[Item, ...]:
    """The short series, from easy to mean."""
    return tuple(item for item in album() if not item.is_pair)


def _item(record: dict[str, Any], folder: Path) -> Item:
    return Item(
        key=record["key"],
        level=record["level"],
        kind=record["kind"],
        site=record["site"],
        photos=tuple(folder / name for name in record["photos"]),
        amounts=tuple(record["amounts"]),
        true_area_mm2=tuple(record["true_area_mm2"]),
        true_longest_mm=tuple(record["true_longest_mm"]),
        measured=tuple(_measured(one) for one in record["measured"]),
    )


def _measured(record: dict[str, Any]) -> Measured:
    ratio = None
    if "log_area_ratio" in record:
        ratio = (exp(record["log_area_ratio"]), exp(record["low"]), exp(record["high"]))
    return Measured(record["usable"], record["changed"], tuple(record["says"]), ratio)
