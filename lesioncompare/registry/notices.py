"""Remarks on one photo: what was seen and what to do about it."""

from lesioncompare.records import Notice
from lesioncompare.registry.judged_notices import JUDGED_NOTICES
from lesioncompare.registry.kinds import NoticeKind
from lesioncompare.registry.photo_notices import FILE_NOTICES
from lesioncompare.terms import Level

NOTICES: dict[str, NoticeKind] = {
    kind.key: kind
    for kind in (
        *FILE_NOTICES,
        *JUDGED_NOTICES,
        NoticeKind(
            key="tilted",
            level=Level.DOUBT,
            says="The photo was taken at a slant of {tilt_deg:.0f} degrees.",
            do="Hold the phone square on to the spot, straight above the sticker.",
            vet="Camera tilt {tilt_deg:.0f}° to the sticker; foreshortening corrected.",
            rule="tilt over 35 degrees",
            source="common practice, no source",
        ),
        NoticeKind(
            key="edge_not_measured",
            level=Level.NOTE,
            says="How soft the edge of the spot is could not be measured.",
            do="Nothing needs to be done; a sharper photo without hair across the edge helps.",
            vet="Edge width absent: no profile across the border stands out from the skin.",
            rule="no error function fits the median profile along the normals, or it climbs by "
            "less than 0.3 of the difference between spot and skin",
            source="common practice, no source",
        ),
        NoticeKind(
            key="date_assumed",
            level=Level.DOUBT,
            says="The photo carries no date: a week after the one before it is assumed.",
            do="Give the dates if you know them.",
            vet="No capture time in the file; weekly interval assumed, rates are not reliable.",
            rule="no capture time in the file and none given",
            source="the file itself",
        ),
        NoticeKind(
            key="out_of_order",
            level=Level.NOTE,
            says="This photo is older than the one before it; the series was put in order of date.",
            do="Check the dates if that surprises you.",
            vet="Photos were given out of date order and sorted by capture time.",
            rule="capture time before that of the photo given before it",
            source="the file itself",
        ),
        NoticeKind(
            key="not_laid_over",
            level=Level.DOUBT,
            says="The skin round the spot could not be matched with the first photo; only the "
            "circle says that this is the same spot.",
            do="Check that it is. Part the hair and show bare skin on all sides of the spot.",
            vet="Not laid over the first photo: place by the drawn circle, size by the sticker.",
            rule="fewer patches of bare skin agree on one place than another skin gives by chance",
            source="learnt on phantoms, see docs/alignment.md",
        ),
        NoticeKind(
            key="sides_not_compared",
            level=Level.NOTE,
            says="The two sides do not look enough alike to be laid over each other.",
            do="Look at both sides yourself, one beside the other.",
            vet="Not laid over the mirrored other side: marks of one side were not looked for.",
            rule="fewer patches of bare skin agree on one place than another skin gives by chance",
            source="learnt on phantoms, see docs/alignment.md",
        ),
        NoticeKind(
            key="rulers_disagree",
            level=Level.DOUBT,
            says="By the sticker, the skin round the spot would be {percent:.0f} % {way} than in "
            "the first photo; for the change since then the {believed} is believed.",
            do="Lay the sticker flat beside the spot, level with the skin, and take another photo.",
            vet="Sticker and near-skin scale disagree by {percent:.0f} % in area, beyond their "
            "errors: sticker out of the plane of the spot, or a poor alignment. Change is read "
            "from the {believed}; absolute millimetres from the sticker stand as stated.",
            rule="scales further apart than 3 combined standard uncertainties; skin believed when "
            "aligned better than 0.4 mm over at least 0.3 of the skin near the spot",
            source="JCGM 100:2008 for the combination; the factor 3 is common practice, no source",
        ),
    )
}


def notice(key: str, **facts: float | str) -> Notice:
    """The registered notice ``key`` with its facts filled in."""
    kind = NOTICES[key]
    return Notice(
        key=key,
        level=kind.level,
        says=kind.says.format(**facts),
        do=kind.do.format(**facts),
        vet=kind.vet.format(**facts),
    )
