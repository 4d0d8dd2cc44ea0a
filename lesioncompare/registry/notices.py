"""Remarks on one photo: what was seen and what to do about it."""

from lesioncompare.records import Notice
from lesioncompare.registry.kinds import NoticeKind
from lesioncompare.terms import Level

NOTICES: dict[str, NoticeKind] = {
    kind.key: kind
    for kind in (
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
