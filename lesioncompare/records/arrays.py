"""Names of the arrays that records hold, and how a record guards them."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

RgbImage: TypeAlias = NDArray[np.uint8]  # (h, w, 3) sRGB code values
LinearImage: TypeAlias = NDArray[np.float32]  # (h, w, 3) linear reflectance
LabImage: TypeAlias = NDArray[np.float32]  # (h, w, 3) CIELAB, D65
Mask: TypeAlias = NDArray[np.bool_]  # (h, w)
Points: TypeAlias = NDArray[np.float64]  # (n, 2) x, y
Matrix: TypeAlias = NDArray[np.float64]  # (3, 3)


def seal(record: object, **shapes: tuple[int | None, ...]) -> None:
    """Check the shape of each named array of a record and make it read-only."""
    for name, shape in shapes.items():
        array = np.asarray(getattr(record, name))
        fits = array.ndim == len(shape) and all(
            want is None or want == have for want, have in zip(shape, array.shape, strict=True)
        )
        if not fits:
            raise ValueError(f"{name} must have shape {shape}, not {array.shape}")
        array.setflags(write=False)
        object.__setattr__(record, name, array)


def frozen(mapping: Mapping[str, Any]) -> Mapping[str, Any]:
    """A copy of a mapping that nobody can change."""
    return MappingProxyType(dict(mapping))
