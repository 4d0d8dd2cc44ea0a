"""How well a photo is laid over the first one, how surely, how fast, and what is refused.

Run from the root of the checkout (about fifteen seconds a pair, most of it for taking pictures):

    .venv/bin/python -m benchmarks.alignment --pairs 30 --kept out/alignment

Prints the tables of docs/alignment.md. Spot, circle and border are the true ones, so that only the
alignment errs; sticker, light and millimetres are the program's own.
"""

import argparse
import time
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.photographs import SITES, Pair, pair
from lesioncompare.align import align, find_again
from lesioncompare.calibrate import calibrate, close_up, overview
from lesioncompare.decode import decode
from lesioncompare.errors import AlignError, LesionCompareError
from lesioncompare.locate import locate
from lesioncompare.phantom import Snapshot
from lesioncompare.records import Circle, Scene, StickerHint
from lesioncompare.science.plane import apply_homography
from lesioncompare.science.shape import area
from lesioncompare.settings import Settings

NOW = datetime(2026, 6, 1)  # noqa: DTZ001  a photo's own clock has no zone
RING_MM = (2.0, 8.0)  # [mm] from the border: where the error is taken
WRONG_MM = 1.0  # [mm] a photo laid over so far off should have been refused
Points = NDArray[np.float64]


@dataclass(frozen=True)
class Seen:
    """One photo as the program sees it, up to the alignment."""

    snapshot: Snapshot
    px_to_mm: NDArray[np.float64]
    wide: Scene
    near: Scene
    circle: Circle

    def carried(self, skin_mm: Points) -> Points:
        """Points of the skin in the millimetres of the photo's sticker."""
        return apply_homography(self.px_to_mm, self.snapshot.truth.skin_to_px(skin_mm))


@dataclass
class Row:
    """What came of one pair; times [s], errors [mm]."""

    site: str
    find_s: float = 0.0
    align_s: float = 0.0
    refused: bool = True
    off_mm: float = np.nan
    off_high_mm: float = np.nan
    floor_mm: float = np.nan
    scale_off: float = np.nan
    scale_z: float = np.nan
    sticker_off: float = np.nan


def see(snapshot: Snapshot) -> Seen:
    """The program's own steps before the alignment."""
    settings = Settings()
    photo = decode(snapshot.jpeg, name="photo.jpg", now=NOW)
    sticker = locate(photo, StickerHint(), settings)
    middle = tuple(float(v) for v in sticker.corners_px.mean(axis=0))
    wide = overview(photo, sticker, calibrate(photo, sticker, middle, settings))
    x, y, radius = snapshot.truth.circle
    rim = np.array([[x, y], [x + radius, y], [x, y + radius], [x - radius, y], [x, y - radius]])
    at, *around = apply_homography(sticker.px_to_mm, rim)
    circle = Circle(*at.tolist(), float(np.hypot(*(np.array(around) - at).T).mean()))
    near = close_up(photo, sticker, calibrate(photo, sticker, (x, y), settings), circle)
    return Seen(snapshot, sticker.px_to_mm, wide, near, circle)


def lay(first: Seen, later: Seen, site: str) -> Row:
    """One photo laid over another, against the truth of both."""
    row = Row(site)
    skin = first.snapshot.truth.px_to_skin(first.snapshot.truth.outline_px)
    border = first.carried(skin)
    try:
        start = time.process_time()
        rough = find_again(later.wide, first.wide, first.circle)
        row.find_s = time.process_time() - start
        start = time.process_time()
        laid = align(later.near, first.near, rough, border)
        row.align_s = time.process_time() - start
    except AlignError:
        return row
    row.refused = False
    here, there = (_bare(later, skin, one) for one in (first, later))
    off = np.hypot(*(laid.onto_first(there) - here).T)
    row.off_mm, row.off_high_mm = np.percentile(off, (50, 95))
    best, _ = cv2.findHomography(there, here)
    row.floor_mm = float(np.median(np.hypot(*(apply_homography(best, there) - here).T)))
    true = np.log(area(border) / area(later.carried(skin))) / 2
    row.scale_off = np.log(laid.anatomical_scale) - true
    row.scale_z = row.scale_off / (laid.anatomical_scale_u / laid.anatomical_scale)
    row.sticker_off = true
    return row


def _bare(later: Seen, skin_border: Points, one: Seen) -> Points:
    """Bare skin in the ring, seen in the later photo, in the millimetres of one of the two."""
    skin = later.snapshot.truth.bare_skin_mm()
    ring = skin_border.astype(np.float32)
    away = [-cv2.pointPolygonTest(ring, (float(x), float(y)), True) for x, y in skin]
    return one.carried(skin[(np.array(away) > RING_MM[0]) & (np.array(away) < RING_MM[1])])


def report(rows: list[Row], strangers: list[bool], megapixels: list[float]) -> None:
    """The tables."""
    print("\n| site | pairs | laid over | off at the median, median of pairs / 95 % [mm] |")
    print("|---|---|---|---|")
    for name in ("all", *sorted({row.site for row in rows})):
        group = [row for row in rows if name in ("all", row.site)]
        off = [row.off_mm for row in group if not row.refused] or [np.nan]
        kept = sum(not row.refused for row in group)
        low, high = np.median(off), np.percentile(off, 95)
        print(f"| {name} | {len(group)} | {kept} | {low:.2f} / {high:.2f} |")
    done = [row for row in rows if not row.refused]
    off, high, floor, scale, z, sticker = (
        np.array([getattr(row, name) for row in done])
        for name in ("off_mm", "off_high_mm", "floor_mm", "scale_off", "scale_z", "sticker_off")
    )
    print(f"\n95th percentile within a photo: {np.median(high):.2f} mm at the median of photos")
    print(f"best homography through the true points: {np.median(floor):.2f} mm")
    print(f"laid over and off by more than {WRONG_MM:g} mm: {(off > WRONG_MM).sum()}")
    print(f"photos of another cat laid over: {sum(strangers)} of {len(strangers)}")
    print(f"scale of the skin: rms error {np.sqrt((scale**2).mean()):.4f}", end="")
    print(f" (of the stickers: {np.sqrt((sticker**2).mean()):.4f})")
    print(f"in its stated error: rms {np.sqrt((z**2).mean()):.2f}", end="")
    print(f", within 1.96: {(abs(z) < 1.96).sum()} of {len(z)}")
    for size in sorted(set(megapixels)):
        group = [r for r, m in zip(rows, megapixels, strict=True) if m == size and not r.refused]
        find, fine = (np.median([getattr(r, n) for r in group]) for n in ("find_s", "align_s"))
        print(f"{size:.0f} MP: found again in {find:.2f} s, laid over in {fine:.2f} s")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--pairs", type=int, default=30)
    parser.add_argument("--from", dest="start", type=int, default=0)
    parser.add_argument("--kept", type=Path, default=Path("out/alignment"))
    options = parser.parse_args()
    cv2.setNumThreads(1)
    rows, strangers, megapixels, lost = [], [], [], 0
    before: dict[int, Seen] = {}
    for number in range(options.start, options.start + options.pairs):
        one: Pair = pair(number, options.kept)
        try:
            first, later = see(one.first), see(one.later)
        except LesionCompareError:
            lost += 1
            continue
        rows.append(lay(first, later, str(one.site.part)))
        width, height = one.later.truth.size_px
        megapixels.append(round(width * height / 1e6))
        if other := before.get(number % len(SITES)):
            strangers.append(not lay(other, later, "").refused)
        before[number % len(SITES)] = first
    print(f"{len(rows)} pairs from number {options.start}; sticker not found in {lost} more")
    report(rows, strangers, megapixels)


if __name__ == "__main__":
    main()
