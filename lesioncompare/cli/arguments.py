"""Words of the command line turned into records; each mistake gets one sentence."""

from datetime import datetime

from lesioncompare.errors import SettingsError
from lesioncompare.records import Seed, StickerHint
from lesioncompare.settings import Settings


def parse_spot(text: str) -> Seed:
    """The circle X,Y,R in upright pixels.

    Raises
    ------
    SettingsError
        When it is not three numbers with a positive radius.
    """
    try:
        x, y, radius = (float(word) for word in text.split(","))
        return Seed(x, y, radius)
    except ValueError as cause:
        raise SettingsError(
            f"“{text}” is not a circle.",
            "Give X,Y,R in pixels of the upright photo, such as --spot 1510,1120,90.",
        ) from cause


def parse_sticker(text: str) -> StickerHint:
    """``printed``, or ``round:DIAMETER_MM`` with an optional ``@X,Y``.

    Raises
    ------
    SettingsError
        When it is neither.
    """
    if text == "printed":
        return StickerHint()
    try:
        kind, size = text.split(":", 1)
        diameter, _, place = size.partition("@")
        x, y = (float(word) for word in place.split(",")) if place else (None, None)
        if kind == "round" and float(diameter) > 0:
            near = None if x is None or y is None else (x, y)
            return StickerHint(float(diameter), near)
    except ValueError:
        pass
    raise SettingsError(
        f"“{text}” is not a kind of sticker.",
        "Use printed, or round:DIAMETER_MM, such as round:12.7 or round:12.7@900,640.",
    )


def parse_dates(text: str | None, count: int) -> list[datetime | None]:
    """One date for each photo, separated by commas, or none at all.

    Raises
    ------
    SettingsError
        When a date cannot be read or their number differs from ``count``.
    """
    if not text:
        return [None] * count
    try:
        dates: list[datetime | None] = [datetime.fromisoformat(w.strip()) for w in text.split(",")]
    except ValueError as cause:
        raise SettingsError(
            f"“{text}” holds something that is not a date.", "Write dates as 2026-05-31."
        ) from cause
    if len(dates) != count:
        raise SettingsError(
            f"{len(dates)} dates were given for {count} photos.", "Give one date for each photo."
        )
    return dates


def make_settings(printed_bar_mm: float) -> Settings:
    """Settings with what the sheet's 100 mm bar measures on paper.

    Raises
    ------
    SettingsError
        When the bar is too far off to be believed.
    """
    if not 80 <= printed_bar_mm <= 120:
        raise SettingsError(
            f"A check bar of {printed_bar_mm:g} mm is too far from 100 mm.",
            "Measure the bar on the printed sheet again, in millimetres.",
        )
    return Settings(printed_bar_mm=printed_bar_mm)
