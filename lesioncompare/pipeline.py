"""The order of the stages, and nothing else: one photo becomes a Reading, readings a Series."""

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

import cv2
import numpy as np

from lesioncompare.align import align, carry_on, find_again
from lesioncompare.calibrate import calibrate, close_up, overview
from lesioncompare.compare import compare, look_for_changes, rulers_disagree
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
from lesioncompare.outline import outline
from lesioncompare.records import (
    Alignment,
    Calibration,
    Circle,
    Matrix,
    Notice,
    Outline,
    Photo,
    Points,
    Reading,
    Scene,
    Seed,
    Series,
    Sticker,
    StickerHint,
    Visit,
)
from lesioncompare.registry import notice
from lesioncompare.review import review
from lesioncompare.science.plane import apply_homography, local_scale
from lesioncompare.settings import Settings
from lesioncompare.terms import Level, Site

DEFAULTS = Settings()
WEEK = timedelta(days=7)
HERE = Alignment(np.eye(3), 0.0, 1.0, 1.0, 0.0)  # the first photo lies on itself
DRAWN_BORDER_U_MM = 0.05  # [mm] a steady hand on a phone; common practice, no source
_REFUSALS = {
    PhotoError: "photo_refused",
    StickerError: "sticker_refused",
    SeedError: "circle_misplaced",
    AlignError: "place_not_found",
    OutlineError: "no_outline",
}


@dataclass(frozen=True, slots=True, eq=False)
class Before:
    """What is known before a photo is read.

    ``seed`` is the circle drawn on this photo, ``first`` the reading all others are laid over,
    ``others`` further readings of the series: copies are told by them, and they bridge to the
    first photo where this one cannot be laid over it directly. ``drawn_px`` is an outline drawn
    by a person, in this photo's pixels. ``looked`` is what ``look_at_photo`` gave.
    """

    seed: Seed | None
    first: Reading | None
    others: tuple[Reading, ...]
    drawn_px: Points | None
    hint: StickerHint
    settings: Settings
    looked: Reading | None


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

    wide = overview(
        photo, sticker, calibrate(photo, sticker, _middle(sticker.corners_px), settings)
    )
    yield (reading := replace(reading, overview=wide))

    alignment = refusal = None
    for beside in _earlier(before):
        try:
            rough = _find_again(wide, beside)
            circle = _circle(reading, before, rough, beside)
            calibration, scene = _near(photo, sticker, circle, settings)
            reading = replace(reading, calibration=calibration, circle=circle, scene=scene)
            alignment, refusal = _lay_over(reading, before, rough, beside), None
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

    border = _draw(reading, before)
    yield (reading := _noting(replace(reading, outline=border), border.notices))

    measurement = measure(scene, border, calibration)
    yield (reading := _noting(replace(reading, measurement=measurement), measurement.notices))

    if before.first is not None:
        reading = replace(reading, sightings=look_for_changes(before.first, reading))
        yield _noting(reading, rulers_disagree(before.first, reading))


def _middle(points: Points) -> tuple[float, float]:
    """Mean of points."""
    x, y = points.mean(axis=0)
    return float(x), float(y)


def _earlier(before: Before) -> tuple[Reading | None, ...]:
    """Readings to lay a photo over, in the order in which they are tried: the first photo first.

    A photo that cannot be laid over the first one may still lie over its neighbour in time. None
    stands for the circle alone: where one was drawn, not finding the place is no reason to stop.
    """
    known = () if before.first is None else (before.first, *reversed(before.others[-3:]))
    able = tuple(r for r in known if r.overview and r.circle and r.alignment)
    return able if able and before.seed is None else (*able, None)


def _find_again(wide: Scene, beside: Reading | None) -> Matrix | None:
    """Rough map onto an earlier reading, if there is one."""
    if beside is None or beside.overview is None or beside.circle is None:
        return None
    return find_again(wide, beside.overview, beside.circle)


def _near(
    photo: Photo, sticker: Sticker, circle: Circle, settings: Settings
) -> tuple[Calibration, Scene]:
    """Calibration and close-up at the spot."""
    at_px = apply_homography(np.linalg.inv(sticker.px_to_mm), np.array([[circle.x, circle.y]]))[0]
    calibration = calibrate(photo, sticker, (float(at_px[0]), float(at_px[1])), settings)
    return calibration, close_up(photo, sticker, calibration, circle)


def _circle(
    reading: Reading, before: Before, rough: Matrix | None, beside: Reading | None
) -> Circle:
    """The circle round the spot in this photo's millimetres: as drawn, or carried over."""
    sticker = reading.sticker
    if before.seed is not None and sticker is not None:
        seed, scale = before.seed, reading.photo.stored_per_px
        at = np.array([[seed.x, seed.y]]) / scale
        _refuse_misplaced(seed, reading.photo, sticker)
        x, y = apply_homography(sticker.px_to_mm, at)[0]
        radius = seed.radius / scale * float(local_scale(sticker.px_to_mm, at)[0])
        return Circle(float(x), float(y), radius)
    if rough is None or beside is None or beside.circle is None:
        raise AlignError(
            "The place of the spot is not known in this photo.", "Draw a circle round the spot."
        )
    back = np.linalg.inv(rough)
    at = np.array([[beside.circle.x, beside.circle.y]])
    x, y = apply_homography(back, at)[0]
    return Circle(float(x), float(y), beside.circle.radius * float(local_scale(back, at)[0]))


def _refuse_misplaced(seed: Seed, photo: Photo, sticker: Sticker) -> None:
    """Refuse a circle whose centre lies outside the photo or on the sticker."""
    x, y = seed.x / photo.stored_per_px, seed.y / photo.stored_per_px
    height, width = photo.rgb.shape[:2]
    if not (0 <= x < width and 0 <= y < height):
        raise SeedError(
            "The circle round the spot lies outside the photo.",
            f"Give a centre between 0,0 and {width * photo.stored_per_px:.0f},"
            f"{height * photo.stored_per_px:.0f}.",
        )
    corners = sticker.corners_px.astype(np.float32)
    if cv2.pointPolygonTest(corners, (x, y), measureDist=False) >= 0:
        raise SeedError(
            "The circle lies on the sticker, not on the skin.", "Draw it round the spot instead."
        )


def _lay_over(
    reading: Reading, before: Before, rough: Matrix | None, beside: Reading | None
) -> Alignment | None:
    """How this photo lies over the first one; None when only a circle says where the spot is."""
    if before.first is None:
        return HERE
    if rough is None or beside is None or reading.scene is None:
        return None
    if beside.scene is None or beside.outline is None:
        return None
    onto = align(reading.scene, beside.scene, rough, beside.outline.contour)
    bridge = beside.alignment
    return onto if bridge is None or bridge is HERE else carry_on(onto, bridge)


def _draw(reading: Reading, before: Before) -> Outline:
    """The border: as a person drew it, or found from the circle and the first photo's border."""
    scene, circle, sticker = reading.scene, reading.circle, reading.sticker
    if scene is None or circle is None or sticker is None:
        raise OutlineError("The spot was not reached.", "Take the photo again.")
    if before.drawn_px is not None:
        at = np.asarray(before.drawn_px, float) / reading.photo.stored_per_px
        drawn = apply_homography(sticker.px_to_mm, at)
        return Outline(drawn, drawn, drawn, DRAWN_BORDER_U_MM, by="person")
    prior = None
    first, alignment = before.first, reading.alignment
    if first is not None and first.outline is not None and alignment is not None:
        prior = apply_homography(np.linalg.inv(alignment.to_first), first.outline.contour)
    return outline(scene, circle, prior=prior)


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
            reading = _noting(replace(reading, photo=photo), (notice("date_assumed"),))  # noqa: PLW2901
        elif dated and _clock(photo.taken) < _clock(before):
            reading = _noting(reading, (notice("out_of_order"),))  # noqa: PLW2901
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
        Visit(taken, tuple(group), answers.get(day, {}))
        for day, group in days.items()
        if (taken := group[0].photo.taken) is not None
    )
