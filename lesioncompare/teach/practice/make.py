"""Taking the practice photos and measuring them: done when the program is made, not when it runs.

The photos that people judge are cut out round the spot; the program reads the whole ones.
"""

import io
import json
from collections.abc import Iterator, Sequence
from datetime import timedelta
from pathlib import Path
from typing import Any

from PIL import Image

from lesioncompare import __version__
from lesioncompare.phantom import Snapshot, shoot
from lesioncompare.pipeline import examine_photo, follow_series
from lesioncompare.records import Reading, Seed
from lesioncompare.teach.practice.album import FILE, FORMAT, QUIET
from lesioncompare.teach.practice.cases import MONDAY, PAIRS, SERIES, Case, shots, subjects
from lesioncompare.terms import Verdict

CUT_PX = 420  # [px] side of what is shown: about 16 mm of skin
QUALITY = 78  # [1] JPEG; a set of a hundred stays below 3 MB
LATER = MONDAY + timedelta(days=365)


def write_album(folder: Path, cases: Sequence[Case] = (*PAIRS, *SERIES)) -> Iterator[Case]:
    """Write the photos and what is known of them into a folder; yields each case when it is done.

    On another machine single pixels may differ, and with them the last digits measured.
    """
    folder.mkdir(parents=True, exist_ok=True)
    done = []
    for case in cases:
        snapshots = [shoot(*pair) for pair in zip(subjects(case), shots(case), strict=True)]
        for number, snapshot in enumerate(snapshots):
            (folder / photo_name(case, number)).write_bytes(_cut(snapshot))
        done.append(_record(case, snapshots))
        yield case
    document = {"format": FORMAT, "simulated": True, "version": __version__, "cases": done}
    (folder / FILE).write_text(json.dumps(document, indent=1, ensure_ascii=False) + "\n")


def photo_name(case: Case, number: int) -> str:
    """File name of one photo of a case."""
    return f"{case.key}-{number}.jpg"


def _cut(snapshot: Snapshot) -> bytes:
    """A square round the spot as a small file without metadata."""
    picture = Image.open(io.BytesIO(snapshot.jpeg))
    x, y, _ = snapshot.truth.circle
    left = min(max(round(x) - CUT_PX // 2, 0), picture.width - CUT_PX)
    top = min(max(round(y) - CUT_PX // 2, 0), picture.height - CUT_PX)
    file = io.BytesIO()
    picture.crop((left, top, left + CUT_PX, top + CUT_PX)).save(file, "JPEG", quality=QUALITY)
    return file.getvalue()


def _record(case: Case, snapshots: Sequence[Snapshot]) -> dict[str, Any]:
    """The truth of a case and what the program measured, as plain data."""
    spots = [snapshot.truth.spots[0] for snapshot in snapshots]
    readings = read_case(case, snapshots)
    return {
        "key": case.key,
        "level": case.level,
        "kind": case.kind,
        "site": case.site,
        "photos": [photo_name(case, number) for number in range(len(snapshots))],
        "amounts": list(case.amounts),
        "true_area_mm2": [round(spot.rest_area_mm2, 3) for spot in spots],
        "true_longest_mm": [round(spot.longest_mm, 2) for spot in spots],
        "measured": [_measured(case, readings[: n + 1]) for n in range(1, len(readings))],
    }


def read_case(case: Case, snapshots: Sequence[Snapshot]) -> list[Reading]:
    """The readings of a case, from its whole photos with a circle on the first one only."""
    readings: list[Reading] = []
    for number, snapshot in enumerate(snapshots):
        first = readings[0] if readings else None
        readings.append(
            examine_photo(
                snapshot.jpeg,
                name=photo_name(case, number),
                now=LATER,
                seed=None if first else Seed(*snapshot.truth.circle),
                first=first,
                others=readings[1:],
            )
        )
    return readings


def _measured(case: Case, readings: Sequence[Reading]) -> dict[str, Any]:
    """What the program says in the week of the last reading, knowing no later one."""
    series = follow_series(readings, site=subjects(case)[0].site)
    latest = len(series.visits) - 1
    if not (readings[0].usable and readings[-1].usable):
        refused = readings[-1] if readings[0].usable else readings[0]
        return {"usable": False, "changed": False, "says": [n.says for n in refused.notices[-1:]]}
    findings = [f for f in series.findings if f.visit == latest]
    record: dict[str, Any] = {
        "usable": True,
        "changed": any(f.key not in QUIET for f in findings),
        "says": [f.says for f in findings],
    }
    for change in series.changes.get("area", ()):
        if change.visit == latest and change.verdict != Verdict.UNKNOWN:
            record["log_area_ratio"] = round(change.difference, 4)
            record["low"], record["high"] = round(change.low, 4), round(change.high, 4)
    return record
