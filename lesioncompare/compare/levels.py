"""Measures of many photos laid level with each other: one list of marks per measure."""

from collections.abc import Sequence

import numpy as np

from lesioncompare.compare.course import Mark
from lesioncompare.compare.rulers import POWER, Correction, corrections, log_size
from lesioncompare.quantity import Quantity
from lesioncompare.records import Reading, Visit
from lesioncompare.registry.tolerances import TOLERANCES
from lesioncompare.terms import MEASURES

LEAST_SHARE = 0.5  # [between_u] a photo's stated error is not believed below this; common practice


def day_of(visit: Visit, first: Visit) -> float:
    """Days since the first visit; clock changes do not count, the dates are as written."""
    return (
        visit.when.replace(tzinfo=None) - first.when.replace(tzinfo=None)
    ).total_seconds() / 86400


def all_marks(visits: Sequence[Visit]) -> dict[str, list[Mark]]:
    """Marks of every measure that at least one visit has, by measure.

    Parameters
    ----------
    visits
        Visits in order of time.

    Returns
    -------
    dict[str, list[Mark]]
        In order of time; a visit without the measure is left out.
    """
    readings = [reading for visit in visits for reading in visit.readings]
    found = (
        {id(r): c for r, c in zip(readings, corrections(readings), strict=True)} if readings else {}
    )
    return {
        name: marks
        for name in MEASURES
        if (marks := [m for i in range(len(visits)) if (m := _mark(visits, i, name, found))])
    }


def _mark(
    visits: Sequence[Visit], index: int, name: str, found: dict[int, Correction]
) -> Mark | None:
    """One measure of one visit, or None where no photo has it."""
    middle = sum(c.follow for c in found.values()) / len(found)
    values = [
        _level(quantity, name, found[id(reading)], middle)
        for reading in visits[index].readings
        if (quantity := _quantity(reading, name)) is not None
    ]
    if not values:
        return None
    tolerance = TOLERANCES[name]
    level, u = np.array(values, float).T
    least = LEAST_SHARE * tolerance.between_u
    day = day_of(visits[index], visits[0])
    return Mark(index, day, level, np.maximum(u, least), tolerance.between_u)


def _quantity(reading: Reading, name: str) -> Quantity | None:
    """A photo's measure, if it has it."""
    return reading.measurement.quantities.get(name) if reading.measurement else None


def _level(
    quantity: Quantity, name: str, correction: Correction, middle: float
) -> tuple[float, float]:
    """Value on the common ruler and its standard uncertainty; sizes as logarithms."""
    if not MEASURES[name].relative:
        return quantity.value, TOLERANCES[name].own * quantity.u_own
    value, border_u = log_size(quantity, correction.shift)
    scale_u = POWER[quantity.unit] * correction.u_against(middle)
    return value, float(np.hypot(border_u, scale_u))
