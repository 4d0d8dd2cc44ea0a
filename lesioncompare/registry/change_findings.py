"""Statements on measured change: size, border, colour and other measures."""

from lesioncompare.registry.kinds import FindingKind
from lesioncompare.terms import Level, Verdict

NEXT_WEEK = (
    "Take the next photo in a week. A sore that does not heal, bleeds or crusts again, and a spot "
    "you can feel, go to the vet whatever the photos say."
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

CHANGES_MEASURED = (
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
)
