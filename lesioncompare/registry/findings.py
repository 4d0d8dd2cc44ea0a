"""Statements on a series: what changed, what to do, and what else it could be.

The sentences are for the keeper, ``vet`` for the vet; both may hold ``{name}`` fields that the
evidence fills. What a photo can never rule out is said with every sentence that might calm.
"""

from collections.abc import Mapping

from lesioncompare.records import Finding
from lesioncompare.registry.kinds import FindingKind
from lesioncompare.registry.surface_parts import RULE
from lesioncompare.terms import Level, Verdict

NEXT_WEEK = (
    "Take the next photo in a week. A sore that does not heal, bleeds or crusts again, and a spot "
    "you can feel, go to the vet whatever the photos say."
)
SECOND_PHOTO = (
    "Take a second photo now, with the sticker laid anew beside the spot; if it shows the same, "
    "the change counts."
)
SHOW_VET = "Show the series to your vet; go soon if the spot is raised, sore, crusted or bleeding."
CHARTED = (
    "confirmed by photos of one visit (each beyond 3 u), by two visits "
    "running (3 u), by the chart (EWMA, λ 0.3, beyond 3.8 u) or by a steady line (4 u); and {floor}"
)
CHARTS = "Roberts SW (1959) Technometrics 1:239–250; limits by simulation, docs/operating_point.md"
PRACTICE = "common practice, no source"
LIGHT = ("a reflection or glare", "a shadow or another lamp", "dirt or food on the skin")
FRECKLE = "a freckle that spreads, as in many orange, tortoiseshell and calico cats"

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
    FindingKind(
        key="growth",
        level=Level.WATCH,
        says="The spot has grown: its area is {percent:.0f} % larger than at the start (between "
        "{low_percent:.0f} and {high_percent:.0f} %).",
        do=SHOW_VET,
        vet="Area +{percent:.0f} % against the baseline (95 %: {low_percent:.0f} to "
        "{high_percent:.0f} %; smallest detectable {detectable_percent:.0f} %); specific growth "
        "rate {month_percent:.1f} % in 30 days ({month_low_percent:.1f} to "
        "{month_high_percent:.1f}).",
        could_be=(
            FRECKLE,
            "swelling after a scratch or a mosquito bite",
            "hair or dirt lying along the edge",
            "skin stretched more than before",
        ),
        rule=CHARTED.format(floor="at least 10 % in area"),
        source=CHARTS,
        verdict=Verdict.CHANGED,
    ),
    FindingKind(
        key="fast_growth",
        level=Level.SHOW,
        says="The spot has grown fast: its area is {percent:.0f} % larger than at the start "
        "(between {low_percent:.0f} and {high_percent:.0f} %).",
        do="Make an appointment with your vet and take the series along.",
        vet="Area +{percent:.0f} % against the baseline (95 %: {low_percent:.0f} to "
        "{high_percent:.0f} %; smallest detectable {detectable_percent:.0f} %); specific growth "
        "rate {month_percent:.1f} % in 30 days ({month_low_percent:.1f} to "
        "{month_high_percent:.1f}).",
        could_be=(FRECKLE, "swelling after a scratch or a mosquito bite", "a crust at the edge"),
        rule="growth, and at least 50 % over the baseline or, by the 95 % interval of the rate, "
        "doubling within 120 days",
        source=PRACTICE,
        verdict=Verdict.CHANGED,
    ),
    FindingKind(
        key="shrinking",
        level=Level.WATCH,
        says="The spot has become smaller: its area is {percent:.0f} % less than at the start "
        "(between {low_percent:.0f} and {high_percent:.0f} %).",
        do="Look whether a crust fell off or the skin healed, and take the next photo in a week.",
        vet="Area -{percent:.0f} % against the baseline (95 %: {low_percent:.0f} to "
        "{high_percent:.0f} %; smallest detectable {detectable_percent:.0f} %).",
        could_be=("a scratch, bite or swelling that heals", "a crust that fell off", "glare"),
        rule=CHARTED.format(floor="at least 10 % in area"),
        source=CHARTS,
        verdict=Verdict.CHANGED,
    ),
    FindingKind(
        key="border",
        level=Level.WATCH,
        says="The edge of the spot has become more uneven than at the start.",
        do=SHOW_VET,
        vet="Border changed against the baseline: {details}.",
        could_be=("hair across the edge", "a scratch", "dirt", "a second spot that joined it"),
        rule=CHARTED.format(floor="0.03 of border irregularity up, or 0.03 of solidity down"),
        source=CHARTS + "; border measure after Lee TK et al. (2003) Med Image Anal 7:47–64",
        verdict=Verdict.CHANGED,
    ),
    FindingKind(
        key="smoother",
        level=Level.NOTE,
        says="The edge of the spot has become smoother than at the start.",
        do=NEXT_WEEK,
        vet="Border changed against the baseline: {details}.",
        could_be=("a scratch or swelling that heals", "a crust that fell off", "hair now gone"),
        rule=CHARTED.format(floor="0.03 of border irregularity down, or 0.03 of solidity up"),
        source=CHARTS + "; border measure after Lee TK et al. (2003) Med Image Anal 7:47–64",
        verdict=Verdict.CHANGED,
    ),
    FindingKind(
        key="darker",
        level=Level.WATCH,
        says="The spot has become darker against the skin beside it than at the start.",
        do=SHOW_VET,
        vet="Luminance density over skin {difference:+.3f} (95 %: {low:+.3f} to {high:+.3f}); "
        "colour moved by ΔE00 {de00:.1f}.",
        could_be=("a freckle that darkens", "a dried crust", *LIGHT),
        rule=CHARTED.format(floor="at least 0.05 of density"),
        source=CHARTS,
        verdict=Verdict.CHANGED,
    ),
    FindingKind(
        key="lighter",
        level=Level.WATCH,
        says="The spot has become lighter against the skin beside it than at the start.",
        do="Look at it in daylight, and take the next photo in a week.",
        vet="Luminance density over skin {difference:+.3f} (95 %: {low:+.3f} to {high:+.3f}); "
        "colour moved by ΔE00 {de00:.1f}.",
        could_be=("a crust that fell off", "redness of the skin beside it", *LIGHT),
        rule=CHARTED.format(floor="at least 0.05 of density"),
        source=CHARTS,
        verdict=Verdict.CHANGED,
    ),
    FindingKind(
        key="redder",
        level=Level.WATCH,
        says="The spot has become redder against the skin beside it than at the start.",
        do=SHOW_VET,
        vet="Red–green density over skin {difference:+.3f} (95 %: {low:+.3f} to {high:+.3f}); "
        "colour moved by ΔE00 {de00:.1f}.",
        could_be=("a scratch or rubbing", "a mosquito bite", "a warm, flushed cat", *LIGHT),
        rule=CHARTED.format(floor="at least 0.04 of density"),
        source=CHARTS,
        verdict=Verdict.CHANGED,
    ),
    FindingKind(
        key="less_red",
        level=Level.NOTE,
        says="The spot has become less red against the skin beside it than at the start.",
        do=NEXT_WEEK,
        vet="Red–green density over skin {difference:+.3f} (95 %: {low:+.3f} to {high:+.3f}); "
        "colour moved by ΔE00 {de00:.1f}.",
        could_be=("a scratch or bite that heals", "redness of the skin beside it", *LIGHT),
        rule=CHARTED.format(floor="at least 0.04 of density"),
        source=CHARTS,
        verdict=Verdict.CHANGED,
    ),
    FindingKind(
        key="colour",
        level=Level.WATCH,
        says="The colour of the spot has changed against the skin beside it since the start.",
        do=SHOW_VET,
        vet="Colour moved by ΔE00 {de00:.1f} (95 %: {low:.1f} to {high:.1f}) against the baseline, "
        "skin as reference.",
        could_be=LIGHT,
        rule="two visits running, or all photos of one, beyond 99.7 % of noise in one direction, "
        "and at least 4 ΔE00 after the noise is taken off",
        source="Sharma G et al. (2005) Color Res Appl 30:21–30; the rule is " + PRACTICE,
        verdict=Verdict.CHANGED,
    ),
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
        key="other_change",
        level=Level.NOTE,
        says="Another measure of the spot has changed since the start: {what}.",
        do=NEXT_WEEK,
        vet="Changed against the baseline, beside size, border and colour: {details}.",
        could_be=("chance, where many measures are followed", "hair or dirt on the spot", *LIGHT),
        rule=CHARTED.format(floor="at least the measure's floor; told by no other finding"),
        source=CHARTS,
        verdict=Verdict.CHANGED,
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
