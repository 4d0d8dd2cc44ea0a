"""One photo becomes a Reading: the stages in their order."""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np

from lesioncompare.calibrate import calibrate, overview
from lesioncompare.compare import look_for_changes, rulers_disagree
from lesioncompare.decode import decode
from lesioncompare.errors import (
    AlignError,
    LesionCompareError,
    OutlineError,
    PhotoError,
    SeedError,
    StickerError,
)
from lesioncompare.judge import judge, judge_copies
from lesioncompare.locate import locate
from lesioncompare.measure import measure
from lesioncompare.pipeline.steps import (
    Before,
    circle_of,
    draw_border,
    earlier,
    lay_over,
    look_near,
    middle,
    rough_map,
)
from lesioncompare.records import (
    Notice,
    Photo,
    Points,
    Reading,
    Seed,
    StickerHint,
)
from lesioncompare.registry import notice
from lesioncompare.settings import Settings
from lesioncompare.terms import Level

DEFAULTS = Settings()
_REFUSALS = {
    PhotoError: "photo_refused",
    StickerError: "sticker_refused",
    SeedError: "circle_misplaced",
    AlignError: "place_not_found",
    OutlineError: "no_outline",
}


def examine_photo(  # noqa: PLR0913  all but the photo itself have a sensible default
    data: bytes,
    *,
    name: str,
    now: datetime,
    seed: Seed | None = None,
    first: Reading | None = None,
    others: Sequence[Reading] = (),
    drawn_px: Points | None = None,
    hint: StickerHint | None = None,
    settings: Settings = DEFAULTS,
    taken: datetime | None = None,
    looked: Reading | None = None,
) -> Reading:
    """One photo, read as far as it can be.

    Parameters
    ----------
    data
        The bytes of the photo file.
    name
        File name, for display.
    now
        The present: a capture time after it is not believed.
    seed
        Circle round the spot in upright pixels [px]; needed on a first photo.
    first
        The reading that all others are laid over; needed on a later photo without a circle.
    others
        Further readings of the series.
    drawn_px
        Outline drawn by a person, shape (n, 2) [px]; kept as drawn.
    hint
        Which reference sticker to look for; a printed one if None.
    settings
        Choices of the clinic.
    taken
        Date given by a person; goes before the one in the file.
    looked
        What ``look_at_photo`` gave for the same bytes, hint and settings, to save that work.

    Returns
    -------
    Reading
        Where a stage could not go on, the fields after it are None and a notice says why.

    Raises
    ------
    ValueError
        When neither a circle nor a first reading was given, or ``looked`` is of another photo.
    """
    if seed is None and first is None:
        raise ValueError("seed or first must be given")
    if looked is not None and looked.photo.sha256 != hashlib.sha256(data).hexdigest():
        raise ValueError("looked must be of the same bytes")
    before = Before(seed, first, tuple(others), drawn_px, hint or StickerHint(), settings, looked)
    reached = Reading(_unread(data, name))
    try:
        photo = looked.photo if looked is not None else decode(data, name=name, now=now)
        if taken is not None:
            photo = replace(photo, taken=taken, taken_basis="given")
        for stage in _stages(Reading(photo, notices=photo.notices), before):
            reached = stage
    except LesionCompareError as cause:
        reached = _noting(reached, (_refusal(cause),))
    return reached


def look_at_photo(
    data: bytes,
    *,
    name: str,
    now: datetime,
    hint: StickerHint | None = None,
    settings: Settings = DEFAULTS,
) -> Reading:
    """One photo before anybody has shown the spot: decoded, and its sticker located.

    Parameters
    ----------
    data, name, now, hint, settings
        As for ``examine_photo``.

    Returns
    -------
    Reading
        Photo and sticker; where one of them could not be had, a notice says why.
    """
    reached = Reading(_unread(data, name))
    try:
        photo = decode(data, name=name, now=now)
        reached = Reading(photo, notices=photo.notices)
        sticker = locate(photo, hint or StickerHint(), settings)
        reached = _noting(replace(reached, sticker=sticker), sticker.notices)
    except LesionCompareError as cause:
        reached = _noting(reached, (_refusal(cause),))
    return reached


def _unread(data: bytes, name: str) -> Photo:
    """What stands for a photo until it is decoded: its name and hash, and one black pixel."""
    black = np.zeros((1, 1, 3), np.uint8)
    return Photo(name, hashlib.sha256(data).hexdigest(), black, None, "none")


def _refusal(cause: LesionCompareError) -> Notice:
    """The notice that says why a stage could not go on."""
    key = _REFUSALS.get(type(cause), "refused")
    return Notice(key, Level.RETAKE, cause.what, cause.advice, cause.what)


def _noting(reading: Reading, notices: Sequence[Notice]) -> Reading:
    """The reading with further notices."""
    return replace(reading, notices=(*reading.notices, *notices))


def _stages(reading: Reading, before: Before) -> Iterator[Reading]:
    """The reading after each stage, in the order of the stages."""
    photo, settings = reading.photo, before.settings
    known = tuple(r for r in (before.first, *before.others) if r is not None)
    yield (reading := _noting(reading, judge_copies(photo, [r.photo for r in known])))

    known_sticker = None if before.looked is None else before.looked.sticker
    sticker = known_sticker or locate(photo, before.hint, settings)
    yield (reading := _noting(replace(reading, sticker=sticker), sticker.notices))

    wide = overview(photo, sticker, calibrate(photo, sticker, middle(sticker.corners_px), settings))
    yield (reading := replace(reading, overview=wide))

    alignment = refusal = None
    for beside in earlier(before):
        try:
            rough = rough_map(wide, beside)
            circle = circle_of(reading, before, rough, beside)
            calibration, scene = look_near(photo, sticker, circle, settings)
            reading = replace(reading, calibration=calibration, circle=circle, scene=scene)
            alignment, refusal = lay_over(reading, before, rough, beside), None
            break
        except AlignError as cause:
            refusal = refusal or cause
    if reading.scene is not None:
        notices = judge(photo, sticker, calibration, scene, circle, settings)
        yield (reading := _noting(reading, notices))
    if refusal is not None:
        raise refusal
    if alignment is not None:
        yield (reading := _noting(replace(reading, alignment=alignment), alignment.notices))
    else:
        yield (reading := _noting(reading, (notice("not_laid_over"),)))

    border = draw_border(reading, before)
    yield (reading := _noting(replace(reading, outline=border), border.notices))

    measurement = measure(scene, border, calibration)
    yield (reading := _noting(replace(reading, measurement=measurement), measurement.notices))

    if before.first is not None:
        reading = replace(reading, sightings=look_for_changes(before.first, reading))
        yield _noting(reading, rulers_disagree(before.first, reading))
