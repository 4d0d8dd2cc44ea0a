"""How right the program is on unseen phantom photographs, beside general-purpose libraries.

Run from the root of the checkout (about half a minute a pair, peers included):

    .venv/bin/python -m benchmarks.measurement --pairs 40 --kept out/measurement

Prints the tables of docs/benchmark.md. Pictures are kept in the folder and used again.
"""

import argparse
import io
import platform
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from importlib.metadata import version
from pathlib import Path

import cv2
import numpy as np
from matplotlib.path import Path as Polygon
from numpy.typing import NDArray
from PIL import Image

from benchmarks import peers
from benchmarks.photographs import Pair, pair
from lesioncompare.compare import change_from_first
from lesioncompare.design import DICTIONARY, MARKER_SIDE, SIZES_MM
from lesioncompare.measure.form import form_measures
from lesioncompare.phantom import Snapshot, Truth
from lesioncompare.pipeline import examine_photo
from lesioncompare.quantity import COVERAGE_95
from lesioncompare.records import Reading, Seed
from lesioncompare.science.plane import apply_homography
from lesioncompare.science.shape import area, diameters

NOW = datetime(2026, 6, 1)  # noqa: DTZ001  a photo's own clock has no zone
PEER_PX_PER_MM = 20.0
LOST = 0.5  # [1] Dice below which a spot counts as lost
WRONG_MM = 1.0
SIZES = ("area", "longest_diameter", "perpendicular_diameter", "perimeter")
BORDER = ("circularity", "solidity", "border_irregularity", "asymmetry")
Points = NDArray[np.float64]


@dataclass
class Table:
    """Figures by row and column, printed as medians with a second figure."""

    title: str
    rows: dict[str, dict[str, list[float]]] = field(
        default_factory=lambda: defaultdict(lambda: defaultdict(list))
    )

    def add(self, row: str, column: str, value: float) -> None:
        """One more figure."""
        self.rows[row][column].append(float(value))

    def show(self, columns: dict[str, Callable[[NDArray], str]]) -> None:
        """The table as Markdown."""
        print(f"\n### {self.title}\n\n| |", " | ".join(columns), "|")
        print("|---" * (len(columns) + 1) + "|")
        for row, found in self.rows.items():
            cells = [
                how(np.array(found[name])) if found[name] else "" for name, how in columns.items()
            ]
            print(f"| {row} |", " | ".join(cells), "|")


def median(scale: float = 1, unit: str = "") -> Callable[[NDArray], str]:
    """Median and 90th percentile of absolute values."""
    return lambda v: (
        f"{scale * np.nanmedian(abs(v)):.3g} / {scale * np.nanpercentile(abs(v), 90):.3g}{unit}"
    )


def share(values: NDArray) -> str:
    """Share of true values in percent, with the count."""
    return f"{100 * values.mean():.0f} % of {len(values)}"


def percent(values: NDArray) -> str:
    """Share of true values in percent; the count is that of the row."""
    return f"{100 * values.mean():.0f} %"


def pixels(jpeg: bytes) -> NDArray[np.uint8]:
    """The upright picture."""
    return np.asarray(Image.open(io.BytesIO(jpeg)).convert("RGB"))


def overlap(found_px: Points, true_px: Points) -> float:
    """Dice of two borders given in pixels."""
    low = np.floor(np.minimum(found_px.min(0), true_px.min(0))) - 1
    span = np.ceil(np.maximum(found_px.max(0), true_px.max(0)) - low + 2)
    fine = max(1.0, 300 / span.max())
    shape = np.ceil(span[::-1] * fine).astype(int)
    y, x = np.mgrid[: shape[0], : shape[1]]
    at = np.column_stack([x.ravel(), y.ravel()]) / fine + low
    one, two = (Polygon(border).contains_points(at) for border in (found_px, true_px))
    return 2 * (one & two).sum() / max(1, one.sum() + two.sum())


def to_px(reading: Reading, points_mm: Points) -> Points:
    """A reading's millimetres as pixels of its photo."""
    return apply_homography(np.linalg.inv(reading.sticker.px_to_mm), points_mm)


def single(tables: dict[str, Table], reading: Reading, snapshot: Snapshot, one: Pair) -> None:
    """What one photo gave against its truth."""
    truth, whose = snapshot.truth, ("clear spots" if one.clear else "low contrast")
    outlines = tables["outlines"]
    measured = reading.measurement is not None and reading.outline is not None
    tables["photos"].add("decent photos", "sticker found", reading.sticker is not None)
    tables["photos"].add("decent photos", "usable", reading.usable)
    if not measured:
        return
    dice = overlap(to_px(reading, reading.outline.contour), truth.outline_px)
    size = reading.measurement.quantities["area"]
    long = reading.measurement.quantities["longest_diameter"]
    outlines.add("this program", f"Dice, {whose}", dice)
    outlines.add("this program", "lost", dice < LOST)
    outlines.add("this program", "area, single photo", size.value / truth.area_mm2 - 1)
    seen_mm = apply_homography(reading.sticker.px_to_mm, truth.outline_px)
    outlines.add(
        "true outline, located sticker", "area, single photo", area(seen_mm) / truth.area_mm2 - 1
    )
    longest_mm = diameters(as_it_lay(truth))[0]
    outlines.add("this program", "longest", long.value / longest_mm - 1)
    outlines.add(
        "true outline, located sticker",
        "longest",
        diameters(seen_mm)[0] / longest_mm - 1,
    )
    scale = np.sqrt(area(truth.outline_px) / truth.area_mm2) * np.sqrt(
        area(seen_mm) / area(truth.outline_px)
    )
    tables["photos"].add("decent photos", "scale at the spot", scale - 1)
    intervals(tables, reading, snapshot, one)


def intervals(tables: dict[str, Table], reading: Reading, snapshot: Snapshot, one: Pair) -> None:
    """Whether the stated intervals of sizes and border hold the truth, and how wide they are."""
    truth = snapshot.truth
    tilts = ("tilt under 15°", "15 to 25°", "over 25°")
    band = tilts[int(np.searchsorted((15, 25), truth.tilt_deg, side="right"))]
    true = {**form_measures(as_it_lay(truth)), "area": truth.area_mm2}
    for name in SIZES + BORDER:
        size = reading.measurement.quantities[name]
        for row in ("all", str(one.site.part), one.kind, band):
            tables["intervals"].add(row, name, size.low <= true[name] <= size.high)
        width = size.u / size.value if name in SIZES else size.u
        tables["widths"].add("half width", name, COVERAGE_95 * width)


def as_it_lay(truth: Truth) -> Points:
    """The true border of the first spot, skin pulled and curved as it was, on its own plane [mm].

    A ruler laid on that skin measures this; what the spot is at rest is for the comparison.
    """
    place = truth.view.surface.place(truth.px_to_skin(truth.outline_px))
    place = place - place.mean(axis=0)
    return place @ np.linalg.svd(place, full_matrices=False)[2][:2].T


def outline_peers(table: Table, snapshot: Snapshot, one: Pair, circle: Seed) -> None:
    """The same photo, flat by the fiducial's corners, and five ways to outline it."""
    truth = snapshot.truth
    rgb = pixels(snapshot.jpeg)
    flat = fiducial_plane(rgb)
    if flat is None:
        for name in peers.OUTLINES:
            table.add(name, "lost", value=True)
        return
    whose = "clear spots" if one.clear else "low contrast"
    middle = apply_homography(flat, np.array([[circle.x, circle.y]]))[0]
    rim = apply_homography(flat, np.array([[circle.x + circle.radius, circle.y]]))[0]
    radius = float(np.hypot(*(rim - middle)))
    square, to_square = cut(rgb, flat, middle, 3 * radius)
    true = apply_homography(to_square @ flat, truth.outline_px)
    seed = (len(square) / 2, len(square) / 2, radius * PEER_PX_PER_MM)
    for name, draw in peers.OUTLINES.items():
        mask = draw(square, seed)
        inside = Polygon(true).contains_points(np.argwhere(mask)[:, ::-1]).sum()
        dice = 2 * inside / max(1, mask.sum() + area(true))
        table.add(name, f"Dice, {whose}", dice)
        table.add(name, "lost", dice < LOST)
        table.add(name, "area, single photo", mask.sum() / PEER_PX_PER_MM**2 / truth.area_mm2 - 1)


def fiducial_plane(rgb: NDArray[np.uint8]) -> NDArray[np.float64] | None:
    """Pixels to millimetres by the four corners that OpenCV finds, refined by its own means."""
    options = cv2.aruco.DetectorParameters()
    options.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    finder = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(DICTIONARY), options)
    corners, ids, _ = finder.detectMarkers(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY))
    if ids is None:
        return None
    side = MARKER_SIDE * SIZES_MM[int(np.ravel(ids)[0])]
    target = np.array([[0, 0], [side, 0], [side, side], [0, side]], np.float32)
    return cv2.getPerspectiveTransform(np.float32(corners[0][0]), target)


def cut(
    rgb: NDArray[np.uint8], flat: NDArray[np.float64], middle: Points, half_mm: float
) -> tuple[NDArray[np.uint8], NDArray[np.float64]]:
    """A square of the plane as a picture, and the map from millimetres to its pixels."""
    side = round(2 * half_mm * PEER_PX_PER_MM)
    to_square = np.array(
        [
            [PEER_PX_PER_MM, 0, side / 2 - PEER_PX_PER_MM * middle[0]],
            [0, PEER_PX_PER_MM, side / 2 - PEER_PX_PER_MM * middle[1]],
            [0, 0, 1],
        ]
    )
    return cv2.warpPerspective(rgb, to_square @ flat, (side, side), flags=cv2.INTER_AREA), to_square


def laid_over(tables: dict[str, Table], first: Reading, later: Reading, one: Pair) -> None:
    """The second photo over the first, against the same skin in both."""
    table = tables["registration"]
    skin = skin_near(one)
    here, there = (shot.truth.skin_to_px(skin) for shot in (one.later, one.first))
    scale = one.first.truth.mm_per_px
    if later.alignment is None or first.sticker is None or later.sticker is None:
        table.add("this program", "refused", value=True)
    else:
        carried = later.alignment.onto_first(apply_homography(later.sticker.px_to_mm, here))
        off = np.hypot(*(to_px(first, carried) - there).T) * scale
        table.add("this program", "refused", value=False)
        table.add("this program", "error", np.median(off))
        table.add("this program", "wrong by over 1 mm", np.median(off) > WRONG_MM)
    for name, kind in (("best similarity", "similarity"), ("best homography", "homography")):
        table.add(name, "error", np.median(best_map(here, there, kind)) * scale)


def best_map(source: Points, target: Points, kind: str) -> NDArray[np.float64]:
    """Distance left by the best map of a kind [px]."""
    one, two = source.astype(np.float32), target.astype(np.float32)
    if kind == "homography":
        found, _ = cv2.findHomography(one, two, 0)
        return np.hypot(*(apply_homography(found, source) - target).T)
    found, _ = cv2.estimateAffinePartial2D(one, two, method=cv2.LMEDS)
    return np.hypot(*(source @ found[:, :2].T + found[:, 2] - target).T)


def skin_near(one: Pair) -> Points:
    """Bare skin 1 to 7 mm outside the spot's circle that both photos show [mm]."""
    both = []
    for shot, other in ((one.first, one.later), (one.later, one.first)):
        points = shot.truth.bare_skin_mm(0.8)
        seen = other.truth.skin_to_px(points)
        size = np.asarray(other.truth.size_px)
        both.append(points[((seen > 0) & (seen < size - 1)).all(axis=1)])
    points = np.array(sorted(set(map(tuple, both[0])) & set(map(tuple, both[1]))))
    if not len(points):
        return both[0]
    spot = one.first.truth.subject.spots[0]
    away = np.hypot(points[:, 0] - spot.x_mm, points[:, 1] - spot.y_mm) - spot.diameter_mm / 2
    return points[(away > 1) & (away < 7)]


def registration_peers(table: Table, one: Pair) -> None:
    """Two flat squares, and five ways to lay one over the other."""
    skin = skin_near(one)
    squares, maps = [], []
    for shot in (one.first, one.later):
        rgb = pixels(shot.jpeg)
        flat = fiducial_plane(rgb)
        if flat is None:
            for name in peers.REGISTRATIONS:
                table.add(name, "refused", value=True)
            return
        middle = apply_homography(flat, shot.truth.outline_px).mean(axis=0)
        square, to_square = cut(rgb, flat, middle, 9)
        squares.append(square)
        maps.append(to_square @ flat)
    there, here = (
        apply_homography(to_square, shot.truth.skin_to_px(skin))
        for to_square, shot in zip(maps, (one.first, one.later), strict=True)
    )
    true, _ = cv2.estimateAffinePartial2D(here.astype(np.float32), there.astype(np.float32))
    angle = np.degrees(np.arctan2(true[1, 0], true[0, 0]))
    centre = len(squares[0]) / 2
    start = cv2.getRotationMatrix2D((centre, centre), -angle, 1.0)
    border = apply_homography(maps[0], one.first.truth.outline_px)
    mask = np.ones(squares[0].shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.round(border).astype(np.int32)], 0)
    for name, lay in peers.REGISTRATIONS.items():
        found = lay(*squares, mask > 0, start, here)
        off = np.median(np.hypot(*(found - there).T)) / PEER_PX_PER_MM
        table.add(name, "refused", np.isnan(off))
        table.add(name, "error", off if np.isfinite(off) else np.nan)
        table.add(name, "wrong by over 1 mm", not off < WRONG_MM)


def changes(tables: dict[str, Table], first: Reading, later: Reading, one: Pair) -> None:
    """Ratio of areas and change of colour against what was done to the subject."""
    ratio, colour = change_from_first(first, later)
    if ratio is None or colour is None:
        return
    true = one.later.truth.spots[0].rest_area_mm2 / one.first.truth.spots[0].rest_area_mm2
    table = tables["change"]
    table.add("this program", "area ratio", ratio.value / true - 1)
    table.add("this program", "interval holds it", ratio.low <= true <= ratio.high)
    areas = [r.measurement.quantities["area"].value for r in (later, first)]
    table.add("sticker alone", "area ratio", areas[0] / areas[1] / true - 1)
    flat = [
        area(apply_homography(r.sticker.px_to_mm, s.truth.outline_px))
        for r, s in ((later, one.later), (first, one.first))
    ]
    table.add("true outline, located sticker", "area ratio", flat[0] / flat[1] / true - 1)
    if one.growth == 1.0:
        table.add("this program", "colour, unchanged spot [ΔE00]", colour.value)


def examine(one: Pair) -> tuple[Reading, Reading]:
    """Both photos through the program."""
    first = examine_photo(one.first.jpeg, name="first.jpg", now=NOW, seed=one.circle)
    known = first if first.outline else None
    seed = None if known else one.circle
    later = examine_photo(one.later.jpeg, name="later.jpg", now=NOW, first=known, seed=seed)
    return first, later


def run(numbers: Iterable[int], kept: Path, *, beside: bool) -> dict[str, Table]:
    """All tables over the pairs of these numbers."""
    names = {
        "photos": "Photos",
        "outlines": "Outline and size, single photo",
        "registration": "Later photo laid over the first",
        "change": "Change between two visits",
        "intervals": "Truth within the stated 95 % interval",
        "widths": "How wide those intervals are, median over all photos",
    }
    tables = {key: Table(title) for key, title in names.items()}
    for number in numbers:
        one = pair(number, kept)
        first, later = examine(one)
        single(tables, first, one.first, one)
        if first.outline is not None:
            single(tables, later, one.later, one)
            laid_over(tables, first, later, one)
        if first.measurement and later.measurement and later.alignment:
            changes(tables, first, later, one)
        if beside:
            outline_peers(tables["outlines"], one.first, one, one.circle)
            registration_peers(tables["registration"], one)
        print(".", end="", flush=True)
    print()
    return tables


def main() -> None:
    """Print every table."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--pairs", type=int, default=40)
    ask.add_argument("--from", dest="begin", type=int, default=0)
    ask.add_argument("--kept", type=Path, default=Path("measurement"))
    ask.add_argument("--alone", action="store_true", help="leave the other libraries out")
    asked = ask.parse_args()
    cv2.setNumThreads(1)
    libraries = ("numpy", "opencv-python-headless", "scikit-image", "SimpleITK")
    print(platform.platform(), *(f"{name} {version(name)}" for name in libraries), sep=", ")
    numbers = range(asked.begin, asked.begin + asked.pairs)
    tables = run(numbers, asked.kept, beside=not asked.alone)
    tables["photos"].show(
        {"sticker found": share, "usable": share, "scale at the spot": median(100, " %")}
    )
    tables["outlines"].show(
        {
            "Dice, clear spots": lambda v: f"{np.median(v):.3f} / {np.percentile(v, 10):.3f}",
            "Dice, low contrast": lambda v: f"{np.median(v):.3f} / {np.percentile(v, 10):.3f}",
            "lost": share,
            "area, single photo": median(100, " %"),
            "longest": median(100, " %"),
        }
    )
    tables["registration"].show(
        {"error": median(1, " mm"), "refused": share, "wrong by over 1 mm": share}
    )
    tables["change"].show(
        {
            "area ratio": median(100, " %"),
            "interval holds it": share,
            "colour, unchanged spot [ΔE00]": median(),
        }
    )
    tables["intervals"].show({"area": share, **dict.fromkeys((*SIZES[1:], *BORDER), percent)})
    half = {name: lambda v: f"±{100 * np.median(v):.1f} %" for name in SIZES}
    tables["widths"].show(half | {name: lambda v: f"±{np.median(v):.3f}" for name in BORDER})


if __name__ == "__main__":
    main()
