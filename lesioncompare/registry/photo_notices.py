"""Remarks on the photo itself: its file, its light, its sharpness, its place."""

from lesioncompare.registry.kinds import NoticeKind
from lesioncompare.terms import Level

FILE_NOTICES = (
    NoticeKind(
        key="no_date",
        level=Level.NOTE,
        says="The photo does not say when it was taken.",
        do="Give its date if you know it.",
        vet="No capture time in the file.",
        rule="neither time of original capture nor of digitizing in the EXIF data",
        source="JEITA CP-3451 (EXIF), 4.6.5",
    ),
    NoticeKind(
        key="date_not_believed",
        level=Level.NOTE,
        says="The date in the photo cannot be right.",
        do="Give its date if you know it, and set the clock of the camera.",
        vet="Capture time before 2000, in the future or malformed: not used.",
        rule="capture time before 2000 or more than two days ahead of the present",
        source="common practice, no source",
    ),
    NoticeKind(
        key="read_reduced",
        level=Level.NOTE,
        says="The photo is so large that it was read at 1/{step:.0f} of its size.",
        do="Set the camera to its usual size; more pixels do not make it sharper.",
        vet="Decoded at 1/{step:.0f} of the stored size before measuring.",
        rule="longest side over 5800 px",
        source="memory and time measured on 12 to 200 megapixels",
    ),
    NoticeKind(
        key="no_colour",
        level=Level.DOUBT,
        says="The photo has no colours, only greys.",
        do="Take the next one in colour, without a filter.",
        vet="Greyscale photo: colour measures mean nothing.",
        rule="the file holds one grey channel",
        source="the file itself",
    ),
    NoticeKind(
        key="printing_colours",
        level=Level.DOUBT,
        says="The photo was saved for printing, which changes colours.",
        do="Give the original from the phone.",
        vet="CMYK photo converted through its ICC profile; gamut may have been clipped.",
        rule="the file holds four printing channels with an ICC profile",
        source="ICC.1:2022",
    ),
    NoticeKind(
        key="colours_unsure",
        level=Level.DOUBT,
        says="How the colours in this photo are meant could not be read; they may be a little off.",
        do="Give the photo as the phone made it.",
        vet="Colour profile unreadable, unfit or missing for wide-gamut values; taken as sRGB "
        "(about 3 ΔE00 off on skin if it was Display P3).",
        rule="ICC profile unreadable or of another colour model, or wide primaries without one",
        source="ICC.1:2022; ITU-T H.273 table 2",
    ),
)
