"""A series for a clinic's picture archive: DICOM photographs with a structured report each."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from importlib.util import find_spec

from lesioncompare.errors import ExchangeError
from lesioncompare.records import Series

__all__ = ["Animal", "dicom_files", "is_available"]


@dataclass(frozen=True, slots=True)
class Animal:
    """The cat as a picture archive knows it; what is not known stays empty.

    ``id`` must be the same in every export; ``neutered`` is None where unknown; ``sex`` is "F", "M"
    or empty.
    """

    id: str
    name: str
    sex: str = ""
    neutered: bool | None = None
    breed: str = ""
    keeper: str = ""


def is_available() -> bool:
    """Whether the optional part that writes DICOM is installed."""
    return all(find_spec(name) is not None for name in ("pydicom", "highdicom"))


def dicom_files(
    series: Series,
    originals: Mapping[str, bytes],
    animal: Animal,
    *,
    spot: str,
    now: datetime,
) -> dict[str, bytes]:
    """One VL Photographic Image per photo and one Comprehensive SR per measured photo, by name.

    The photos carry no place, camera or names. The same series makes the same identifiers again.

    Parameters
    ----------
    series
        The visits of one spot.
    originals
        The bytes of each photo file by SHA-256; photos not in it are left out.
    animal
        Whom the photos show.
    spot
        What tells this spot from the animal's others; the same in every export.
    now
        The moment of the export.

    Raises
    ------
    ExchangeError
        When the extra ``dicom`` is not installed.

    References
    ----------
    .. [1] DICOM PS3.3 A.32.4 (VL Photographic Image), A.35.3 (Comprehensive SR); PS3.16 TID 1500.
    """
    try:
        from lesioncompare.exchange.dicom.series_objects import objects_of  # noqa: PLC0415
    except ImportError as cause:
        raise ExchangeError(
            "DICOM files need the optional part of this program.",
            "Install it with: pip install 'lesioncompare[dicom]'.",
        ) from cause
    return objects_of(series, originals, animal, spot=spot, now=now)
