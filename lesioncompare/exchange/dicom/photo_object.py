"""A photo as a VL Photographic Image (DICOM PS3.3 A.32.4)."""

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageCms, ImageOps
from PIL.JpegImagePlugin import get_sampling
from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.encaps import encapsulate
from pydicom.uid import JPEGBaseline8Bit, VLPhotographicImageStorage

from lesioncompare.decode.colour import SRGB, to_srgb
from lesioncompare.exchange.dicom import Animal
from lesioncompare.exchange.dicom.words import (
    SIDES,
    SPECIES,
    clock,
    day,
    item,
    person,
    region,
    text,
    uid,
)
from lesioncompare.exchange.privacy import private_copy
from lesioncompare.records import Photo
from lesioncompare.terms import Site

ORIENTATION = 0x0112
QUALITY = 92  # of a photo that has to be encoded anew
SAMPLED = "YBR_FULL_422"  # PS3.3 A.32.4.3: the only one for baseline JPEG; 4:2:0 goes by it too
HALF, QUARTER = 1, 2  # Pillow's names for 4:2:2 and 4:2:0


@dataclass(frozen=True, slots=True)
class Place:
    """Where an object belongs: animal, site, spot, day of the visit, number in the series."""

    animal: Animal
    site: Site | None
    spot: str
    visit: str
    number: int

    @property
    def study(self) -> str:
        """One study per visit."""
        return uid("study", self.animal.id, str(self.site), self.visit)

    def series(self, kind: str) -> str:
        """One series per visit and kind of object."""
        return uid("series", kind, self.animal.id, str(self.site), self.visit)


def photo_object(photo: Photo, original: bytes, place: Place) -> Dataset:
    """The photo, its compressed bytes untouched where the standard takes them as they are."""
    jpeg = _baseline(original)
    with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as picture:
        width, height = picture.size
    data = Dataset()
    data.SpecificCharacterSet = "ISO_IR 192"
    data.SOPClassUID = VLPhotographicImageStorage
    data.SOPInstanceUID = uid("photo", place.study, photo.sha256)
    _name_animal(data, place.animal)
    _date(data, photo, place)
    data.InstanceNumber = place.number
    data.ImageType = ["ORIGINAL", "PRIMARY"]
    data.PatientOrientation, data.BurnedInAnnotation = "", "NO"
    data.ImageLaterality = SIDES[place.site.side if place.site else None]
    data.AnatomicRegionSequence = [item(region(place.site))]
    data.AcquisitionContextSequence = []
    data.LossyImageCompression, data.LossyImageCompressionMethod = "01", "ISO_10918_1"
    data.LossyImageCompressionRatio = round(width * height * 3 / len(jpeg), 2)
    data.SamplesPerPixel, data.PlanarConfiguration = 3, 0
    data.PhotometricInterpretation = SAMPLED
    data.Rows, data.Columns, data.PixelRepresentation = height, width, 0
    data.BitsAllocated, data.BitsStored, data.HighBit = 8, 8, 7
    profile = ImageCms.ImageCmsProfile(SRGB).tobytes()
    data.ICCProfile, data.ColorSpace = profile + b"\0" * (len(profile) % 2), "SRGB"
    data.PixelData = encapsulate([jpeg])
    data["PixelData"].is_undefined_length = True
    meta = FileMetaDataset()
    meta.TransferSyntaxUID = JPEGBaseline8Bit
    meta.MediaStorageSOPClassUID = data.SOPClassUID
    meta.MediaStorageSOPInstanceUID = data.SOPInstanceUID
    data.file_meta = meta
    return data


def _baseline(original: bytes) -> bytes:
    """The photo as upright sRGB baseline JPEG without metadata, as it is where it is one."""
    copy, _ = private_copy(original)
    with Image.open(io.BytesIO(copy)) as picture:
        picture.load()
        if picture.format == "JPEG" and _is_sequential(copy) and _is_plain(picture):
            return copy
        colours, _ = to_srgb(ImageOps.exif_transpose(picture))
    buffer = io.BytesIO()
    colours.info.clear()
    colours.save(buffer, "JPEG", quality=QUALITY, subsampling=HALF)
    return buffer.getvalue()


def _is_sequential(jpeg: bytes) -> bool:
    """Baseline coding only (ITU-T T.81: frame header SOF0)."""
    return b"\xff\xc0" in jpeg[: jpeg.index(b"\xff\xda")]


def _is_plain(picture: Image.Image) -> bool:
    """Upright sRGB, stored as luminance and halved colour."""
    upright = picture.getexif().get(ORIENTATION, 1) == 1
    halved = picture.mode == "RGB" and get_sampling(picture) in {HALF, QUARTER}
    if not (upright and halved and picture.info.get("adobe_transform", 1) == 1):
        return False
    return "icc_profile" not in picture.info or bool(
        np.array_equal(np.asarray(to_srgb(picture)[0]), np.asarray(picture))
    )


def _name_animal(data: Dataset, animal: Animal) -> None:
    """Patient module with its veterinary attributes (PS3.3 C.7.1.1)."""
    data.PatientName, data.PatientID = person(animal.keeper, animal.name), text(animal.id)
    data.PatientBirthDate, data.PatientSex = "", animal.sex if animal.sex in {"F", "M"} else ""
    data.PatientSpeciesDescription = SPECIES.meaning
    data.PatientSpeciesCodeSequence = [item(SPECIES)]
    neutered = {True: "ALTERED", False: "UNALTERED", None: ""}
    data.PatientSexNeutered = neutered[animal.neutered]
    data.PatientBreedDescription = text(animal.breed) or "unknown"
    data.PatientBreedCodeSequence, data.BreedRegistrationSequence = [], []
    data.ResponsiblePerson = person(animal.keeper)
    if data.ResponsiblePerson:
        data.ResponsiblePersonRole = "OWNER"
    data.ResponsibleOrganization = ""


def _date(data: Dataset, photo: Photo, place: Place) -> None:
    """Study and series of the visit, and when the photo was taken."""
    when = photo.taken
    data.StudyInstanceUID, data.SeriesInstanceUID = place.study, place.series("photo")
    data.StudyID, data.SeriesNumber = "1", 1
    data.StudyDate, data.StudyTime = day(when), clock(when)
    if when:
        data.ContentDate, data.ContentTime = day(when), clock(when)
        data.AcquisitionDateTime = when.strftime("%Y%m%d%H%M%S%z")
    if when and when.utcoffset() is not None:
        data.TimezoneOffsetFromUTC = when.strftime("%z")
    data.AccessionNumber = data.ReferringPhysicianName = ""
    data.Modality, data.Manufacturer = "XC", ""
