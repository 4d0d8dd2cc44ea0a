"""The series model for colour: a distance with a direction, judged along three axes of ΔE00."""

from collections.abc import Sequence

import numpy as np

from lesioncompare.compare.colour import AXES, difference, spot_as_at_first
from lesioncompare.compare.course import (
    BASELINE_DAYS,
    BASELINE_VISITS,
    Floats,
    Mark,
    photo_difference_u,
    visit_u,
)
from lesioncompare.compare.levels import LEAST_SHARE, day_of
from lesioncompare.records import Change, Measurement, Visit
from lesioncompare.registry.tolerances import COLOUR_OWN, TOLERANCES
from lesioncompare.science.distance import noise_distance, true_distance
from lesioncompare.terms import Verdict

BETWEEN_U = TOLERANCES["colour_de00"].between_u  # [ΔE00] per axis
FLOOR_DE00 = TOLERANCES["colour_de00"].floor  # [ΔE00]
ODD_SHARE = 0.997  # [1] a visit beyond this share of noise is odd, as 3 sd are on one axis
ALONG = 0.5  # [1] cosine: two differences within 60 degrees of each other agree


def follow_colour(visits: Sequence[Visit]) -> tuple[Change, ...]:
    """Change of the spot's colour at every visit after the first that has one.

    Parameters
    ----------
    visits
        Visits in order of time.

    Returns
    -------
    tuple[Change, ...]
        Distances from the baseline with the expected noise taken off [ΔE00]. Called a change when
        two visits running, or all photos of one visit, lie far from the baseline in one direction.
    """
    first = next((r.measurement for v in visits for r in v.readings if r.measurement), None)
    if first is None:
        return ()
    to_axes = _axes(np.asarray(first.spot_lab, float))
    marks = [mark for i in range(len(visits)) if (mark := _marks(visits, i, first, to_axes))]
    known = np.sqrt(np.mean([visit_u(axis) ** 2 for axis in zip(*marks, strict=True)], axis=0))
    at = np.array([[axis.value for axis in mark] for mark in marks])
    base, before, changes = [0], np.zeros(AXES), []
    for i in range(1, len(marks)):
        weight = 1 / known[i, base] ** 2
        target = np.average(at[base], axis=0, weights=weight)
        target_u = float(weight.sum() ** -0.5)
        u = float(np.hypot(known[i, i], target_u))
        away = (at[i] - target) / u
        one_u = photo_difference_u(marks[i][0], known[i, i], target_u)  # the same on each axis
        photos = (np.array([axis.photos for axis in marks[i]]).T - target) / one_u[:, None]
        agreed = _agree(before, away) or (len(photos) > 1 and all(_agree(p, away) for p in photos))
        changes.append(_change(marks[i][0].visit, away, u, agreed=agreed))
        early = i < BASELINE_VISITS and marks[i][0].day - marks[0][0].day <= BASELINE_DAYS
        if early and not _is_odd(away):
            base.append(i)
        before = away
    return tuple(changes)


def _axes(lab: Floats) -> Floats:
    """Matrix (3, 3) from Lab differences near a colour to lightness, chroma and hue in ΔE00."""
    chroma = max(float(np.hypot(lab[1], lab[2])), 1e-6)
    a, b = lab[1] / chroma, lab[2] / chroma
    rows = np.array([[1.0, 0.0, 0.0], [0.0, a, b], [0.0, -b, a]])
    return rows * np.array([[difference(lab, lab + row)] for row in rows])


def _marks(
    visits: Sequence[Visit], index: int, first: Measurement, to_axes: Floats
) -> list[Mark] | None:
    """One mark per axis for a visit, or None where no photo has a colour."""
    seen = [r.measurement for r in visits[index].readings if r.measurement is not None]
    if not seen:
        return None
    at = np.array([to_axes @ spot_as_at_first(first, one) for one in seen])
    u = COLOUR_OWN * np.array([one.colour_u for one in seen]) / np.sqrt(AXES)
    u = np.maximum(u, LEAST_SHARE * BETWEEN_U)
    day = day_of(visits[index], visits[0])
    return [Mark(index, day, column, u, BETWEEN_U) for column in at.T]


def _is_odd(away: Floats) -> bool:
    """Whether a visit lies beyond nearly all noise [u]."""
    return bool(np.linalg.norm(away) > noise_distance(1.0, AXES, ODD_SHARE))


def _agree(one: Floats, other: Floats) -> bool:
    """Whether two differences [u] are both odd and point the same way."""
    lengths = np.linalg.norm(one) * np.linalg.norm(other)
    return _is_odd(one) and _is_odd(other) and float(one @ other) > ALONG * float(lengths)


def _change(visit: int, away: Floats, u: float, *, agreed: bool) -> Change:
    """The record of one visit."""
    seen = float(np.linalg.norm(away)) * u
    value, low, high = true_distance(seen, u, AXES)
    detectable = noise_distance(u, AXES)
    verdict = Verdict.UNCONFIRMED if seen > max(detectable, FLOOR_DE00) else Verdict.SAME
    if agreed and value >= FLOOR_DE00:
        verdict = Verdict.CHANGED
    return Change("colour_de00", visit, value, u, low, high, detectable, verdict)
