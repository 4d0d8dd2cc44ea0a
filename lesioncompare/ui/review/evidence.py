"""What was found, the curves, the keeper's answers, and what was not used."""

import streamlit as st

from lesioncompare.records import Finding
from lesioncompare.registry.findings import FINDINGS
from lesioncompare.report.chart import draw_curves, legend
from lesioncompare.report.curves import CURVES, Curve, curve
from lesioncompare.report.document import Facts, Paragraph
from lesioncompare.report.drawing import as_svg
from lesioncompare.report.overview import answers, curve_words, refused
from lesioncompare.report.sizes import pace, size_line
from lesioncompare.report.words import LEVEL_WORDS
from lesioncompare.ui.components.aligned_pair import curve_sheet
from lesioncompare.ui.dates import local_day, on_day, short_day
from lesioncompare.ui.parts import plain
from lesioncompare.ui.review.case import Case
from lesioncompare.ui.texts import REVIEW

SMALL_MM = 95.0  # [mm] width of the curve beside the photos
WIDTH_MM, PANEL_MM = 190.0, 15.0  # [mm] of the drawing; it is shown as wide as the page
KINDS = {  # what a vet asks for -> measures
    "size": ("area", "longest_diameter"),
    "border": ("border_irregularity",),
    "colour": ("darkness", "redness", "colour_de00"),
    "surface": ("raw_red_fraction", "crust_fraction"),
}


def show_findings(case: Case) -> None:
    """The size, then every finding in the vet's words, with what else it could be."""
    st.header(REVIEW["findings"], anchor=False)
    if words := size_line(case.followed.series):
        st.write(plain(REVIEW["size"].format(words=words)))
    for finding in case.followed.series.findings:
        _finding(case, finding)
    if not case.followed.series.findings:
        st.write(REVIEW["no_findings"])


def _finding(case: Case, finding: Finding) -> None:
    visits = case.followed.series.visits
    level = LEVEL_WORDS[finding.level]
    if finding.visit != len(visits) - 1:
        day = on_day(local_day(visits[finding.visit].when))
        level += f" ({REVIEW['when'].format(date=day)})"
    with st.container(border=True):
        st.markdown(f"**{level}.** {plain(finding.vet)}")
        if words := pace(case.followed.series, finding):
            st.caption(plain(REVIEW["rate"].format(words=words)))
        if finding.could_be:
            st.caption(REVIEW["could_be"].format(things=plain("; ".join(finding.could_be))))
        kind = FINDINGS.get(finding.key)
        if kind is not None and "{" not in kind.rule:
            rule = REVIEW["rule"].format(rule=kind.rule, source=kind.source)
            st.caption(plain(rule))


def show_answers(case: Case) -> None:
    """The keeper's answers at the last visit, and what was yes before."""
    section = answers(case.followed.series, case.followed.unmeasured)
    st.header(REVIEW["answers"], anchor=False)
    for block in section.blocks:
        if isinstance(block, Facts):
            for name, words in block.pairs:
                st.markdown(f"**{plain(name)}:** {plain(words)}")
        elif isinstance(block, Paragraph):
            st.write(plain(block.words))


def show_main_curve(case: Case) -> None:
    """Area over time, small: on the first screen, beside the photos."""
    found = curve(case.followed.series, "area")
    if found is None or len(found.points) < 2:
        return
    drawing = draw_curves(case.followed.series, [found], width=SMALL_MM, panel=PANEL_MM)
    svg = as_svg(drawing, alt=curve_words(found), name="main")
    curve_sheet(svg, key=f"main-{case.spot.id}", label=found.title, small=True)


def show_curves(case: Case) -> None:
    """The curves over one time axis, the chart's limits and the keeper's answers with them."""
    st.header(REVIEW["curves"], anchor=False)
    series = case.followed.series
    found = [c for name in CURVES if (c := curve(series, name)) is not None and _tells(c)]
    if not found:
        st.write(REVIEW["no_curves"])
        return
    drawing = draw_curves(series, found, width=WIDTH_MM, panel=PANEL_MM)
    words = " ".join(curve_words(c) for c in found)
    names = ", ".join(c.title for c in found)
    alt = REVIEW["curves_alt"].format(names=names, words=words)
    svg = as_svg(drawing, alt=alt, name="curves")
    curve_sheet(svg, key=f"curves-{case.spot.id}", label=names)
    st.caption(plain(legend(series, found)))


def _tells(found: Curve) -> bool:
    """Whether a curve shows anything: of the surface, whether any was ever raw or crusted."""
    surface = found.measure in KINDS["surface"]
    return not surface or any(point.value > 0 for point in found.points)


def show_refused(case: Case) -> None:
    """The photos that were not used, who or what left them out, and why."""
    rows = [(*row, REVIEW["program"]) for row in refused(case.followed.series)]
    for entry in case.about.left_out:
        who = f"{entry.who}, {short_day(local_day(entry.when))}"
        rows.append((entry.kind, "", entry.words, who))
    if not rows:
        st.write(REVIEW["none_refused"])
        return
    columns = REVIEW["refused_columns"]
    st.table([dict(zip(columns, map(plain, row), strict=True)) for row in rows])
