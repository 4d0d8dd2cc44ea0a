"""The pages after the first: every number of every visit, how it came about, and its limits."""

from collections.abc import Sequence

from lesioncompare import __version__
from lesioncompare.quantity import COVERAGE_95
from lesioncompare.records import Change, Reading, Series
from lesioncompare.registry.findings import FINDINGS
from lesioncompare.registry.questions import QUESTIONS
from lesioncompare.report.album import Album, day_words
from lesioncompare.report.chart import draw_curves, legend
from lesioncompare.report.curves import CURVES, curve
from lesioncompare.report.document import (
    About,
    Block,
    Entry,
    Facts,
    Figure,
    Lines,
    Paragraph,
    Patch,
    Patches,
    Pictures,
    Section,
    Table,
    plain,
)
from lesioncompare.report.figures import NONE, detectable, figure, with_interval, with_verdict
from lesioncompare.report.overview import WIDTH_MM, curve_words, refused
from lesioncompare.report.words import LIMITS, method
from lesioncompare.science.colour import lab_to_srgb
from lesioncompare.terms import short_day

PANEL_MM = 19.0  # [mm] height of a further curve
STRIP = 8  # [1] pictures in the strip
MEASURED = (  # measure, heading, factor
    ("area", "area\n[mm²]", 1),
    ("longest_diameter", "longest\n[mm]", 1),
    ("perpendicular_diameter", "perpen-\ndicular [mm]", 1),
    ("border_irregularity", "border\nirregularity", 1),
    ("edge_width", "edge width\n[mm]", 1),
    ("contrast_de00", "against\nskin [ΔE00]", 1),
    ("darkness", "darkness\n[density]", 1),
    ("redness", "redness\n[density]", 1),
    ("raw_red_fraction", "raw red\n[%]", 100),
    ("crust_fraction", "crust\n[%]", 100),
)
LONG = {"border_irregularity": 1.35, "edge_width": 1.2, "redness": 1.25}  # [1] wider than others
SHARES = {"raw_red_fraction", "crust_fraction"}  # never below nothing
COMPARED = (
    ("area", "area\n[%]"),
    ("longest_diameter", "longest\n[%]"),
    ("border_irregularity", "border\nirregularity"),
    ("darkness", "darkness\n[density]"),
    ("redness", "redness\n[density]"),
    ("colour_de00", "colour\n[ΔE00]"),
)


def all_photos(album: Album | None) -> list[Section]:
    """The strip of aligned photos."""
    if album is None or len(album.frames) < 3:
        return []
    last = len(album.frames) - 1
    count = min(STRIP, len(album.frames))
    shown = tuple(round(i * last / (count - 1)) for i in range(count))
    block = Pictures(album.frames, shown, album.side_px, album.mm_per_px, "")
    return [Section("The series, each photo laid over the first", (block,))]


def other_curves(series: Series) -> list[Section]:
    """Diameter, border, colour and surface over time."""
    found = [c for name in CURVES[1:] if (c := curve(series, name)) is not None]
    found = [c for c in found if any(p.value for p in c.points) or c.measure in CURVES[:5]]
    if not found:
        return []
    drawing = draw_curves(series, found, width=WIDTH_MM, panel=PANEL_MM)
    words = " ".join(curve_words(c) for c in found)
    figure = Figure(drawing, legend(series, found), words)
    return [Section("Diameter, border, colour and surface over time", (figure,))]


def measures(series: Series) -> Section:
    """Every photo's measures with their 95 % intervals."""
    shown = [
        (name, heading, times)
        for name, heading, times in MEASURED
        if any(r.measurement and name in r.measurement.quantities for r in series.readings)
    ]
    rows = tuple(
        (
            day_words(reading) + ("" if reading.usable else "\nnot used"),
            *(
                with_interval(
                    reading.measurement.quantities.get(name), times=times, share=name in SHARES
                )
                for name, _, times in shown
            ),
        )
        for reading in series.readings
        if reading.measurement is not None
    )
    if not rows:
        return Section("Measures", (Paragraph("No photo could be measured."),), new_page=True)
    headings = ("photo of", *(heading for _, heading, _ in shown))
    caption = "Each photo by itself, on the ruler of its own sticker; below each value its 95 % "
    caption += "interval. “Density” is optical density over the skin beside the spot."
    widths = (1.3, *(LONG.get(name, 1.0) for name, _, _ in shown))
    table = Table(caption, headings, rows, widths, small=True)
    return Section("Every visit’s measures", (table,), new_page=True)


def changes(series: Series) -> list[Section]:
    """Every visit against the baseline."""
    by_visit = {
        name: {change.visit: change for change in series.changes.get(name, ())}
        for name, _ in COMPARED
    }
    rows = tuple(
        (_day(series, i), *_compared(by_visit, i))
        for i in range(len(series.visits))
        if any(i in found for found in by_visit.values())
    )
    if not rows:
        return []
    headings = ("visit of", "area: smallest\ndetectable [%]", *(h for _, h in COMPARED))
    caption = (
        "Against the baseline (the first visits, on both rulers), below each difference its 95 % "
        "interval. ● no change measured  ■ changed  ○ odd once, not confirmed  □ cannot tell."
    )
    table = Table(caption, headings, rows, (1.1, 1.25, *[1.0] * len(COMPARED)), small=True)
    return [Section("What changed", (table,))]


def _day(series: Series, visit: int) -> str:
    when = series.visits[visit].when
    return short_day(when)


def _compared(by_visit: dict[str, dict[int, Change]], visit: int) -> list[str]:
    area = by_visit["area"].get(visit)
    return [detectable(area), *(with_verdict(by_visit[n].get(visit)) for n, _ in COMPARED)]


def quality(series: Series) -> Section:
    """How good each photo was, and how far both its rulers go."""
    rows = tuple(_quality(reading) for reading in series.readings)
    headings = (
        *("photo of", "used", "scale [µm/px]\n± 95 %", "tilt\n[°]", "border\n± 95 % [mm]"),
        *("skin ruler over\nsticker’s ± 95 %", "left over\n[mm]", "remarks"),
    )
    caption = (
        "Two rulers: the sticker gives the scale, with the 95 % error of one photo; the skin near "
        "the spot, laid over the first photo, gives lengths against the first photo’s. Where they "
        "differ by more than their errors, a remark says so. Left over: rms distance on skin."
    )
    widths = (1.15, 0.55, 1.3, 0.45, 0.95, 1.5, 0.8, 2.8)
    return Section("Photo quality and both rulers", (Table(caption, headings, rows, widths, True),))


def _quality(reading: Reading) -> tuple[str, ...]:
    calibration, outline, laid = reading.calibration, reading.outline, reading.alignment
    scale = tilt = border = skin = residual = NONE
    if calibration is not None:
        per_px = calibration.mm_per_px / reading.photo.stored_per_px
        share = 100 * COVERAGE_95 * calibration.mm_per_px_u / calibration.mm_per_px
        scale, tilt = f"{1000 * per_px:.1f} ± {share:.1f} %", f"{calibration.tilt_deg:.0f}"
    if outline is not None:
        border = f"{COVERAGE_95 * outline.border_u_mm:.2f}"
        border += "\nby hand" if outline.by == "person" else ""
    if laid is not None:
        first = laid.anatomical_scale_u == 0 and laid.anatomical_scale == 1
        reach = 100 * COVERAGE_95 * laid.anatomical_scale_u
        off = 100 * (laid.anatomical_scale - 1)
        skin = "first photo" if first else f"{figure(off, 1, '+')} ± {reach:.1f} %"
        residual = NONE if first else f"{laid.residual_mm:.2f}"
    notes = " ".join(plain(note.vet) for note in reading.notices) or "none"
    used = "yes" if reading.usable else "no"
    return day_words(reading), used, scale, tilt, border, skin, residual, notes


def rules(series: Series) -> list[Section]:
    """By which rule each finding was stated, and where the rule is from."""
    rows = []
    for finding in series.findings:
        kind = FINDINGS.get(finding.key)
        if kind is not None:
            asked = QUESTIONS.get(str(finding.evidence.get("question", "")))
            rule = kind.rule.replace("{ask}", asked.ask if asked else "asked")
            source = asked.source if asked else kind.source
            rows.append((finding.key.replace("_", " "), rule, source))
    if not rows:
        return []
    headings = ("finding", "rule", "source of the rule")
    table = Table("", headings, tuple(rows), (1.0, 4.0, 3.0), small=True)
    return [Section("Why each finding was stated", (table,))]


def not_used(series: Series, about: About) -> list[Section]:
    """What was refused or left out, and why."""
    blocks: list[Block] = []
    if rows := tuple(refused(series)):
        headings = ("photo of", "file", "why")
        blocks.append(Table("Refused by the program", headings, rows, (1.0, 2.0, 4.0), small=True))
    if about.left_out:
        blocks.append(_entries("Left out, by whom and why", about.left_out))
    return [Section("Not used, and why", tuple(blocks))] if blocks else []


def _entries(caption: str, entries: Sequence[Entry]) -> Table:
    rows = tuple(
        (
            short_day(e.when),
            plain(e.who),
            plain(e.kind),
            plain(e.words),
        )
        for e in entries
    )
    headings = ("when", "who", "what", "words")
    return Table(caption, headings, rows, (1.0, 1.2, 1.2, 4.6), small=True)


def entries(about: About) -> list[Section]:
    """What was written and decided."""
    if not about.entries:
        return []
    table = _entries("Nothing is overwritten; the latest word stands last.", about.entries)
    return [Section("Notes, decisions and results", (table,))]


def colours(series: Series) -> list[Section]:
    """A patch of the spot and of the skin beside it at each photo, with their numbers."""
    items = tuple(
        Patch(
            day_words(reading),
            _codes(reading.measurement.spot_lab),
            _codes(reading.measurement.skin_lab),
            (
                _lab(reading.measurement.spot_lab),
                _lab(reading.measurement.skin_lab),
                f"± {COVERAGE_95 * reading.measurement.colour_u:.1f}",
            ),
        )
        for reading in series.readings
        if reading.measurement is not None
    )
    if not items:
        return []
    lab, error = "L*  a*  b*", "95 % error of the\ndifference [ΔE00]"
    headings = ("photo of", "spot", lab, "skin", lab, error)
    caption = "Median colours under the sticker’s white (CIELAB, D65), each with its numbers."
    return [Section("Colours", (Patches(caption, headings, items),))]


def _codes(lab: tuple[float, float, float]) -> tuple[int, int, int]:
    red, green, blue = (int(code) for code in lab_to_srgb(lab))
    return red, green, blue


def _lab(lab: tuple[float, float, float]) -> str:
    return "  ".join(f"{part:.1f}" for part in lab)


def method_and_limits(series: Series, about: About) -> list[Section]:
    """How it came about, what it cannot do, and with which version and bytes."""
    hashes = tuple(
        (day_words(r), plain(r.photo.name), r.photo.sha256, r.photo.taken_basis)
        for r in series.readings
    )
    table = Table(
        "Each photo by the SHA-256 of its file: the same bytes give the same numbers.",
        ("photo of", "file", "SHA-256", "date from"),
        hashes,
        (1.0, 1.7, 4.3, 1.2),
        small=True,
    )
    made = about.made
    facts = Facts(
        (
            ("Program", f"lesioncompare {__version__}"),
            ("Settings", plain(about.settings) or "not known"),
            ("Made", short_day(made)),
        )
    )
    return [
        Section("Method", (Lines(method(series)),)),
        Section("Limits", (Lines(LIMITS),)),
        Section("Version and hashes", (facts, table)),
    ]
