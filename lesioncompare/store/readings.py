"""A reading as JSON and back: every number and contour, without the pictures.

The pictures can be made again from the original photo, so they are not kept twice.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import (
    Alignment,
    Calibration,
    Circle,
    Light,
    Measurement,
    Notice,
    Outline,
    Photo,
    Reading,
    Sticker,
)
from lesioncompare.terms import Level

FORM = 1  # of this JSON; a reader refuses a newer one

Json = Mapping[str, Any]


def reading_to_json(reading: Reading) -> dict[str, Any]:
    """The reading as plain JSON values."""
    return {
        "form": FORM,
        "photo": _photo_out(reading.photo),
        "sticker": _optional(_sticker_out, reading.sticker),
        "calibration": _optional(_calibration_out, reading.calibration),
        "circle": _optional(_circle_out, reading.circle),
        "alignment": _optional(_alignment_out, reading.alignment),
        "outline": _optional(_outline_out, reading.outline),
        "measurement": _optional(_measurement_out, reading.measurement),
        "notices": _notices_out(reading.notices),
        "usable": reading.usable,
    }


def reading_from_json(kept: Json) -> Reading:
    """The reading again, its photo without pixels (0 x 0) and without scenes."""
    if kept["form"] > FORM:
        raise ValueError(f"form must be at most {FORM}")
    return Reading(
        photo=_photo_in(kept["photo"]),
        sticker=_optional(_sticker_in, kept["sticker"]),
        calibration=_optional(_calibration_in, kept["calibration"]),
        circle=_optional(lambda c: Circle(**c), kept["circle"]),
        alignment=_optional(_alignment_in, kept["alignment"]),
        outline=_optional(_outline_in, kept["outline"]),
        measurement=_optional(_measurement_in, kept["measurement"]),
        notices=_notices_in(kept["notices"]),
    )


def _optional(turn: Any, value: Any) -> Any:
    return None if value is None else turn(value)


def _array(value: Any, *shape: int) -> NDArray[np.float64]:
    """An array of floats; the shape matters only where it may be empty."""
    array = np.asarray(value, float)
    return array if array.size else np.zeros(shape)


def _notices_out(notices: tuple[Notice, ...]) -> list[dict[str, str]]:
    return [
        {"key": n.key, "level": n.level.value, "says": n.says, "do": n.do, "vet": n.vet}
        for n in notices
    ]


def _notices_in(kept: Any) -> tuple[Notice, ...]:
    return tuple(Notice(n["key"], Level(n["level"]), n["says"], n["do"], n["vet"]) for n in kept)


def _parts_out(parts: tuple[Component, ...]) -> list[dict[str, Any]]:
    return [{"name": p.name, "u": p.u, "common": p.common} for p in parts]


def _parts_in(kept: Any) -> tuple[Component, ...]:
    return tuple(Component(**part) for part in kept)


def _photo_out(photo: Photo) -> dict[str, Any]:
    return {
        "name": photo.name,
        "sha256": photo.sha256,
        "height_px": photo.rgb.shape[0],
        "width_px": photo.rgb.shape[1],
        "taken": None if photo.taken is None else photo.taken.isoformat(),
        "taken_basis": photo.taken_basis,
        "hashes": list(photo.hashes),
        "stored_per_px": photo.stored_per_px,
        "notices": _notices_out(photo.notices),
    }


def _photo_in(kept: Json) -> Photo:
    taken = kept["taken"]
    return Photo(
        name=kept["name"],
        sha256=kept["sha256"],
        rgb=np.zeros((0, 0, 3), np.uint8),
        taken=None if taken is None else datetime.fromisoformat(taken),
        taken_basis=kept["taken_basis"],
        hashes=tuple(kept["hashes"]),
        stored_per_px=kept["stored_per_px"],
        notices=_notices_in(kept["notices"]),
    )


def _sticker_out(sticker: Sticker) -> dict[str, Any]:
    return {
        "kind": sticker.kind,
        "id": sticker.id,
        "size_mm": sticker.size_mm,
        "corners_px": sticker.corners_px.tolist(),
        "px_to_mm": sticker.px_to_mm.tolist(),
        "corner_u_px": sticker.corner_u_px,
        "ladder": sticker.ladder.tolist(),
        "notices": _notices_out(sticker.notices),
    }


def _sticker_in(kept: Json) -> Sticker:
    return Sticker(
        kind=kept["kind"],
        id=kept["id"],
        size_mm=kept["size_mm"],
        corners_px=_array(kept["corners_px"]),
        px_to_mm=_array(kept["px_to_mm"]),
        corner_u_px=kept["corner_u_px"],
        ladder=_array(kept["ladder"], 0, 6),
        notices=_notices_in(kept["notices"]),
    )


def _calibration_out(calibration: Calibration) -> dict[str, Any]:
    light = calibration.light
    return {
        "px_to_mm": calibration.px_to_mm.tolist(),
        "mm_per_px": calibration.mm_per_px,
        "tilt_deg": calibration.tilt_deg,
        "scale_parts": _parts_out(calibration.scale_parts),
        "light": {
            "gain": light.gain.tolist(),
            "offset": light.offset.tolist(),
            "gradient": light.gradient.tolist(),
            "residual_de00": light.residual_de00,
            "steady": light.steady,
        },
    }


def _calibration_in(kept: Json) -> Calibration:
    light = kept["light"]
    return Calibration(
        px_to_mm=_array(kept["px_to_mm"]),
        mm_per_px=kept["mm_per_px"],
        tilt_deg=kept["tilt_deg"],
        scale_parts=_parts_in(kept["scale_parts"]),
        light=Light(
            gain=_array(light["gain"]),
            offset=_array(light["offset"]),
            gradient=_array(light["gradient"]),
            residual_de00=light["residual_de00"],
            steady=light["steady"],
        ),
    )


def _circle_out(circle: Circle) -> dict[str, float]:
    return {"x": circle.x, "y": circle.y, "radius": circle.radius}


def _alignment_out(alignment: Alignment) -> dict[str, Any]:
    return {
        "to_first": alignment.to_first.tolist(),
        "residual_mm": alignment.residual_mm,
        "overlap": alignment.overlap,
        "anatomical_scale": alignment.anatomical_scale,
        "anatomical_scale_u": alignment.anatomical_scale_u,
        "notices": _notices_out(alignment.notices),
    }


def _alignment_in(kept: Json) -> Alignment:
    facts = {**kept, "to_first": _array(kept["to_first"]), "notices": _notices_in(kept["notices"])}
    return Alignment(**facts)


def _outline_out(outline: Outline) -> dict[str, Any]:
    return {
        "contour": outline.contour.tolist(),
        "inner": outline.inner.tolist(),
        "outer": outline.outer.tolist(),
        "border_u_mm": outline.border_u_mm,
        "by": outline.by,
        "notices": _notices_out(outline.notices),
    }


def _outline_in(kept: Json) -> Outline:
    return Outline(
        contour=_array(kept["contour"], 0, 2),
        inner=_array(kept["inner"], 0, 2),
        outer=_array(kept["outer"], 0, 2),
        border_u_mm=kept["border_u_mm"],
        by=kept["by"],
        notices=_notices_in(kept["notices"]),
    )


def _measurement_out(measurement: Measurement) -> dict[str, Any]:
    return {
        "quantities": {
            name: {
                "value": q.value,
                "unit": q.unit,
                "relative": q.relative,
                "components": _parts_out(q.components),
            }
            for name, q in measurement.quantities.items()
        },
        "spot_lab": list(measurement.spot_lab),
        "skin_lab": list(measurement.skin_lab),
        "colour_u": measurement.colour_u,
        "notices": _notices_out(measurement.notices),
    }


def _measurement_in(kept: Json) -> Measurement:
    quantities = {
        name: Quantity(q["value"], q["unit"], _parts_in(q["components"]), q["relative"])
        for name, q in kept["quantities"].items()
    }
    spot, skin = kept["spot_lab"], kept["skin_lab"]
    return Measurement(
        quantities=quantities,
        spot_lab=(spot[0], spot[1], spot[2]),
        skin_lab=(skin[0], skin[1], skin[2]),
        colour_u=kept["colour_u"],
        notices=_notices_in(kept["notices"]),
    )
