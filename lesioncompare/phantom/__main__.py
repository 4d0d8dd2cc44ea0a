"""Write the demo photographs with their truth: ``python -m lesioncompare.phantom demo_images``."""

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from lesioncompare.phantom.demo import (
    GROWTH,
    NAME,
    SEED,
    Visit,
    photographs,
    spot_option,
)
from lesioncompare.phantom.truth import Truth

COLUMNS = (
    "photograph",
    "area at rest [mm²]",
    "against the first",
    "area before the camera [mm²]",
    "longest [mm]",
    "slant [deg]",
)
README = """# Demo photographs: simulated, of an invented cat

**No animal was photographed.** {name} is an invented white cat of an invented lock-keeper's
house, and every picture here was computed. A dark, flat spot on the bridge of the nose keeps its
size for four weeks and then grows; the small mark beside it stays as it is. Light, slant, hair
and sticker differ each week.

Made by `python -m lesioncompare.phantom demo_images` (seed {seed}), which writes the photographs,
this page and [truth.json](truth.json). On another machine single pixels may differ.

The circle a person would draw on the first photograph: `--spot {spot}`

    lesioncompare compare demo_images/*.jpg --site nose --spot {spot}

does by hand what `lesioncompare demo` does.

{table}

*Area at rest* is the area of the spot in the plane of the unstretched skin: it alone tells whether
the spot has grown. *Area before the camera* is that of the curved skin as it was stretched that
day. The border is the line where the spot's cover is one half in linear reflectance. truth.json
also holds, for each photograph, the outline and the sticker's corners in pixels, the scale at the
spot and the colours of spot and skin (CIELAB, D65, without light and glints).
"""


def main(arguments: list[str] | None = None) -> None:
    """Write photographs, truth and page into the folder given."""
    parser = argparse.ArgumentParser(prog="python -m lesioncompare.phantom", description=__doc__)
    parser.add_argument("folder", type=Path, help="where to write; made if missing")
    folder: Path = parser.parse_args(arguments).folder
    folder.mkdir(parents=True, exist_ok=True)
    known: list[tuple[Visit, Truth]] = []
    for visit, jpeg, truth in photographs():
        (folder / visit.file).write_bytes(jpeg)
        known.append((visit, truth))
        sys.stdout.write(f"{visit.file}  {len(jpeg) / 1e6:.2f} MB\n")
    (folder / "truth.json").write_text(json.dumps(_truths(known), indent=1) + "\n")
    (folder / "README.md").write_text(_page(known))


def _truths(known: list[tuple[Visit, Truth]]) -> dict[str, Any]:
    """The truth of the series as plain data."""
    return {
        "format": 1,
        "simulated": True,
        "cat": NAME,
        "seed": SEED,
        "site": str(known[0][0].subject.site),
        "spot": spot_option(known[0][1]),
        "photos": [visit.file for visit, _ in known],
        "truths": [_truth(visit, truth) for visit, truth in known],
    }


def _truth(visit: Visit, truth: Truth) -> dict[str, Any]:
    """The truth of one photograph as plain data."""
    spot = truth.spots[0]
    corners = truth.sticker_corners_px
    return {
        "file": visit.file,
        "taken": visit.shot.taken.isoformat() if visit.shot.taken else None,
        "rest_area_mm2": round(spot.rest_area_mm2, 4),
        "area_mm2": round(spot.area_mm2, 4),
        "longest_mm": round(spot.longest_mm, 4),
        "circle_px": [round(value, 2) for value in truth.circle],
        "outline_px": spot.outline_px[::4].round(2).tolist(),
        "sticker_corners_px": None if corners is None else corners.round(3).tolist(),
        "mm_per_px": round(truth.mm_per_px, 6),
        "tilt_deg": round(truth.tilt_deg, 2),
        "distance_mm": round(truth.distance_mm, 1),
        "spot_lab": [round(value, 2) for value in spot.lab],
        "skin_lab": [round(value, 2) for value in truth.skin_lab],
    }


def _page(known: list[tuple[Visit, Truth]]) -> str:
    """The page beside the photographs."""
    rows = [COLUMNS, ("---",) * len(COLUMNS)]
    for (visit, truth), factor in zip(known, GROWTH, strict=True):
        spot = truth.spots[0]
        numbers = (spot.rest_area_mm2, factor, spot.area_mm2, spot.longest_mm)
        rows.append((visit.file, *(f"{n:.2f}" for n in numbers), f"{truth.tilt_deg:.0f}"))
    table = "\n".join(f"| {' | '.join(row)} |" for row in rows)
    return README.format(name=NAME, seed=SEED, spot=spot_option(known[0][1]), table=table)


if __name__ == "__main__":
    main()
