"""A reading as JSON and back: every number and contour, without the pictures.

The pictures can be made again from the original photo, so they are not kept twice. The JSON
follows the records themselves, so that a field added to one of them is kept without a word here.
"""

import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import datetime
from enum import Enum
from typing import Any, Union, get_args, get_origin, get_type_hints

import numpy as np

from lesioncompare.records import Reading

FORM = 1  # of this JSON; a reader refuses a newer one
PICTURES = {"rgb", "overview", "scene"}  # fields that are not kept
SIZE = "size_px"  # height and width in place of the pixels


def reading_to_json(reading: Reading) -> dict[str, Any]:
    """The reading as plain JSON values."""
    kept = _out(reading)
    kept["photo"][SIZE] = list(reading.photo.rgb.shape[:2])
    return {"form": FORM, "usable": reading.usable, **kept}


def reading_from_json(kept: Mapping[str, Any]) -> Reading:
    """The reading again, its photo without pixels (0 x 0) and without scenes."""
    if kept["form"] > FORM:
        raise ValueError(f"form must be at most {FORM}")
    reading: Reading = _record(Reading, kept)
    return reading


def _out(value: Any) -> Any:
    """Any value found in a reading as plain JSON."""
    if is_dataclass(value):
        return {
            f.name: _out(getattr(value, f.name)) for f in fields(value) if f.name not in PICTURES
        }
    if isinstance(value, np.ndarray):
        return {"shape": list(value.shape), "values": value.ravel().tolist()}
    if isinstance(value, Mapping):
        return {name: _out(part) for name, part in value.items()}
    if isinstance(value, tuple | list):
        return [_out(part) for part in value]
    if isinstance(value, datetime):
        return value.isoformat()
    return value.value if isinstance(value, Enum) else value


def _record(kind: Any, kept: Mapping[str, Any]) -> Any:
    """A record of one kind; fields that the JSON does not have keep their default."""
    hints = get_type_hints(kind)
    given = {f.name: _in(hints[f.name], kept[f.name]) for f in fields(kind) if f.name in kept}
    if "rgb" in hints:
        given["rgb"] = np.zeros((0, 0, 3), np.uint8)
    return kind(**given)


def _in(kind: Any, kept: Any) -> Any:
    """A value of the kind that its record's field asks for."""
    origin, parts = get_origin(kind), get_args(kind)
    if origin in {Union, types.UnionType}:
        if kept is None:
            return None
        return _in(next(part for part in parts if part is not type(None)), kept)
    if origin is np.ndarray:
        return np.array(kept["values"], float).reshape(kept["shape"])
    if origin is tuple:
        each = [parts[0]] * len(kept) if parts[-1] is Ellipsis else parts
        return tuple(_in(part, one) for part, one in zip(each, kept, strict=True))
    if origin is not None and issubclass(origin, Mapping):
        return {name: _in(parts[1], part) for name, part in kept.items()}
    return _plain(kind, kept)


def _plain(kind: Any, kept: Any) -> Any:
    if kind is datetime:
        return datetime.fromisoformat(kept)
    if is_dataclass(kind):
        return _record(kind, kept)
    return kind(kept) if isinstance(kind, type) and issubclass(kind, Enum) else kept
