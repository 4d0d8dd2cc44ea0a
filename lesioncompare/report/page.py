"""One page for a series: aligned photos with outlines, the curve of area, and what was found."""

import io
import textwrap

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.dates import date2num, num2date
from matplotlib.figure import Figure

from lesioncompare.records import Reading, Series
from lesioncompare.report.axes import date_ticks
from lesioncompare.report.pictures import Window, aligned_picture, outline_in, window_round
from lesioncompare.report.words import CAUTION, headline
from lesioncompare.terms import short_day

PAGE_IN = (8.27, 11.69)  # [inch] A4
MOST_PHOTOS = 8  # more are thinned evenly, first and last kept
SIDE_PX = 420
MARGIN_IN, GAP_IN = 0.6, 0.09  # [inch]
COLUMNS = 4
SIDE_IN = (PAGE_IN[0] - 2 * MARGIN_IN - (COLUMNS - 1) * GAP_IN) / COLUMNS
WORDS_IN, TITLE_IN, LABEL_IN, CURVE_IN = 1.15, 0.28, 0.45, 3.2
INK, LINE, PAPER = "#1c1c1c", "#0b3d91", "#ffffff"


def draw_page(series: Series) -> bytes:
    """The page as PNG bytes, A4 at 150 dpi."""
    figure = Figure(figsize=PAGE_IN, facecolor=PAPER)
    shown = _thinned([r for r in series.readings if r.usable])
    first = next((r for r in shown if r.alignment is not None and r.circle is not None), None)
    rows = -(-len(shown) // COLUMNS)
    height = rows * (SIDE_IN + TITLE_IN)
    _write(_axes(figure, 0.6, WORDS_IN), headline(series))
    if first is not None:
        window = window_round(first, SIDE_PX)
        for place, reading in enumerate(shown):
            row, column = divmod(place, COLUMNS)
            top = 0.6 + WORDS_IN + row * (SIDE_IN + TITLE_IN) + TITLE_IN
            left = MARGIN_IN + column * (SIDE_IN + GAP_IN)
            _show(_axes(figure, top, SIDE_IN, left, SIDE_IN), reading, window)
    top = 0.6 + WORDS_IN + height + 0.5
    wide = PAGE_IN[0] - 2 * MARGIN_IN - LABEL_IN
    _curve(_axes(figure, top, CURVE_IN, MARGIN_IN + LABEL_IN, wide), series)
    _write(_axes(figure, PAGE_IN[1] - 1.0, 0.7), CAUTION, size=8.5)
    FigureCanvasAgg(figure)
    page = io.BytesIO()
    figure.savefig(page, format="png", dpi=150)
    return page.getvalue()


def _axes(
    figure: Figure, top: float, height: float, left: float = MARGIN_IN, width: float | None = None
) -> Axes:
    """Axes placed from the top left corner of the page [inch]; as wide as the text if not told."""
    width = width or PAGE_IN[0] - 2 * MARGIN_IN
    across, down = PAGE_IN
    return figure.add_axes(
        (left / across, 1 - (top + height) / down, width / across, height / down)
    )


def _thinned(readings: list[Reading]) -> list[Reading]:
    """At most ``MOST_PHOTOS`` of them, evenly spread, with the first and the last."""
    if len(readings) <= MOST_PHOTOS:
        return readings
    step = (len(readings) - 1) / (MOST_PHOTOS - 1)
    return [readings[round(i * step)] for i in range(MOST_PHOTOS)]


def _write(axes: Axes, text: str, *, size: float = 11) -> None:
    """Plain wrapped text."""
    axes.axis("off")
    lines = [textwrap.fill(line, round(1020 / size)) for line in text.splitlines()]
    axes.text(0, 1, "\n".join(lines), va="top", size=size, color=INK, linespacing=1.45)


def _show(axes: Axes, reading: Reading, window: Window) -> None:
    """One aligned photo with the spot's border and a millimetre bar."""
    axes.axis("off")
    picture, border = aligned_picture(reading, window), outline_in(reading, window)
    if picture is None or border is None:
        axes.text(0.5, 0.5, "not aligned", ha="center", va="center", color=INK)
        return
    axes.imshow(picture, interpolation="antialiased")
    closed = [*range(len(border)), 0]
    axes.plot(*border[closed].T, color="white", lw=2.0, alpha=0.8)
    axes.plot(*border[closed].T, color="black", lw=0.9)
    bar = 2 / window.mm_per_px
    base, left = SIDE_PX * 0.94, SIDE_PX * 0.05
    for colour, thick, over in (("white", 5, 8), ("black", 3, 9)):
        axes.plot(
            [left, left + bar], [base] * 2, color=colour, lw=thick, zorder=over,
            solid_capstyle="butt",
        )  # fmt: skip
    axes.text(left, base - 8, "2 mm", size=7, color="black", backgroundcolor="#ffffffb0")
    axes.set_xlim(-0.5, SIDE_PX - 0.5)
    axes.set_ylim(SIDE_PX - 0.5, -0.5)
    taken = reading.photo.taken
    axes.set_title(taken.date().isoformat() if taken else reading.photo.name, size=8.5, color=INK)


def _curve(axes: Axes, series: Series) -> None:
    """Area over time with its 95 % interval."""
    points = [
        (date2num(r.photo.taken.replace(tzinfo=None)), r.measurement.quantities["area"])
        for r in series.readings
        if r.usable and r.measurement and r.photo.taken and "area" in r.measurement.quantities
    ]
    if not points:
        axes.axis("off")
        return
    days, areas = [d for d, _ in points], [a for _, a in points]
    axes.fill_between(
        days, [a.low for a in areas], [a.high for a in areas], color=LINE, alpha=0.18, lw=0,
        label="95 % interval of each photo",
    )  # fmt: skip
    axes.plot(days, [a.value for a in areas], "o-", color=LINE, ms=4, lw=1.2, label="area")
    ticks = date_ticks(num2date(days[0]).date(), num2date(days[-1]).date())
    axes.set_xticks([date2num(day) for day in ticks], [short_day(day) for day in ticks])
    axes.set_ylim(0, 1.15 * max(a.high for a in areas))
    axes.set_ylabel("area of the spot [mm²]")
    axes.spines[["top", "right"]].set_visible(False)
    axes.legend(frameon=False, fontsize=8, loc="lower left")
