"""The objects of a whole series, as files."""

import io
from collections.abc import Mapping
from datetime import datetime

import numpy as np
from pydicom.dataset import Dataset

from lesioncompare.exchange.dicom import Animal
from lesioncompare.exchange.dicom.photo_object import Place, photo_object
from lesioncompare.exchange.dicom.report_object import report_object
from lesioncompare.exchange.record import reading_json
from lesioncompare.records import Series


def objects_of(
    series: Series, originals: Mapping[str, bytes], animal: Animal, *, spot: str, now: datetime
) -> dict[str, bytes]:
    """File name to content; parameters as for ``dicom_files``."""
    files = {}
    for number, reading in enumerate(series.readings, 1):
        photo = reading.photo
        if photo.sha256 not in originals:
            continue
        when = photo.taken.date().isoformat() if photo.taken else f"number {number}"
        place = Place(animal, series.site, spot, when, number)
        image = photo_object(photo, originals[photo.sha256], place)
        files[f"photo-{number:03}.dcm"] = _file(image)
        outline_px = reading_json(reading, None)["outline_px"]
        if outline_px and reading.measurement:
            sizes = reading.measurement.quantities
            report = report_object(image, np.array(outline_px), sizes, place, now)
            files[f"report-{number:03}.dcm"] = _file(report)
    return files


def _file(data: Dataset) -> bytes:
    buffer = io.BytesIO()
    data.save_as(buffer, enforce_file_format=True)
    return buffer.getvalue()
