"""Statements on a series: what changed, what to do, and what else it could be.

The sentences are for the keeper, ``vet`` for the vet; both may hold ``{name}`` fields that the
evidence fills. What a photo can never rule out is said with every sentence that might calm.
"""

from collections.abc import Mapping

from lesioncompare.records import Finding
from lesioncompare.registry.change_findings import (
    CHANGES_MEASURED,
    FRECKLE,
    LIGHT,
    NEXT_WEEK,
    PRACTICE,
    SHOW_VET,
)
from lesioncompare.registry.kinds import FindingKind
from lesioncompare.registry.surface_parts import RULE
from lesioncompare.terms import Level, Verdict

SECOND_PHOTO = (
    "Take a second photo now, with the sticker laid anew beside the spot; if it shows the same, "
    "the change counts."
)

KINDS = (
    FindingKind(
        key="first_visit",
        level=Level.NOTE,
        says="This is the first visit: there is nothing to compare with yet.",
        do=NEXT_WEEK,
        vet="Single visit; no comparison.",
        could_be=(),
        rule="one visit",
        source=PRACTICE,
    ),
    FindingKind(
        key="no_change",
        level=Level.NOTE,
        says="No change of {judged} was measured since {start}. A change of area of less than "
        "{detectable_percent:.0f} % could not have been seen, and this is no word on health.",
        do=NEXT_WEEK,
        vet="No change measured in {judged} against the baseline of {start}; "
        "smallest detectable change of area {detectable_percent:.0f} %. Not a statement on the "
        "nature of the spot.",
        could_be=("a change too small or too slow to measure yet", "a change in depth or height"),
        rule="no measure changed, none odd by its floor or more, nothing pressing open",
        source="smallest detectable change: Bland JM, Altman DG (1996) BMJ 313:744",
        verdict=Verdict.SAME,
    ),
    *CHANGES_MEASURED,
    FindingKind(
        key="sore_surface",
        level=Level.NOW,
        says="On {when} the surface of the spot looked broken or sore: {parts}.",
        do="Ring your vet now and describe what you see; do not wait for another photo.",
        vet="Surface evidence of erosion or ulceration on {when}: {details}.",
        could_be=("a fresh scratch", "a mosquito bite that was scratched", "food or dried saliva"),
        rule=RULE,
        source="thresholds from phantoms, see docs/operating_point.md; that redness and crust come "
        "before erosion: Murphy S (2013) J Feline Med Surg 15:401–407 (from memory)",
    ),
    FindingKind(
        key="new_spot",
        level=Level.WATCH,
        says="There is a mark that was not there at the start, about {size_mm:.1f} mm across.",
        do="Look for it with your own eyes and show it to your vet; go soon if it is raised or "
        "sore.",
        vet="New mark against the first photo: {details}.",
        could_be=(FRECKLE, "dirt or food", "a scab from a scratch", "a mosquito bite", "a tick"),
        rule="seen in the same place (within 1 mm) in two photos or at two visits running, at "
        "least about 1 mm across, not a hair, glint or shadow",
        source=PRACTICE,
        verdict=Verdict.CHANGED,
    ),
    FindingKind(
        key="new_spot_once",
        level=Level.WATCH,
        says="One photo shows a mark that was not there at the start, about {size_mm:.1f} mm "
        "across.",
        do="Wipe the place gently with a damp cloth and take a second photo now.",
        vet="New mark in a single photo, not confirmed: {details}.",
        could_be=("dirt or food", "a hair or its shadow", FRECKLE, "a scab from a scratch"),
        rule="seen in one photo of the last visit only",
        source=PRACTICE,
        verdict=Verdict.UNCONFIRMED,
    ),
    FindingKind(
        key="spot_count",
        level=Level.WATCH,
        says="{count:.0f} marks are there that were not there at the start.",
        do=SHOW_VET,
        vet="Count of new marks since the first photo: {count:.0f}, {area_mm2:.1f} mm² in all.",
        could_be=(FRECKLE, "mosquito bites", "dirt or food"),
        rule="two or more confirmed new marks at the last visit",
        source=PRACTICE,
        verdict=Verdict.CHANGED,
    ),
    FindingKind(
        key="margin_loss",
        level=Level.SHOW,
        says="About {area_mm2:.1f} mm² of the edge of the ear is missing against the start.",
        do="Show the ear to your vet; ring now if the edge is crusted, raw or bleeding.",
        vet="Pinnal margin: {area_mm2:.1f} mm² (u {area_u:.1f}) missing against the first photo.",
        could_be=("a bent ear tip", "hair lying differently", "an old bite or a nick"),
        rule="on an ear: beyond 2 u of its area and at least 0.15 mm² of it surely gone, seen in "
        "two photos or at two visits running",
        source=PRACTICE,
        verdict=Verdict.CHANGED,
    ),
    FindingKind(
        key="one_sided",
        level=Level.WATCH,
        says="This side shows {count:.0f} marks that the other side has not.",
        do=SHOW_VET,
        vet="Left against right: {details}.",
        could_be=(FRECKLE, "dirt", "a scratch", "a place the other photo does not show"),
        rule="a mark of at least 1 mm on one side and bare skin in its mirrored place, seen in two "
        "photos or at two visits running",
        source=PRACTICE,
    ),
    FindingKind(
        key="hands_on_now",
        level=Level.NOW,
        says="{told}",
        do="Ring your vet now, whatever the photos show.",
        vet="{vet}",
        could_be=(),
        rule="a yes to the question “{ask}”",
        source="the question's own",
    ),
    FindingKind(
        key="hands_on_show",
        level=Level.SHOW,
        says="{told}",
        do="Show it to your vet, whatever the photos show.",
        vet="{vet}",
        could_be=(),
        rule="a yes to the question “{ask}”",
        source="the question's own",
    ),
    FindingKind(
        key="odd_visit",
        level=Level.WATCH,
        says="This time the spot measures {what}, more than errors of one photo explain.",
        do=SECOND_PHOTO,
        vet="Last visit odd, not confirmed: {details}.",
        could_be=("a photo at a slant", "hair or dirt on the edge", "glare", "a true change"),
        rule="last visit beyond 3 u of the baseline, not confirmed",
        source=PRACTICE,
        verdict=Verdict.UNCONFIRMED,
    ),
    FindingKind(
        key="borderline",
        level=Level.NOTE,
        says="This time the spot measures {what}; one photo in twenty does so without any change.",
        do="Take a second photo now if the cat lets you; otherwise look again next week.",
        vet="Last visit beyond the smallest detectable change, not confirmed: {details}.",
        could_be=("chance", "a photo at a slant", "hair or dirt on the edge", "a true change"),
        rule="last visit between 1.96 and 3 u of the baseline, not confirmed",
        source="Bland JM, Altman DG (1996) BMJ 313:744",
        verdict=Verdict.UNCONFIRMED,
    ),
    FindingKind(
        key="other_odd",
        level=Level.NOTE,
        says="This time another measure of the spot is odd: {what}.",
        do="Take a second photo now if the cat lets you; otherwise look again next week.",
        vet="Last visit beyond the smallest detectable change, not confirmed: {details}.",
        could_be=("chance, where many measures are followed", "hair or dirt on the spot", *LIGHT),
        rule="last visit beyond 1.96 u of the baseline and the measure's floor, not confirmed; "
        "told by no other finding",
        source="Bland JM, Altman DG (1996) BMJ 313:744",
        verdict=Verdict.UNCONFIRMED,
    ),
    FindingKind(
        key="could_not_judge",
        level=Level.DOUBT,
        says="At the last visit {what} could not be judged: {why}.",
        do="Take another photo: square on, sharp, without glare, the sticker beside the spot.",
        vet="Not judged at the last visit: {details}.",
        could_be=(),
        rule="a measure is missing, or its error hides even a doubling",
        source=PRACTICE,
        verdict=Verdict.UNKNOWN,
    ),
)
FINDINGS: dict[str, FindingKind] = {kind.key: kind for kind in KINDS}


def finding(key: str, visit: int, evidence: Mapping[str, float | str]) -> Finding:
    """The registered statement ``key`` on a visit, its sentences filled from the evidence."""
    kind = FINDINGS[key]
    return Finding(
        key=key,
        level=kind.level,
        visit=visit,
        says=kind.says.format(**evidence),
        do=kind.do,
        vet=kind.vet.format(**evidence),
        could_be=kind.could_be,
        evidence=dict(evidence),
    )
