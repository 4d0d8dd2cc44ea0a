"""Real photographs with known truth, where somebody has them: borders, round discs, surfaces.

Run from the root of the checkout with a folder of tables; none of the photographs is part of the
project:

    .venv/bin/python -m benchmarks.real_photographs FOLDER

Each table is a CSV file in the folder whose paths are relative to it. ``NAME.csv`` with the columns
``image, mask`` gives borders drawn by people; ``round_discs.csv`` with ``image, true_diameter_mm,
approx_cx_px, approx_cy_px`` gives discs of legal diameters, several to a photo. Borders start from
circles whose middle is off by up to a tenth of the radius and whose radius by -15 to +25 %. With
``--sores`` and ``--whole``, each a list of tables with or without chosen rows, surfaces are told
apart within the borders that people drew:

    ... FOLDER --sores ulcers --whole skin_with_ruler phone_lesions:2,3,7
"""

import argparse
import csv
from collections.abc import Iterator
from datetime import datetime
from itertools import groupby
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from skimage.draw import polygon2mask

from benchmarks import peers
from lesioncompare.decode import decode
from lesioncompare.errors import LesionCompareError
from lesioncompare.locate import locate
from lesioncompare.measure import HALF_EDGE_MM
from lesioncompare.measure.looks import look_quantities, skin_beside
from lesioncompare.measure.regions import find_regions
from lesioncompare.outline import outline
from lesioncompare.records import Circle, Scene, StickerHint
from lesioncompare.registry.surface_parts import BROKEN, PARTS, broken
from lesioncompare.science.colour import linear_to_lab, srgb_to_linear
from lesioncompare.science.plane import local_scale
from lesioncompare.settings import Settings

NOW = datetime(2026, 6, 1)  # noqa: DTZ001  only needed to judge capture times
SEED, CIRCLES = 9100, 2  # circles drawn round each spot
RADIUS_MM = 2.5  # a spot's radius is called so: without a sticker nothing says its size
LARGEST_PX = 60  # of the radius: enough for every method, and quick
SURFACE_PX = 120  # of the radius, for surfaces: their relief is a fifth of a millimetre fine
DRAWN_U_MM = 0.05  # of a border that a person drew
ROOM = 1.5  # [radius] of skin looked at round the spot
Rgb = NDArray[np.uint8]
Mask = NDArray[np.bool_]


def main() -> None:
    """Print what each table gives."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("folder", type=Path)
    ask.add_argument("--sores", nargs="*", default=[], help="TABLE or TABLE:ROW,ROW: open wounds")
    ask.add_argument("--whole", nargs="*", default=[], help="the same: spots of whole skin")
    asked = ask.parse_args()
    folder = asked.folder
    cv2.setNumThreads(1)
    if asked.sores and asked.whole:
        surfaces(folder, asked.sores, asked.whole)
        return
    print("| photos | method | n | Dice median | mean | below 0.5 |\n|---|---|---|---|---|---|")
    for table in sorted(folder.glob("*.csv")):
        rows = list(csv.DictReader(table.read_text().splitlines()))
        if {"image", "mask"} <= rows[0].keys():
            borders(table.stem, folder, rows)
    discs(folder)


def borders(name: str, folder: Path, rows: list[dict[str, str]]) -> None:
    """Dice against the largest piece of each mask, for every method in the same run."""
    found: dict[str, list[float]] = {}
    rng = np.random.default_rng(SEED)
    for row in rows:
        rgb, mask, seen = opened(folder, row)
        for circle in jittered(mask, rng):
            for method, got in drawn(rgb, seen, circle).items():
                dice = 2 * (got & mask).sum() / max(1, got.sum() + mask.sum())
                found.setdefault(method, []).append(float(dice))
    for method, values in found.items():
        dice = np.array(values)
        print(
            f"| {name} | {method} | {len(dice)} | {np.median(dice):.3f} | {dice.mean():.3f} "
            f"| {100 * (dice < 0.5).mean():.1f} % |",
            flush=True,
        )


def opened(folder: Path, row: dict[str, str]) -> tuple[Rgb, Mask, Mask]:
    """A photo, the largest piece of the border drawn on it, and where it is no padding."""
    rgb = cv2.cvtColor(cv2.imread(str(folder / row["image"])), cv2.COLOR_BGR2RGB)
    mask = largest(cv2.imread(str(folder / row["mask"]), cv2.IMREAD_GRAYSCALE) > 127)
    seen = np.ones(mask.shape, bool)
    if ranges := row.get("non_padded_x_y_range"):
        across, down = ([int(v) for v in part.split(":")] for part in ranges.split("x"))
        seen[:] = False
        seen[down[0] : down[1], across[0] : across[1]] = True
    return rgb, mask, seen


def surfaces(folder: Path, sores: list[str], whole: list[str]) -> None:
    """How well each surface part, and all of them weighed together, part sores from whole skin."""
    parts = [
        [one for table in tables for one in drawn_surfaces(folder, table)]
        for tables in (sores, whole)
    ]
    print("| photos | sores | whole | area under the curve | called: sores | whole |")
    print("|---|---|---|---|---|---|")
    for name, half in (("even", {0}), ("odd", {1}), ("all", {0, 1})):
        sore, sound = ([broken(v) for i, v in some if i % 2 in half] for some in parts)
        calls = [100 * float((np.array(some) >= BROKEN).mean()) for some in (sore, sound)]
        print(
            f"| {name} | {len(sore)} | {len(sound)} | {above(sore, sound):.3f} "
            f"| {calls[0]:.0f} % | {calls[1]:.0f} % |"
        )
    for part in PARTS:
        sore, sound = ([v[part.measure] for _, v in some] for some in parts)
        print(f"{part.measure} alone: {above(sore, sound):.2f}")


def above(these: list[float], those: list[float]) -> float:
    """Area under the ROC curve: how often one of these lies above one of those."""
    one, other = np.array(these)[:, None], np.array(those)[None]
    return float((one > other).mean() + (one == other).mean() / 2)


def drawn_surfaces(folder: Path, table: str) -> Iterator[tuple[int, dict[str, float]]]:
    """Number and surface measures of each photo of a table, within the border drawn on it."""
    name, _, chosen = table.partition(":")
    rows = list(csv.DictReader((folder / f"{name}.csv").read_text().splitlines()))
    for number in [int(v) for v in chosen.split(",")] if chosen else range(len(rows)):
        rgb, mask, seen = opened(folder, rows[number])
        radius = float(np.sqrt(mask.sum() / np.pi))
        window = tuple(
            slice(max(0, int(at.min() - ROOM * radius)), int(at.max() + ROOM * radius) + 1)
            for at in np.nonzero(mask)
        )
        shrink = min(1.0, SURFACE_PX / radius)
        small = cv2.resize(rgb[window], None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
        inside, valid = (
            cv2.resize(
                part[window].astype(np.uint8),
                small.shape[1::-1],
                interpolation=cv2.INTER_NEAREST,
            )
            for part in (mask, seen)
        )
        lines, _ = cv2.findContours(inside, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        border = max(lines, key=cv2.contourArea)[:, 0].astype(float)
        pitch = RADIUS_MM / (radius * shrink)
        linear = srgb_to_linear(small)
        scene = Scene(linear, linear_to_lab(linear), valid > 0, (0.0, 0.0), pitch)
        regions = find_regions(scene, pitch * border, DRAWN_U_MM + HALF_EDGE_MM)
        looks = look_quantities(scene, regions, skin_beside(scene, regions), DRAWN_U_MM)
        yield number, {part.measure: looks[part.measure].value for part in PARTS}


def largest(mask: Mask) -> Mask:
    """The largest connected piece."""
    _, label, stats, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8))
    return label == 1 + stats[1:, cv2.CC_STAT_AREA].argmax()


def jittered(mask: Mask, rng: np.random.Generator) -> Iterator[peers.Circle]:
    """Circles about the piece, off as a hand is."""
    rows, columns = np.nonzero(mask)
    radius = np.sqrt(len(rows) / np.pi)
    for _ in range(CIRCLES):
        turn, off = rng.uniform(0, 2 * np.pi), 0.1 * radius * np.sqrt(rng.uniform())
        yield (
            columns.mean() + off * np.cos(turn),
            rows.mean() + off * np.sin(turn),
            radius * rng.uniform(0.85, 1.25),
        )


def drawn(rgb: Rgb, seen: Mask, circle: peers.Circle) -> dict[str, Mask]:
    """The border by this program and by the others, on the same cut of the photo."""
    x, y, radius = circle
    top, left = max(0, int(y - 3.2 * radius)), max(0, int(x - 3.2 * radius))
    window = np.s_[top : int(y + 3.2 * radius) + 1, left : int(x + 3.2 * radius) + 1]
    near, valid = rgb[window], seen[window]
    shrink = min(1.0, LARGEST_PX / radius)
    small = cv2.resize(near, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
    size = small.shape[1::-1]
    open_ = cv2.resize(valid.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0
    seed = tuple(shrink * v for v in (x - left, y - top, radius))
    masks = {"this program": ours(small, open_, seed)}
    for name, method in peers.OUTLINES.items():
        masks[name] = method(small, seed)
    whole = {}
    for name, mask in masks.items():
        there = np.zeros(seen.shape, bool)
        size = near.shape[1::-1]
        there[window] = cv2.resize(mask.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0
        whole[name] = there
    return whole


def ours(rgb: Rgb, seen: Mask, circle: peers.Circle) -> Mask:
    """The border this program draws on a picture without a sticker."""
    pitch = RADIUS_MM / circle[2]
    linear = srgb_to_linear(rgb).astype(np.float32)
    scene = Scene(linear, linear_to_lab(linear).astype(np.float32), seen, (0.0, 0.0), pitch)
    try:
        border = outline(scene, Circle(*(pitch * v for v in circle)))
    except LesionCompareError:
        return np.zeros(seen.shape, bool)
    return polygon2mask(seen.shape, scene.to_grid(border.contour)[:, ::-1])


def discs(folder: Path) -> None:
    """Each disc measured in millimetres of each other disc of its photo."""
    table = folder / "round_discs.csv"
    if not table.exists():
        return
    rows = list(csv.DictReader(table.read_text().splitlines()))
    errors, lost = [], 0
    for name, group in groupby(rows, key=lambda row: row["image"]):
        photo = decode((folder / name).read_bytes(), name=name, now=NOW)
        stickers = []
        for row in group:
            at = float(row["approx_cx_px"]), float(row["approx_cy_px"])
            size = float(row["true_diameter_mm"])
            try:
                hint = StickerHint(size, (at[0], at[1]))
                stickers.append(locate(photo, hint, Settings()))
            except LesionCompareError:
                lost += 1
        for ruler in stickers:
            for disc in stickers:
                if disc is not ruler:
                    middle = disc.corners_px.mean(axis=0, keepdims=True)
                    scale = local_scale(ruler.px_to_mm, middle) / local_scale(disc.px_to_mm, middle)
                    errors.append(float(scale[0]) - 1)
    off = 100 * np.abs(errors)
    print(
        f"\nround discs: {len(off)} pairs, one's diameter by the other's: error "
        f"{np.median(off):.2f} % median, {np.percentile(off, 90):.2f} % at the 90th percentile; "
        f"{lost} discs not found"
    )


if __name__ == "__main__":
    main()
