"""What the store gives back: frozen records whose fields are the columns of their table."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from lesioncompare.records import Seed
from lesioncompare.terms import Site, parse_site


@dataclass(frozen=True, slots=True)
class Cat:
    """A cat and what of its coat and life bears on its skin."""

    id: str
    name: str
    coat_colour: str
    coat_pattern: str
    white_areas: tuple[str, ...]
    pigment: str
    birth_year: int | None
    neutered: bool | None
    outdoor_hours: float | None  # [h a day]
    simulated: bool
    added_at: datetime
    removed_at: datetime | None

    def __post_init__(self) -> None:
        object.__setattr__(self, "white_areas", tuple(self.white_areas))


@dataclass(frozen=True, slots=True)
class CatSite:
    """One photographed place of one cat."""

    id: str
    cat_id: str
    place: str
    every_days: int
    added_at: datetime
    removed_at: datetime | None

    @property
    def site(self) -> Site:
        """The place in the words of the trade."""
        return parse_site(self.place)


@dataclass(frozen=True, slots=True)
class CatSpot:
    """One tracked mark on a site."""

    id: str
    site_id: str
    name: str
    added_at: datetime
    removed_at: datetime | None


@dataclass(frozen=True, slots=True)
class KeptVisit:
    """One dated set of photos, finished or still in progress at ``step``.

    ``taken`` is when its photos were taken, once finished. ``draft`` is what a screen wants to
    find again, such as strokes not yet confirmed.
    """

    id: str
    site_id: str
    step: str
    taken: datetime | None
    sticker_diameter_mm: float | None  # [mm] a round dot; None for a printed sticker
    draft: Mapping[str, Any]
    began_at: datetime
    finished_at: datetime | None
    removed_at: datetime | None


@dataclass(frozen=True, slots=True)
class KeptPhoto:
    """One original photo. ``state`` is "used", "excluded" or "removed", with the latest reason."""

    id: str
    visit_id: str
    sha256: str
    name: str
    bytes: int
    taken: datetime | None
    taken_basis: str
    added_at: datetime
    state: str = "used"
    reason: str = ""


@dataclass(frozen=True, slots=True)
class PhotoState:
    """One change of a photo's state."""

    id: str
    photo_id: str
    state: str
    reason: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class KeptSeed:
    """A circle drawn by a person, in upright photo pixels [px]."""

    id: str
    photo_id: str
    spot_id: str
    x: float
    y: float
    radius: float
    who: str
    at: datetime

    @property
    def seed(self) -> Seed:
        """The circle as the pipeline takes it."""
        return Seed(self.x, self.y, self.radius)


@dataclass(frozen=True, slots=True)
class Correction:
    """What a person said of an outline: "corrected", "accepted", "rejected" or "automatic".

    "automatic" takes an earlier word back: the program's own outline counts again.
    ``contour_px`` is the border in upright photo pixels, as pairs [px]; ``strokes`` the brush
    strokes that made it.
    """

    id: str
    photo_id: str
    spot_id: str
    kind: str
    contour_px: list[list[float]] | None
    strokes: list[dict[str, Any]] | None
    reason: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Run:
    """One measurement of one spot on one photo, with everything needed to make it again.

    ``first_photo_id`` is the photo it was laid over, itself for the first one; ``reading`` is the
    JSON made by ``readings.reading_to_json``.
    """

    id: str
    photo_id: str
    spot_id: str
    seed_id: str | None
    correction_id: str | None
    first_photo_id: str | None
    version: str
    settings_digest: str
    settings: Mapping[str, float]
    reading: Mapping[str, Any]
    at: datetime


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer of the keeper to one hands-on question."""

    id: str
    visit_id: str
    question: str
    value: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Note:
    """Words on a site, or on one of its visits."""

    id: str
    site_id: str
    visit_id: str | None
    text: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Concern:
    """What the keeper wants to know of a site; the latest words count."""

    id: str
    site_id: str
    text: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Decision:
    """What a vet decided, or the result of an earlier decision (``decision_id``).

    ``kind``: watch, treat, cytology, biopsy, referral or result. ``x``, ``y`` mark a place on
    photo ``photo_id`` [px].
    """

    id: str
    site_id: str
    spot_id: str | None
    photo_id: str | None
    decision_id: str | None
    kind: str
    text: str
    due: str | None  # ISO date
    x: float | None
    y: float | None
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class PrintCheck:
    """What the 100 mm check bar of the printed sheet measures on paper [mm]."""

    id: str
    printed_bar_mm: float
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class HomeCheck:
    """A dated look from nose to tail: what was found, by item of the list."""

    id: str
    cat_id: str
    day: str  # ISO date
    entries: Mapping[str, str]
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Normal:
    """What is normal for this cat, for one item of the home check."""

    id: str
    cat_id: str
    item: str
    text: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Reminder:
    """The weekly appointment of a site. ``weekday``: Monday is 0; ``clock``: "18:30"."""

    id: str
    site_id: str
    weekday: int
    clock: str
    active: bool
    who: str
    at: datetime
