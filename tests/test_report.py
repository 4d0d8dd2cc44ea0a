"""A report says the same on paper and on the screen, whole, in order, and as words only."""

import base64
import hashlib
import io
import re
import subprocess
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from html.parser import HTMLParser
from itertools import combinations, pairwise
from math import exp

import numpy as np
import pypdf
import pytest
from PIL import Image

from lesioncompare.pipeline import follow_series
from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import (
    Alignment,
    Calibration,
    Circle,
    Light,
    Measurement,
    Outline,
    Photo,
    Reading,
    Series,
    Sticker,
)
from lesioncompare.registry import notice
from lesioncompare.report.album import album_of
from lesioncompare.report.axes import date_ticks, date_words, value_ticks
from lesioncompare.report.chart import ANSWERS, CHART, NOISE, REFUSED, draw_curves, legend
from lesioncompare.report.compose import compose
from lesioncompare.report.curves import curve
from lesioncompare.report.document import About, Document, Entry
from lesioncompare.report.drawing import Dot, Label
from lesioncompare.report.figures import SIGNS, decimals, figure, with_interval
from lesioncompare.report.html import as_html
from lesioncompare.report.pdf import as_pdf
from lesioncompare.report.sizes import pace, size_line
from lesioncompare.report.words import BORDER, CAUTION, COLOUR_COMPARED, SHORT_CAUTION, method
from lesioncompare.terms import Verdict, parse_site

HOSTILE = "=1+1 <script>alert(1)</script> </p>\"'&amp; {0} %s \\..\\/etc $x$ **b** `c` ]]> -->"
TURNED = "Mi\u202eez\x00\x07\n\tcat"  # a sign that turns the order of writing, and controls
START = datetime(2026, 4, 5, 17, 0)  # noqa: DTZ001  photos often do not know their zone
MADE = datetime(2026, 5, 25, 9, 0, tzinfo=UTC)
MM_PER_PX = 0.05
WORDS_PT = 0.6  # [pt] boxes of words may touch by rounding


def quantity(value: float, unit: str, u: float) -> Quantity:
    return Quantity(value, unit, (Component("border", u),), relative=unit.startswith("mm"))


def reading(week: int, area_mm2: float) -> Reading:
    """A photo of 800 by 600 pixels with a dark disc; the sticker's middle at (100, 300)."""
    radius = float(np.sqrt(area_mm2 / np.pi))
    px_to_mm = np.array([[MM_PER_PX, 0, -5.0], [0, MM_PER_PX, -15.0], [0, 0, 1.0]])
    y, x = np.mgrid[:600, :800]
    disc = np.hypot(x - 450, y - 300) * MM_PER_PX < radius
    rgb = np.where(disc[..., None], (70, 45, 42), (200, 140, 130)).astype(np.uint8)
    angle = np.linspace(0, 2 * np.pi, 80, endpoint=False)
    ring = np.column_stack([17.5 + radius * np.cos(angle), radius * np.sin(angle)])
    light = Light(np.ones(3), np.zeros(3), np.zeros(2), 0.5, steady=True)
    square = np.array([[-7.0, -7], [7, -7], [7, 7], [-7, 7]]) / MM_PER_PX + [100, 300]
    taken = START + timedelta(weeks=week)
    return Reading(
        photo=Photo(f"week {week}.jpg", f"{week:064x}", rgb, taken, "original, local time"),
        sticker=Sticker("printed", 14, 14.0, square, px_to_mm, 0.1, np.zeros((0, 6))),
        calibration=Calibration(px_to_mm, MM_PER_PX, 12.0, (Component("scale", 0.01),), light),
        circle=Circle(17.5, 0.0, radius),
        alignment=Alignment(np.eye(3), 0.05, 0.8, 1.0, 0.0 if not week else 0.01),
        outline=Outline(ring, ring, ring, 0.05),
        measurement=Measurement(
            {
                "area": quantity(area_mm2, "mm²", 0.03 * area_mm2),
                "longest_diameter": quantity(2 * radius, "mm", 0.05),
                "border_irregularity": quantity(0.05, "1", 0.02),
                "darkness": quantity(0.6, "1", 0.03),
                "redness": quantity(-0.08, "1", 0.02),
                "raw_red_fraction": quantity(0.0, "1", 0.01),
            },
            (35.0, 12.0, 9.0),
            (64.0, 18.0, 15.0),
            1.5,
        ),
        notices=(notice("no_date"),) if week == 2 else (),
    )


AREAS = (8.0, 8.1, 7.9, 9.5, 11.0, 13.0)  # [mm²]


def series_of(areas=AREAS, *, answers: bool = True) -> Series:
    readings = [reading(week, area) for week, area in enumerate(areas)]
    asked = dict.fromkeys(("raised", "broken", "crust", "sore", "smell", "swelling"), "no")
    given: dict[date, dict[str, str]] = {
        r.photo.taken.date(): {**asked, "smell": "yes" if week == 3 else "no"}
        for week, r in enumerate(readings)
    }
    if answers and readings:
        given[readings[-1].photo.taken.date()] |= {"raised": "yes", "one_sided": "unsure"}
    return follow_series(readings, site=parse_site("ear-left"), answers=given if answers else None)


def about(words: str = "Has it grown?") -> About:
    return About(
        cat=words,
        spot=words,
        made=MADE,
        particulars=("white coat", "born 2014"),
        question=words,
        entries=(Entry(MADE, words, "biopsy", words),),
        settings="0123456789ab",
        left_out=(Entry(MADE, words, "photo of 2026-04-20", words),),
    )


def document_of(series: Series, words: str = "Has it grown?") -> Document:
    return compose(series, about(words), album_of(series))


@pytest.fixture(scope="module")
def series() -> Series:
    return series_of()


@pytest.fixture(scope="module")
def document(series) -> Document:
    return document_of(series)


@pytest.fixture(scope="module", params=["a4", "letter"])
def paper(request, document) -> bytes:
    return as_pdf(document, paper=request.param)


@pytest.fixture(scope="module")
def poppler(program) -> Callable[..., str]:
    """What a program of another PDF library prints of a PDF."""

    def said(name: str, pdf: bytes, *flags: str) -> str:
        command = [program(name, package="poppler-utils"), *flags, "-", "-"]
        return subprocess.run(command, input=pdf, capture_output=True, check=True).stdout.decode()

    return said


def text_of(pdf: bytes) -> str:
    """The words of every page in the order of the file, by the pypdf package."""
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return "\n".join(page.extract_text() for page in pages)


def flat(words: str) -> str:
    return " ".join(words.split())


class TestPaper:
    def test_its_pages_are_of_that_size(self, document):
        """ISO 216 and ANSI/ASME Y14.1, in points of 1/72 inch; a point of rounding."""
        for name, size in (("a4", (595.3, 841.9)), ("letter", (612.0, 792.0))):
            for page in pypdf.PdfReader(io.BytesIO(as_pdf(document, paper=name))).pages:
                assert (page.mediabox.width, page.mediabox.height) == pytest.approx(size, abs=1)

    def test_another_paper_is_a_mistake(self, document):
        with pytest.raises(ValueError, match="paper"):
            as_pdf(document, paper="a5")

    def test_every_page_has_its_number_and_says_what_it_is_not(self, paper):
        pages = pypdf.PdfReader(io.BytesIO(paper)).pages
        for number, page in enumerate(pages, 1):
            words = flat(page.extract_text())
            assert f"page {number} of {len(pages)}" in words
            assert SHORT_CAUTION in words
        assert CAUTION in flat(pages[0].extract_text())

    def test_it_reads_in_order(self, document, paper, poppler):
        """Headings as the document has them, by two independent readers."""
        titles = [document.title, *(section.title for section in document.sections)]
        for words in (text_of(paper), poppler("pdftotext", paper)):
            places = [flat(words).index(title) for title in titles]
            assert places == sorted(places)

    def test_the_first_page_holds_what_five_minutes_need(self, paper):
        words = flat(pypdf.PdfReader(io.BytesIO(paper)).pages[0].extract_text())
        for wanted in (
            *("left pinna", "Has it grown?", "First and last photo", "Area over time"),
            *("Findings", "What the keeper felt and saw", "Keeper reports the spot raised"),
            "5 Apr 2026",
        ):
            assert wanted in words

    def test_the_size_now_and_at_first_leads_the_findings(self, series, paper):
        words = flat(pypdf.PdfReader(io.BytesIO(paper)).pages[0].extract_text())
        assert f"Findings Size on {size_line(series)}." in words

    def test_every_number_of_every_visit_is_in_it(self, series, paper):
        words = flat(text_of(paper))
        for one in series.readings:
            for name in ("area", "longest_diameter"):
                assert flat(with_interval(one.measurement.quantities[name])) in words
            assert one.photo.sha256 in words.replace(" ", "")

    def test_nothing_is_cut_and_no_words_lie_on_others(self, paper, poppler):
        """Boxes of words by poppler: inside the page's margins, none over another."""
        for page in re.findall(r"<page.*?</page>", poppler("pdftotext", paper, "-bbox"), re.DOTALL):
            width, height = map(float, re.search(r'width="(.*?)" height="(.*?)"', page).groups())
            found = re.findall(r'xMin="(.*?)" yMin="(.*?)" xMax="(.*?)" yMax="(.*?)"', page)
            boxes = np.array(found, float)
            assert len(boxes) > 20
            assert boxes.min() > 20
            assert boxes[:, 2].max() < width - 20
            assert boxes[:, 3].max() < height - 10
            middle = (boxes[:, 1] + boxes[:, 3]) / 2
            for a, b in combinations(range(len(boxes)), 2):
                wide = min(boxes[a, 2], boxes[b, 2]) - max(boxes[a, 0], boxes[b, 0])
                # a box is a whole line high, so lines are told apart by their middle
                apart = abs(middle[a] - middle[b]) > 0.5 * (boxes[a, 3] - boxes[a, 1])
                assert wide < WORDS_PT or apart, (found[a], found[b])

    def test_its_fonts_are_inside(self, paper):
        fonts = [
            font.get_object()
            for page in pypdf.PdfReader(io.BytesIO(paper)).pages
            for font in page["/Resources"]["/Font"].values()
        ]
        assert fonts
        for font in fonts:
            descriptor = font["/DescendantFonts"][0].get_object()["/FontDescriptor"]
            assert "/FontFile2" in descriptor

    def test_it_is_small(self, paper):
        assert len(paper) < 4_000_000

    def test_words_stay_words(self, series):
        pdf = as_pdf(document_of(series, HOSTILE))
        assert flat(text_of(pdf)).count("<script>alert(1)</script>") >= 4
        raw = b"".join(
            page.get_contents().get_data() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages
        )
        for sign in (b"/JavaScript", b"/JS", b"/URI", b"/Launch"):
            assert sign not in pdf
            assert sign not in raw
        opened = pypdf.PdfReader(io.BytesIO(pdf)).trailer["/Root"]["/OpenAction"]
        assert isinstance(opened, pypdf.generic.ArrayObject)  # a page to show, nothing to do

    def test_signs_that_print_nothing_or_turn_others_go(self, series):
        words = text_of(as_pdf(document_of(series, TURNED)))
        assert "Mi ez cat" in flat(words)
        assert not set(words) & {"\u202e", "\x00", "\x07"}

    def test_a_sign_the_font_lacks_leaves_a_stand_in(self, series):
        assert "\N{REPLACEMENT CHARACTER}" in text_of(as_pdf(document_of(series, "猫 Miez")))

    def test_a_word_without_end_is_broken_not_cut(self, series):
        long = "x" * 400
        assert long in re.sub(r"\s", "", text_of(as_pdf(document_of(series, long))))

    def test_printed_in_grey_it_says_as_much(self, paper, tmp_path, program):
        """Outside the photos and patches no pixel has a colour, so grey loses nothing."""
        subprocess.run(
            [
                program("pdftoppm", package="poppler-utils"),
                "-r",
                "40",
                "-png",
                "-",
                str(tmp_path / "page"),
            ],
            input=paper,
            check=True,
        )
        pages = [Image.open(file) for file in sorted(tmp_path.glob("page*.png"))]
        shares = [np.ptp(np.asarray(p.convert("RGB"), int), axis=2) > 24 for p in pages]
        assert len(shares) >= 3
        assert 0.02 < shares[0].mean() < 0.25  # the two photos
        assert shares[-1].mean() < 0.02


class Page(HTMLParser):
    """The tags of a page in order, with their facts, and its words."""

    def __init__(self, html: bytes) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.words: list[str] = []
        self.script = ""
        self._inside: list[str] = []
        self.feed(html.decode())

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag in {"script", "style"}:
            self._inside.append(tag)

    def handle_endtag(self, tag):
        if self._inside and tag == self._inside[-1]:
            self._inside.pop()

    def handle_data(self, data):
        if not self._inside:
            self.words.append(data)
        elif self._inside[-1] == "script":
            self.script += data

    def all(self, *names: str) -> list[dict[str, str]]:
        return [facts for tag, facts in self.tags if tag in names]


@pytest.fixture(scope="module")
def page(document) -> Page:
    return Page(as_html(document))


class TestPage:
    def test_it_says_the_same_as_the_paper(self, document, page, paper):
        printed, shown = flat(text_of(paper)), flat(" ".join(page.words))
        for section in document.sections:
            assert section.title in printed
            assert section.title in shown

    def test_it_says_what_it_is_not_at_both_ends(self, page):
        words = flat(" ".join(page.words))
        assert words.count(CAUTION) == 2
        assert words.index(CAUTION) < 400
        assert words.rindex(CAUTION) > len(words) - 600

    def test_its_headings_go_down_one_by_one(self, page):
        levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch(r"h\d", tag)]
        assert levels[0] == 1
        assert levels.count(1) == 1
        assert all(after <= before + 1 for before, after in pairwise(levels))

    def test_it_can_be_heard(self, page):
        assert page.all("html")[0]["lang"] == "en"
        assert all(facts["scope"] in {"col", "row"} for facts in page.all("th"))
        images = page.all("img")
        assert len(images) == 2 + len(AREAS)  # first and last, then all
        assert all("left pinna" in facts["alt"] for facts in images)
        assert page.all("main")

    def test_the_strip_shows_every_photo_and_the_viewer_gets_each_once(self, page):
        alts = [facts["alt"] for facts in page.all("img")]
        assert alts[:2] == [alts[2], alts[-1]]
        assert len(set(alts[2:])) == len(AREAS)
        numbers = [f["data-number"] for f in page.all("figure") if "data-number" in f]
        assert sorted(numbers) == [str(number) for number in range(len(AREAS))]

    def test_it_asks_for_nothing_from_elsewhere(self, page):
        for _, facts in page.tags:
            for name in ("src", "href", "action", "data"):
                assert facts.get(name, "data:").startswith(("data:", "#"))
        html = " ".join(str(facts) for _, facts in page.tags)
        assert "http://" not in html
        assert "https://" not in html

    def test_only_its_own_script_may_run(self, page):
        """The hash of the script by Content Security Policy Level 3, 2.3.1."""
        policy = next(f["content"] for f in page.all("meta") if "http-equiv" in f)
        digest = base64.b64encode(hashlib.sha256(page.script.encode()).digest()).decode()
        assert f"script-src 'sha256-{digest}';" in policy
        assert "default-src 'none'" in policy
        assert len(page.all("script")) == 1

    def test_words_stay_words(self, series, page):
        hostile = Page(as_html(document_of(series, HOSTILE)))
        assert [tag for tag, _ in hostile.tags] == [tag for tag, _ in page.tags]
        assert hostile.script == page.script
        assert " ".join(hostile.words).count("<script>alert(1)</script>") >= 4

    def test_it_is_small(self, document):
        assert len(as_html(document)) < 4_000_000


class TestAnySeries:
    @pytest.mark.parametrize("count", [0, 1, 2])
    def test_a_short_series_has_a_report_too(self, count):
        document = document_of(series_of(AREAS[:count], answers=False))
        assert "What the keeper felt and saw" in text_of(as_pdf(document))
        assert b"not known. Please ask" in as_html(document)

    def test_photos_that_were_refused_are_named_with_the_reason(self):
        good = series_of()
        bad = replace(
            good.readings[2],
            measurement=None,
            outline=None,
            alignment=None,
            notices=(notice("blurred_badly", **_facts("blurred_badly")),),
        )
        readings = (*good.readings[:2], bad, *good.readings[3:])
        series = follow_series(readings, site=good.site)
        words = flat(text_of(as_pdf(document_of(series))))
        assert "Refused by the program" in words
        assert "5 of 6 photos usable" in words

    def test_a_long_series_stays_small(self):
        long = series_of([8 + 0.05 * week for week in range(40)])
        document = document_of(long)
        assert len(as_html(document)) < 4_000_000
        assert len(as_pdf(document)) < 4_000_000


def _facts(key: str) -> dict[str, float]:
    """A number for every field of a notice's sentences."""
    from lesioncompare.registry.notices import NOTICES

    kind = NOTICES[key]
    fields = re.findall(r"{(\w+)", kind.says + kind.do + kind.vet)
    return dict.fromkeys(fields, 1.0)


class TestCurve:
    def test_it_starts_with_the_first_visit_and_follows_the_level(self, series):
        found = curve(series, "area")
        assert found.points[0].value == pytest.approx(8.0)
        for point, change in zip(found.points[1:], series.changes["area"], strict=True):
            assert point.value == pytest.approx(8.0 * exp(change.course.level))
        # the last visit's interval leaves out the baseline where that of its difference does nought
        assert change.low > 0
        assert point.low / found.baseline == pytest.approx(exp(change.low))

    def test_a_measure_that_no_visit_has_has_none(self, series):
        assert curve(series, "perimeter") is None

    def test_each_verdict_has_a_mark_of_its_own(self, series):
        marks = set()
        for verdict in Verdict:
            found = curve(series, "area")
            point = replace(found.points[-1], verdict=verdict)
            drawn = draw_curves(series, [replace(found, points=(point,))], width=180, panel=30)
            dots = [s for s in drawn.shapes if isinstance(s, Dot) and s.radius > 0.9]
            marks.add((dots[0].hollow, dots[0].square))
        assert len(marks) == len(Verdict)

    def test_the_keepers_answers_lie_on_the_same_axis(self, series):
        drawn = draw_curves(series, [curve(series, "area")], width=180, panel=30)
        words = [s.words for s in drawn.shapes if isinstance(s, Label)]
        assert "raised to the touch" in words
        assert "broken or bleeding" not in words
        last = max(s.at[0] for s in drawn.shapes if isinstance(s, Dot))
        for letter in "Y?":
            at = [s.at[0] for s in drawn.shapes if isinstance(s, Label) and s.words == letter]
            assert max(at) == pytest.approx(last)

    def test_nothing_is_drawn_beside_the_sheet(self, series):
        drawn = draw_curves(series, [curve(series, "area")], width=180, panel=30)
        for shape in drawn.shapes:
            places = getattr(shape, "places", None) or (shape.at,)
            for x, y in places:
                assert 0 <= x <= drawn.width
                assert 0 <= y <= drawn.height

    def test_the_legend_speaks_of_the_curves_that_are_drawn(self, series):
        """The change of colour is a distance: no chart judges it."""
        size, colour = curve(series, "area"), curve(series, "colour_de00")
        assert CHART in legend(series, [size])
        assert NOISE not in legend(series, [size])
        assert NOISE in legend(series, [colour])
        assert CHART not in legend(series, [colour])
        both = legend(series, [size, colour])
        assert CHART in both
        assert NOISE in both

    def test_the_legend_speaks_of_answers_and_refused_photos_only_where_there_are(self, series):
        silent = series_of(answers=False)
        assert ANSWERS in legend(series, [curve(series, "area")])
        assert ANSWERS not in legend(silent, [curve(silent, "area")])
        assert REFUSED not in legend(silent, [curve(silent, "area")])
        lost = replace(silent.readings[1], measurement=None)
        refused = replace(silent, readings=(silent.readings[0], lost, *silent.readings[2:]))
        assert REFUSED in legend(refused, [curve(silent, "area")])

    def test_no_answer_looks_like_a_verdict(self):
        signs = set(ANSWERS.split(":")[1].split())
        assert not signs & set(SIGNS.values())


class TestSize:
    def test_last_then_first_to_a_tenth(self, series):
        """A disc's diameter is 2 √(area / π)."""
        assert size_line(series) == (
            "10 May 2026: 4.1 mm, 13.0 mm² (5 Apr 2026: 3.2 mm, 8.0 mm²), "
            "each photo by its own sticker"
        )

    def test_both_diameters_where_both_were_measured(self):
        one = reading(0, 8.0)
        sizes = {**one.measurement.quantities, "perpendicular_diameter": quantity(2.5, "mm", 0.05)}
        measured = replace(one.measurement, quantities=sizes)
        series = follow_series([replace(one, measurement=measured)], site=parse_site("nose"))
        assert size_line(series) == "5 Apr 2026: 3.2 × 2.5 mm, 8.0 mm²"

    def test_fast_weeks_before_a_pause_are_not_hidden_by_the_mean(self):
        """8 to 11 mm² is +37.5 %, by a scale of each photo that is sure to 1 %."""
        paused = series_of((8.0, 8.0, 8.0, 8.0, 11.0, 14.0, 14.0, 14.0))
        growth = next(f for f in paused.findings if "growth" in f.key)
        words = pace(paused, growth)
        assert words.startswith("a mean over 49 days; last interval, 17 May 2026 to 24 May 2026: ")
        last, steepest = (float(n) for n in re.findall(r": ([+\N{MINUS SIGN}\d]+) %", words))
        assert last == pytest.approx(0, abs=3)
        assert steepest == pytest.approx(37.5, abs=3)
        assert "steepest of 7, 26 Apr 2026 to 3 May 2026" in words

    def test_a_last_interval_that_is_the_steepest_is_said_once(self):
        late = series_of((8.0, 8.0, 8.0, 8.0, 10.0, 14.0))
        growth = next(f for f in late.findings if "growth" in f.key)
        assert "last interval, the steepest of 5, 3 May 2026 to 10 May" in pace(late, growth)

    def test_no_pace_goes_with_a_finding_that_states_no_rate(self, series):
        without = [f for f in series.findings if "growth" not in f.key]
        assert without
        assert not any(pace(series, finding) for finding in without)

    def test_of_nothing_measured_there_is_none(self):
        assert size_line(series_of(())) == ""


class TestMethod:
    def test_a_round_dot_has_no_grey_fields(self, series):
        dots = tuple(replace(r, sticker=replace(r.sticker, kind="round")) for r in series.readings)
        said = " ".join(method(replace(series, readings=dots)))
        assert "round dot" in said
        assert "grey fields" not in said
        assert "grey fields" in " ".join(method(series))
        assert "round dot" not in " ".join(method(series))

    def test_nothing_is_said_of_comparing_before_anything_is_compared(self):
        said = " ".join(method(series_of(AREAS[:1])))
        assert "laid over" not in said
        assert "EWMA" not in said

    def test_border_irregularity_is_explained_where_it_was_measured(self, series):
        assert BORDER in method(series)
        assert BORDER in method(series_of(AREAS[:1]))
        assert BORDER not in method(series_of(()))

    def test_colour_is_named_where_it_was_compared(self, series):
        assert COLOUR_COMPARED in method(series)
        sizes = {name: c for name, c in series.changes.items() if name != "colour_de00"}
        assert COLOUR_COMPARED not in method(replace(series, changes=sizes))


class TestFigures:
    @pytest.mark.parametrize(
        ("spread", "places"), [(0.012, 3), (0.2, 2), (0.3, 1), (1.0, 1), (4.0, 0), (30.0, 0)]
    )
    def test_digits_follow_the_error(self, spread, places):
        """Two digits of an uncertainty that starts with 1 or 2, else one (JCGM 100:2008, 7.2.6)."""
        assert decimals(spread) == places

    def test_a_nought_has_no_sign_and_a_minus_is_one(self):
        assert figure(-0.001, 1, "+") == "0.0"
        assert figure(-2.5, 1) == "\N{MINUS SIGN}2.5"

    def test_ticks_are_round_and_inside(self):
        assert value_ticks(0, 18.5) == [0, 5, 10, 15]
        assert value_ticks(0.38, 0.92)[0] == pytest.approx(0.4)

    @pytest.mark.parametrize("days", [0, 6, 49, 120, 400, 1500, 5000])
    def test_dates_are_few_and_inside(self, days):
        first = date(2026, 1, 20)
        ticks = date_ticks(first, first + timedelta(days=days))
        assert 1 <= len(ticks) <= 8
        assert all(first <= t <= first + timedelta(days=days) for t in ticks)
        assert len(date_words(ticks)) == len(ticks)
