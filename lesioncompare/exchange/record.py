"""A photo or a series as plain JSON values, by names that do not change; see docs/json.md.

Pixels are those of the stored, upright photo, whatever size it was decoded at.
"""

from collections.abc import Mapping
from typing import Any

import cv2
import numpy as np

from lesioncompare import __version__
from lesioncompare.compare import change_from_first
from lesioncompare.quantity import Quantity
from lesioncompare.records import (
    Alignment,
    Calibration,
    Change,
    Circle,
    Matrix,
    Measurement,
    Points,
    Reading,
    Series,
)
from lesioncompare.science.plane import apply_homography

FORMAT = 1  # raised when a name changes its meaning or goes; new names do not raise it
PX_DIGITS = 2  # decimals of a pixel coordinate
NEAR_MM = 4.0  # [mm] so far round the spot's circle the homography to the first photo is fitted
RING_POINTS = 24  # [1] on each of three rings

Json = dict[str, Any]


def reading_json(reading: Reading, first: Reading | None) -> Json:
    """One photo with everything read from it.

    Parameters
    ----------
    reading
        The photo.
    first
        The first photo of its series; None if it is the first one itself.
    """
    outline, measurement = reading.outline, reading.measurement
    photo, before = reading.photo, first or reading
    ratio, colour = change_from_first(before, reading)
    return {
        "format": FORMAT,
        "file": photo.name,
        "sha256": photo.sha256,
        "taken": photo.taken.isoformat() if photo.taken else None,
        "taken_basis": photo.taken_basis,
        "sticker": _sticker(reading),
        "outline_px": _contour(reading, outline.contour if outline else None),
        "outline_inner_px": _contour(reading, outline.inner if outline else None),
        "outline_outer_px": _contour(reading, outline.outer if outline else None),
        "measures": _measures(measurement.quantities if measurement else {}),
        "colours": _colours(measurement),
        "alignment": _alignment(reading.alignment, reading, before),
        "change_from_first": {"area_ratio": _value(ratio), "colour_de00": _value(colour)},
        "notices": [
            {"key": n.key, "level": n.level.value, "says": n.says, "do": n.do}
            for n in reading.notices
        ],
        "usable": reading.usable,
    }


def series_json(series: Series) -> Json:
    """A series: its photos, its visits, what changed and what is said about it."""
    first = next((r for v in series.visits for r in v.readings), next(iter(series.readings), None))
    places = {id(reading): index for index, reading in enumerate(series.readings)}
    return {
        "format": FORMAT,
        "program": f"lesioncompare {__version__}",
        "site": str(series.site) if series.site else None,
        "photos": [reading_json(reading, first) for reading in series.readings],
        "visits": [
            {
                "when": visit.when.isoformat(),
                "photos": [places[id(reading)] for reading in visit.readings],
                "answers": dict(visit.answers),
            }
            for visit in series.visits
        ],
        "changes": {name: _change(course[-1]) for name, course in series.changes.items() if course},
        "changes_by_visit": {n: [_change(c) for c in cs] for n, cs in series.changes.items() if cs},
        "findings": [
            {
                "key": finding.key,
                "level": finding.level.value,
                "visit": finding.visit,
                "says": finding.says,
                "do": finding.do,
                "could_be": list(finding.could_be),
                "evidence": dict(finding.evidence),
            }
            for finding in series.findings
        ],
    }


def _sticker(reading: Reading) -> Json:
    """The sticker and the scale at the spot, by keys that are there even when it was not found."""
    sticker, scale = reading.sticker, reading.photo.stored_per_px
    return {
        "found": sticker is not None,
        "kind": sticker.kind if sticker else None,
        "id": sticker.id if sticker else None,
        **_scale(reading.calibration, scale),
        "corners_px": _points(sticker.corners_px * scale) if sticker else None,
    }


def _scale(calibration: Calibration | None, stored_per_px: float) -> Json:
    if calibration is None:
        return {"mm_per_px": None, "mm_per_px_u": None, "tilt_deg": None}
    return {
        "mm_per_px": calibration.mm_per_px / stored_per_px,
        "mm_per_px_u": calibration.mm_per_px_u / stored_per_px,
        "tilt_deg": calibration.tilt_deg,
    }


def _points(points: Points) -> list[list[float]]:
    return np.round(points, PX_DIGITS).tolist()


def _contour(reading: Reading, contour_mm: Points | None) -> list[list[float]] | None:
    if contour_mm is None or reading.calibration is None:
        return None
    if not len(contour_mm):
        return []
    return _points(apply_homography(_mm_to_stored(reading, reading.calibration), contour_mm))


def _mm_to_stored(reading: Reading, calibration: Calibration) -> Matrix:
    """From the sticker's millimetres to pixels of the stored, upright photo."""
    enlarge = np.diag([reading.photo.stored_per_px, reading.photo.stored_per_px, 1.0])
    return enlarge @ np.linalg.inv(calibration.px_to_mm)


def _measures(quantities: Mapping[str, Quantity]) -> Json:
    return {name: {**_some_value(q), "unit": q.unit} for name, q in quantities.items()}


def _some_value(quantity: Quantity) -> Json:
    return {
        "value": quantity.value,
        "u": quantity.u,
        "low": quantity.low,
        "high": quantity.high,
    }


def _value(quantity: Quantity | None) -> Json | None:
    return None if quantity is None else _some_value(quantity)


def _colours(measurement: Measurement | None) -> Json:
    if measurement is None:
        return {"spot_lab": None, "skin_lab": None}
    return {"spot_lab": list(measurement.spot_lab), "skin_lab": list(measurement.skin_lab)}


def _alignment(alignment: Alignment | None, reading: Reading, first: Reading) -> Json | None:
    here, there, base = reading.calibration, first.calibration, first.alignment
    if alignment is None or here is None or there is None or base is None:
        return None
    near = _near(reading)
    flat, _ = cv2.findHomography(near, alignment.onto_first(near))
    onto = _mm_to_stored(first, there) @ np.linalg.inv(base.to_first) @ flat
    px_to_first = onto @ np.linalg.inv(_mm_to_stored(reading, here))
    return {
        "px_to_first": (px_to_first / px_to_first[2, 2]).tolist(),
        "residual_mm": alignment.residual_mm,
        "overlap": alignment.overlap,
        "anatomical_scale": alignment.anatomical_scale,
        "anatomical_scale_u": alignment.anatomical_scale_u,
    }


def _near(reading: Reading) -> Points:
    """Places round the spot over which one homography stands for the bent map (n, 2) [mm]."""
    turn = np.linspace(0, 2 * np.pi, RING_POINTS, endpoint=False)
    circle = reading.circle or Circle(0.0, 0.0, NEAR_MM)
    rings = [
        np.column_stack([np.cos(turn), np.sin(turn)]) * (circle.radius + beyond)
        for beyond in (0.0, NEAR_MM / 2, NEAR_MM)
    ]
    return np.concatenate(rings) + np.array([circle.x, circle.y])


def _change(change: Change) -> Json:
    return {
        "visit": change.visit,
        "difference": change.difference,
        "u": change.u,
        "low": change.low,
        "high": change.high,
        "smallest_detectable": change.smallest_detectable,
        "verdict": change.verdict.value,
    }
