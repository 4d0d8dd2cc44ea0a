"""The first page: whom and what, first and last photo, the main curve, findings, answers."""

from string import Formatter

from lesioncompare.records import Finding, Series, Visit
from lesioncompare.registry.findings import FINDINGS
from lesioncompare.registry.questions import NO, QUESTIONS, UNSURE, YES
from lesioncompare.report.album import Album, day_words
from lesioncompare.report.chart import SHORT, draw_curves, legend
from lesioncompare.report.curves import Curve, curve
from lesioncompare.report.document import (
    About,
    Block,
    Facts,
    Figure,
    Paragraph,
    Pictures,
    Section,
    Statement,
    Statements,
    plain,
)
from lesioncompare.report.sizes import pace, size_line
from lesioncompare.report.words import LEVEL_WORDS
from lesioncompare.terms import short_day

WIDTH_MM, MAIN_MM = 180.0, 24.0  # [mm] of a drawing; height of the main curve
NO_QUESTION = "none was written down"
LABELS = {
    "doubling": "doubling time",
    "month": "rate in 30 days",
    "month_low": "its lower 95 % limit",
    "month_high": "its upper 95 % limit",
    "median_month": "rate in 30 days, median of slopes",
    "trend_p": "rank test of trend, p",
}  # names of evidence that do not speak for themselves
WORDS_OF_SENTENCES = {"details", "what", "why", "parts", "told", "vet", "question", "answer"}


def facts(series: Series, about: About) -> Section:
    """The cat, the site, the question, and what there is of photos."""
    site = series.site
    usable = sum(r.usable for r in series.readings)
    place = f"{site.vet} ({site.keeper})" if site and site.vet != site.keeper else "not stated"
    if site and site.vet == site.keeper:
        place = site.vet
    cat = ", ".join(plain(p) for p in (about.cat, *about.particulars) if plain(p))
    simulated = " – simulated: no real animal" if about.simulated else ""
    pairs = (
        ("Cat", (cat or "not named") + simulated),
        ("Site", f"{place}; {plain(about.spot)}" if plain(about.spot) else place),
        ("Question", plain(about.question) or NO_QUESTION),
        ("Photos", f"{_period(series)}; {usable} of {len(series.readings)} photos usable"),
    )
    return Section("Whom and what", (Facts(pairs),))


def _period(series: Series) -> str:
    visits = series.visits
    if not visits:
        return "no visit that could be measured"
    first, last = visits[0].when, visits[-1].when
    words = short_day(first)
    if len(visits) == 1:
        return f"one visit, {words}"
    days = (last.replace(tzinfo=None) - first.replace(tzinfo=None)).days
    return f"{len(visits)} visits over {days} days, {words} to {short_day(last)}"


def first_and_last(album: Album | None) -> Section:
    """The first and the last aligned photo at one scale."""
    title = "First and last photo, at the same scale"
    if album is None or not album.frames:
        words = "No photo could be laid over another: see the photos and why they were refused."
        return Section(title, (Paragraph(words),))
    last = len(album.frames) - 1
    shown = (0, last) if last else (0,)
    caption = (
        "Laid over each other by the skin outside the spot, in steady colour. White and black "
        "line: border of the spot as measured."
    )
    if any(album.frames[number].mark for number in shown):
        caption += " Cross in a circle: place marked for a sample."
    return Section(title, (Pictures(album.frames, shown, album.side_px, album.mm_per_px, caption),))


def main_curve(series: Series) -> Section:
    """Area over time; where it is missing, the first curve there is."""
    found = curve(series, "area")
    if found is None:
        return Section("Area over time", (Paragraph("The area was measured at no visit."),))
    drawing = draw_curves(series, [found], width=WIDTH_MM, panel=MAIN_MM)
    figure = Figure(drawing, legend(series, [found]), curve_words(found))
    return Section("Area over time", (figure,))


def curve_words(found: Curve) -> str:
    """A curve for who cannot see it."""
    points = found.points
    first, last = points[0], points[-1]
    words = f"Curve of {found.title} at {len(points)} visits: {first.value:.3g} at first"
    if len(points) > 1:
        verdict = f", {last.verdict}" if last.verdict else ""
        words += f", {last.value:.3g} at last (95 %: {last.low:.3g} to {last.high:.3g}){verdict}"
    return f"{words}. Every number is in the tables."


def findings(series: Series) -> Section:
    """The size, then what is said of the series, in the vet's sentences."""
    size = [Paragraph(f"Size on {words}.")] if (words := size_line(series)) else []
    if not series.findings:
        words = "No finding applies so far. That is no word on health."
        return Section("Findings", (*size, Paragraph(words)))
    items = tuple(_statement(finding, series) for finding in series.findings)
    return Section("Findings", (*size, Statements(items)))


def _statement(finding: Finding, series: Series) -> Statement:
    parts = []
    if words := pace(series, finding):
        parts.append(("Growth rate", words))
    if evidence := _evidence(finding):
        parts.append(("More evidence", evidence))
    if finding.could_be:
        parts.append(("Could also be", "; ".join(finding.could_be)))
    level = LEVEL_WORDS[finding.level]
    if finding.visit != len(series.visits) - 1:
        when = series.visits[finding.visit].when
        level += f" (visit of {short_day(when)})"
    return Statement(level, plain(finding.vet), tuple(parts))


def _evidence(finding: Finding) -> str:
    """The numbers by their names, but for what the sentence says already."""
    kind = FINDINGS.get(finding.key)
    said = {name for _, name, _, _ in Formatter().parse(kind.vet)} if kind else set()
    words = []
    for name, value in finding.evidence.items():
        if name in said or name in WORDS_OF_SENTENCES:
            continue
        label, unit = name, ""
        for ending, sign in (("_percent", " %"), ("_mm2", " mm²"), ("_mm", " mm"), ("_days", " d")):
            if name.endswith(ending):
                label, unit = name.removesuffix(ending), sign
        figure = f"{value:.3g}" if isinstance(value, float | int) else plain(value)
        words.append(f"{LABELS.get(label, label.replace('_', ' '))} {figure}{unit}")
    return "; ".join(words)


def answers(series: Series, unmeasured: Visit | None = None) -> Section:
    """What the keeper felt and saw, at the last visit that was asked about.

    ``unmeasured`` is a later visit of which no photo could be measured.
    """
    title = "What the keeper felt and saw"
    visits = series.visits if unmeasured is None else (*series.visits, unmeasured)
    asked = [visit for visit in visits if visit.answers]
    if not asked:
        words = "The keeper’s answers to the hands-on questions are not known. Please ask."
        return Section(title, (Paragraph(words, strong=True),))
    last = asked[-1]
    day = short_day(last.when)
    blocks: list[Block] = [Facts(tuple(_by_answer(last)))]
    if last is unmeasured:
        blocks.append(Paragraph("No photo of that day could be measured.", strong=True))
    if earlier := _earlier(asked[:-1], last):
        blocks.append(Paragraph(earlier))
    return Section(f"{title}, {day}", tuple(blocks))


def _by_answer(visit: Visit) -> list[tuple[str, str]]:
    """The questions by their answer, yes in the vet's words."""
    known = {key: visit.answers.get(key) for key in QUESTIONS}
    yes = " ".join(QUESTIONS[key].vet for key, answer in known.items() if answer == YES)
    pairs = [("Yes", yes or "to nothing")]
    for label, wanted in (("Not sure", UNSURE), ("No", NO), ("Not answered", None)):
        asked = [SHORT[key] for key, answer in known.items() if answer == wanted]
        if asked:
            pairs.append((label, ", ".join(asked)))
    return pairs


def _earlier(visits: list[Visit], last: Visit) -> str:
    """What was answered with yes before and is no more."""
    before = {
        key: visit.when
        for visit in visits
        for key, answer in visit.answers.items()
        if answer == YES and last.answers.get(key) != YES and key in QUESTIONS
    }
    words = [f"{QUESTIONS[key].vet} (last on {short_day(when)})" for key, when in before.items()]
    return f"Earlier: {' '.join(words)}" if words else ""


def refused(series: Series) -> list[tuple[str, str, str]]:
    """Day, file and reason of each photo that could not be used."""
    rows = []
    for reading in series.readings:
        if reading.usable:
            continue
        reasons = [plain(n.vet) for n in reading.notices if n.level == "retake"]
        why = " ".join(reasons) or "It could not be measured."
        rows.append((day_words(reading), plain(reading.photo.name), why))
    return rows
