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
