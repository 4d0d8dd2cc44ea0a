"""The whole program on phantom photographs: false findings, growth, new spots and ulcer onset.

Run from the root of the checkout (about four seconds a photo, once):

    .venv/bin/python -m benchmarks.pixel_series --subjects 25 --kept out/pixel_series

Every subject is photographed weekly, once a visit, with sticker, light, tilt, hair and stretch laid
anew. Photographs and readings are kept in the folder: delete the readings and the reading alone is
done again. At the end: how often the stated 95 % intervals of single photographs hold the truth.
"""

import argparse
import json
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from lesioncompare.compare import change_from_first
from lesioncompare.measure.form import form_measures
from lesioncompare.phantom import Lamp, Shot, Spot, Subject, Truth, shoot
from lesioncompare.pipeline import examine_photo, follow_series
from lesioncompare.records import Reading, Seed
from lesioncompare.science.colour import delta_e00
from lesioncompare.store.readings import reading_from_json, reading_to_json
from lesioncompare.terms import Level, parse_site

SITES = ("nose", "ear-left", "eyelid-lower-left", "lip-upper-left", "gum-upper-left")
STORIES = ("stable", "growth", "new spot", "sore", "inflamed")
VISITS = {"stable": 14, "growth": 14, "new spot": 7, "sore": 7, "inflamed": 7}
GROWTH = 1.35  # [1] of area over the series: three months of weeks
BREAK = 4  # [visit] a new spot or a sore is there from then on
START = datetime(2026, 1, 4)  # noqa: DTZ001  a photo's own clock has no zone
SPOKEN = {Level.NOW, Level.SHOW, Level.WATCH}
ASKING = {"odd_visit", "new_spot_once"}  # ask for a second photo, state nothing
WANTED = {
    "growth": {"growth", "fast_growth"},
    "new spot": {"new_spot"},
    "sore": {"sore_surface"},
}
ALLOWED = {"sore": {"redder", "lighter", "darker", "colour", "border"}}  # an ulcer is these too
COVERED = ("area", "longest_diameter", "border_irregularity", "contrast_de00")


@dataclass(frozen=True)
class Story:
    """One subject and what befalls it."""

    number: int
    name: str
    subject: Subject

    def at(self, visit: int) -> Subject:
        """The subject as it is at a visit."""
        if self.name == "growth":
            return self.subject.with_first_grown(GROWTH ** (visit / (VISITS["growth"] - 1)))
        if visit >= BREAK and self.name == "new spot":
            turn = 2.4 * self.number
            place = 5 * np.cos(turn), 5 * np.sin(turn)
            new = Spot(x_mm=place[0], y_mm=place[1], diameter_mm=1.5, seed=self.number + 1)
            return self.subject.with_new_spot(new)
        if visit >= BREAK and self.name == "sore":
            return self.subject.with_spots(replace(self.subject.spots[0], kind="ulcer"))
        return self.subject


def story(number: int, seed: int) -> Story:
    """The subject of a number: sites and stories take turns."""
    rng = np.random.default_rng([seed, number])
    name = STORIES[number // len(SITES) % len(STORIES)]
    kinds = {"sore": ["pigment", "inflamed"], "inflamed": ["inflamed"]}
    spot = Spot(
        kind=str(rng.choice(kinds.get(name, ["pigment"]))),
        diameter_mm=rng.uniform(2.5, 5),
        irregularity=rng.uniform(0.05, 0.12),
        edge_mm=rng.uniform(0.1, 0.35),
        contrast=rng.uniform(0.85, 1.1),
        seed=int(rng.integers(1000)),
    )
    subject = Subject(
        parse_site(SITES[number % len(SITES)]),
        seed=int(rng.integers(10**6)),
        spots=(spot,),
        skin=float(rng.choice([0.02, 0.1, 0.2])),
        wet=rng.uniform(1.2, 2.0) if name == "inflamed" else 1.0,
    )
    return Story(number, name, subject)


def shot(rng: np.random.Generator, visit: int) -> Shot:
    """A household's photograph."""
    lamp = Lamp(
        brightness=rng.uniform(0.55, 0.82),
        kelvin=rng.uniform(4500, 7500),
        azimuth_deg=rng.uniform(0, 360),
        height_deg=rng.uniform(40, 65),
        gradient=rng.uniform(0, 0.3),
        gradient_deg=rng.uniform(0, 360),
    )
    return Shot(
        seed=int(rng.integers(10**6)),
        width_px=1280,
        height_px=960,
        px_per_mm=rng.uniform(18, 26),
        tilt_deg=rng.uniform(0, 22),
        tilt_azimuth_deg=rng.uniform(0, 360),
        roll_deg=rng.uniform(-40, 40),
        sticker_height_mm=rng.uniform(-3, 3),
        sticker_tilt_deg=abs(rng.normal(0, 3)),
        stretch_mm=rng.uniform(0, 0.6),
        lamp=lamp,
        hair=rng.uniform(0.3, 1.2),
        whiskers=int(rng.integers(0, 3)),
        blur_px=rng.uniform(0.6, 1.2),
        jpeg_quality=int(rng.integers(80, 95)),
        taken=START + timedelta(days=7 * visit),
    )


def known(truth: Truth) -> dict[str, Any]:
    """What the truth says of a photograph, to be kept beside it."""
    forms = form_measures(truth.px_to_skin(truth.outline_px))
    return {
        "circle": truth.circle,
        "rest_area_mm2": truth.spots[0].rest_area_mm2,
        "tilt_deg": truth.tilt_deg,
        "kind": truth.spots[0].spot.kind,
        **{name: forms[name] for name in COVERED if name in forms},
        "contrast_de00": float(delta_e00(truth.spot_lab, truth.skin_lab)),
    }


def photographs(one: Story, seed: int, kept: Path) -> Iterator[tuple[bytes, dict[str, Any]]]:
    """The photograph of each visit and its truth, from the folder or made now."""
    rng = np.random.default_rng([seed, one.number, 1])
    for visit in range(VISITS[one.name]):
        how = shot(rng, visit)
        file = kept / f"{seed}_{one.number}_{visit}.jpg"
        beside = file.with_suffix(".truth.json")
        if not beside.exists():
            snapshot = shoot(one.at(visit), how)
            file.write_bytes(snapshot.jpeg)
            beside.write_text(json.dumps(known(snapshot.truth)))
        yield file.read_bytes(), json.loads(beside.read_text())


def read(one: Story, seed: int, kept: Path) -> Iterator[tuple[Reading, dict[str, Any]]]:
    """Readings of all visits from the first usable one on, each with its truth."""
    seen: list[Reading] = []
    for visit, (jpeg, truth) in enumerate(photographs(one, seed, kept)):
        reading = examine_photo(
            jpeg,
            name=f"{visit}.jpg",
            now=START + timedelta(days=400),
            seed=None if seen else Seed(*truth["circle"]),
            first=seen[0] if seen else None,
            others=seen[1:],
        )
        if seen or reading.usable:
            seen = [*seen[:1], *seen[1:][-2:], reading]
            yield reading, {"visit": visit, **truth}


def readings_of(one: Story, seed: int, kept: Path) -> list[tuple[Reading, dict[str, Any]]]:
    """The readings of a subject, from the folder or made now."""
    file = kept / f"{seed}_{one.number}.json"
    if not file.exists():
        rows = [[reading_to_json(reading), truth] for reading, truth in read(one, seed, kept)]
        file.write_text(json.dumps(rows))
    return [(reading_from_json(row), truth) for row, truth in json.loads(file.read_text())]


def judged(one: Story, rows: Sequence[tuple[Reading, dict[str, Any]]]) -> dict[str, Any]:
    """What was said at each visit, and what was wanted."""
    said: list[set[str]] = []
    for end in range(1, len(rows) + 1):
        series = follow_series([reading for reading, _ in rows[:end]], site=one.subject.site)
        last = len(series.visits) - 1
        said.append(
            {f.key for f in series.findings if f.visit == last and f.level in SPOKEN}
            if rows[end - 1][0].usable
            else set()
        )
    wanted = WANTED.get(one.name, set())
    meant = [truth["visit"] >= BREAK or one.name == "growth" for _, truth in rows]
    after = [r.usable for (r, t), is_meant in zip(rows, meant, strict=True) if is_meant and wanted]
    hits = [bool(keys & wanted) for keys, is_meant in zip(said, meant, strict=True) if is_meant]
    false = Counter(
        key
        for keys, is_meant in zip(said, meant, strict=True)
        for key in keys - ASKING - ((wanted | ALLOWED.get(one.name, set())) if is_meant else set())
    )
    return {
        "found_after": hits.index(True) + 1 if any(hits) else None,
        "usable_after": sum(after),
        "false": dict(false),
        "asked": sum(bool(keys & ASKING) for keys in said),
        "visits": sum(reading.usable for reading, _ in rows),
    }


def coverage(rows: Sequence[tuple[str, Reading, dict[str, Any]]]) -> list[str]:
    """How often 95 % intervals of single photographs hold the truth, by site, kind and tilt."""
    held: dict[tuple[str, str], list[bool]] = defaultdict(list)
    for site, reading, truth in rows:
        if reading.measurement is None:
            continue
        tilt = "tilt under 11°" if truth["tilt_deg"] < 11 else "tilt of 11–22°"
        for name in COVERED:
            quantity = reading.measurement.quantities[name]
            hit = quantity.low <= truth[name] <= quantity.high
            for group in ("all", site, truth["kind"], tilt):
                held[group, name].append(hit)
    groups = dict.fromkeys(group for group, _ in held)
    lines = ["| photos | n | " + " | ".join(COVERED) + " |", "|---|---|" + "---|" * len(COVERED)]
    for group in groups:
        cells = [f"{100 * np.mean(held[group, name]):.0f} %" for name in COVERED]
        lines.append(f"| {group} | {len(held[group, 'area'])} | " + " | ".join(cells) + " |")
    return lines


def ratios(usable: Sequence[tuple[Reading, dict[str, Any]]]) -> Iterator[tuple[float, float]]:
    """Error and stated uncertainty of the log area ratio to the first photograph."""
    for reading, truth in usable[1:]:
        ratio, _ = change_from_first(usable[0][0], reading)
        if ratio is not None:
            true = truth["rest_area_mm2"] / usable[0][1]["rest_area_mm2"]
            yield float(np.log(ratio.value / true)), ratio.u / ratio.value


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--subjects", type=int, default=25)
    parser.add_argument("--from", type=int, default=0, dest="start", help="first subject's number")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--kept", type=Path, required=True, help="folder for photos and readings")
    options = parser.parse_args()
    cv2.setNumThreads(1)
    options.kept.mkdir(parents=True, exist_ok=True)
    errors: list[tuple[float, float]] = []
    singles: list[tuple[str, Reading, dict[str, Any]]] = []
    photos = lost = 0
    for number in range(options.start, options.start + options.subjects):
        one = story(number, options.seed)
        rows = readings_of(one, options.seed, options.kept)
        usable = [(reading, truth) for reading, truth in rows if reading.usable]
        photos += VISITS[one.name]
        lost += VISITS[one.name] - len(usable)
        errors += ratios(usable)
        singles += [(str(one.subject.site.part), reading, truth) for reading, truth in usable]
        print(number, one.subject.site, one.name, judged(one, rows), flush=True)
    error, u = np.array(errors).T
    print(
        f"{photos} photos, {lost} not used; log area ratio: sd {error.std():.4f}, robust "
        f"{1.4826 * np.median(np.abs(error)):.4f}, stated {np.median(u):.4f}, within 95 % "
        f"{np.mean(np.abs(error) < 1.96 * u):.3f}\n"
    )
    print("\n".join(coverage(singles)))


if __name__ == "__main__":
    main()
