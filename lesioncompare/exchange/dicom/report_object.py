"""What was measured on a photo as a Comprehensive SR by template TID 1500."""

from collections.abc import Iterator, Mapping
from datetime import datetime

import numpy as np
from highdicom.sr import (
    AlgorithmIdentification,
    ComprehensiveSR,
    DeviceObserverIdentifyingAttributes,
    FindingSite,
    ImageRegion,
    Measurement,
    MeasurementProperties,
    MeasurementReport,
    ObservationContext,
    ObserverContext,
    PlanarROIMeasurementsAndQualitativeEvaluations,
    RelationshipTypeValues,
    SourceImageForRegion,
    TextContentItem,
    TimePointContext,
    TrackingIdentifier,
)
from pydicom.dataset import Dataset
from pydicom.sr.codedict import codes

from lesioncompare import __version__
from lesioncompare.exchange.dicom.photo_object import Place
from lesioncompare.exchange.dicom.words import (
    COMMENT,
    IMAGING,
    LESION,
    MEASURED,
    UNCERTAINTIES,
    UNITS,
    clock,
    day,
    region,
    text,
    uid,
)
from lesioncompare.quantity import Quantity
from lesioncompare.records import Points

PROGRAM = "lesioncompare"
CAUTION = (
    "Measured on a photograph beside a reference sticker; uncertainties are the ends of the 95 % "
    "interval. No statement on the nature of the spot."
)


def report_object(
    image: Dataset, outline_px: Points, sizes: Mapping[str, Quantity], place: Place, now: datetime
) -> Dataset:
    """The border and the sizes of the spot, with their uncertainty, on one photo."""
    values = {name: sizes[name] for name in MEASURED if name in sizes}
    closed = np.vstack([outline_px, outline_px[:1]])
    group = PlanarROIMeasurementsAndQualitativeEvaluations(
        tracking_identifier=TrackingIdentifier(
            uid=uid("spot", place.animal.id, str(place.site), place.spot),
            identifier=text(place.spot) or "spot",
        ),
        referenced_region=ImageRegion(
            "POLYLINE", closed, SourceImageForRegion(image.SOPClassUID, image.SOPInstanceUID)
        ),
        finding_type=LESION,
        finding_sites=[FindingSite(region(place.site))],
        algorithm_id=AlgorithmIdentification(PROGRAM, __version__),
        time_point_context=TimePointContext(f"visit {place.visit}", time_point_order=place.number),
        measurements=[_measurement(name, value) for name, value in values.items()],
    )
    caution = TextContentItem(COMMENT, CAUTION, RelationshipTypeValues.CONTAINS)
    group[0].ContentSequence.append(caution)
    device = DeviceObserverIdentifyingAttributes(uid=uid("program", __version__), name=PROGRAM)
    observer = ObserverContext(
        observer_type=codes.DCM.Device, observer_identifying_attributes=device
    )
    report = ComprehensiveSR(
        evidence=[image],
        content=MeasurementReport(
            observation_context=ObservationContext(observer_device_context=observer),
            procedure_reported=IMAGING,
            imaging_measurements=[group],
            title=codes.DCM.ImagingMeasurementReport,
        ),
        series_instance_uid=place.series("report"),
        series_number=2,
        sop_instance_uid=uid("report", image.SOPInstanceUID, repr(values), repr(closed.tolist())),
        instance_number=place.number,
        manufacturer="",
        is_complete=True,
    )
    report.ContentDate = report.InstanceCreationDate = day(now)
    report.ContentTime = report.InstanceCreationTime = clock(now)
    for value in _numbers(report):
        _unit_of_uncertainty(value)
    return report


def _measurement(name: str, quantity: Quantity) -> Measurement:
    return Measurement(
        MEASURED[name],
        quantity.value,
        UNITS[quantity.unit],
        properties=MeasurementProperties(
            lower_measurement_uncertainty=quantity.value - quantity.low,
            upper_measurement_uncertainty=quantity.high - quantity.value,
        ),
    )


def _numbers(item: Dataset) -> Iterator[Dataset]:
    """Every numeric item of the tree."""
    for child in item.get("ContentSequence", []):
        if child.ValueType == "NUM":
            yield child
        yield from _numbers(child)


def _unit_of_uncertainty(value: Dataset) -> None:
    """An uncertainty has the unit of what it belongs to; the library leaves it without one."""
    for child in value.get("ContentSequence", []):
        if child.ConceptNameCodeSequence[0].CodeValue in UNCERTAINTIES:
            unit = value.MeasuredValueSequence[0].MeasurementUnitsCodeSequence
            child.MeasuredValueSequence[0].MeasurementUnitsCodeSequence = unit
