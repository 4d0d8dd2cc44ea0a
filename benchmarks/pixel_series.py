"""The whole program on phantom photographs: false findings, growth, new spots and ulcer onset.

Run from the root of the checkout (about five seconds a photo):

    .venv/bin/python -m benchmarks.pixel_series --subjects 20 --kept /tmp/pixel_series

Every subject is photographed weekly, once a visit, with sticker, light, tilt, hair and stretch laid
anew. Readings are kept in the folder and used again, so that the judging can be repeated alone.
"""

import argparse
import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

import cv2
import numpy as np

from lesioncompare.compare import change_from_first
from lesioncompare.phantom import Lamp, Shot, Spot, Subject, shoot
from lesioncompare.pipeline import examine_photo, follow_series
from lesioncompare.records import Reading, Seed
from lesioncompare.store.readings import reading_from_json, reading_to_json
from lesioncompare.terms import Level, parse_site

SITES = ("nose", "ear-left", "eyelid-upper-left", "lip-upper-left", "gum-upper-left")
STORIES = ("stable", "growth", "new spot", "sore")
VISITS = 14  # [1] one more than three months of weeks
GROWTH = 1.35  # [1] of area over the series
BREAK = 6  # [visit] a new spot or a sore is there from then on
START = datetime(2026, 1, 4)  # noqa: DTZ001  a photo's own clock has no zone
SPOKEN = {Level.NOW, Level.SHOW, Level.WATCH}
ASKING = {"odd_visit", "new_spot_once"}  # ask for a second photo, state nothing
WANTED = {
    "growth": {"growth", "fast_growth"},
    "new spot": {"new_spot"},
    "sore": {"sore_surface"},
}


@dataclass(frozen=True)
class Story:
    """One subject and what befalls it."""

    number: int
    name: str
    subject: Subject

    def at(self, visit: int) -> Subject:
        """The subject as it is at a visit."""
        if self.name == "growth":
            return self.subject.with_first_grown(GROWTH ** (visit / (VISITS - 1)))
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
    spot = Spot(
        kind="pigment" if name != "sore" else str(rng.choice(["pigment", "inflamed"])),
        diameter_mm=rng.uniform(2.5, 5),
        irregularity=rng.uniform(0.05, 0.12),
        edge_mm=rng.uniform(0.1, 0.35),
        contrast=rng.uniform(0.85, 1.1),
        seed=int(rng.integers(1000)),
    )
    site = parse_site(SITES[number % len(SITES)])
    skin = float(rng.choice([0.02, 0.1, 0.2]))
    return Story(
        number, name, Subject(site, seed=int(rng.integers(10**6)), spots=(spot,), skin=skin)
    )


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
        width_px=1500,
        height_px=1125,
        px_per_mm=rng.uniform(19, 28),
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


def photographed(one: Story, seed: int) -> Iterator[tuple[Reading, dict[str, float]]]:
    """Readings of all visits with the true log ratio of areas."""
    rng = np.random.default_rng([seed, one.number, 1])
    first: Reading | None = None
    first_area = 1.0
    for visit in range(VISITS):
        snapshot = shoot(one.at(visit), shot(rng, visit))
        area = snapshot.truth.spots[0].rest_area_mm2
        reading = examine_photo(
            snapshot.jpeg,
            name=f"{visit}.jpg",
            now=START + timedelta(days=400),
            seed=None if first else Seed(*snapshot.truth.circle),
            first=first,
        )
        if first is None and not reading.usable:
            continue
        if first is None:
            first, first_area = reading, area
        yield reading, {"visit": visit, "log_ratio": float(np.log(area / first_area))}


def readings_of(one: Story, seed: int, kept: Path) -> list[tuple[Reading, dict[str, float]]]:
    """The readings of a subject, from the folder or made now."""
    file = kept / f"{seed}_{one.number}.json"
    if not file.exists():
        rows = [[reading_to_json(reading), truth] for reading, truth in photographed(one, seed)]
        file.write_text(json.dumps(rows))
    return [(reading_from_json(row), truth) for row, truth in json.loads(file.read_text())]


def judged(one: Story, rows: list[tuple[Reading, dict[str, float]]]) -> dict[str, object]:
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
    first_hit = next((i for i, keys in enumerate(said) if keys & wanted), None)
    other = Counter(key for keys in said for key in keys - wanted - ASKING)
    asked = sum(bool(keys & ASKING) for keys in said)
    return {"hit": first_hit, "other": other, "asked": asked, "visits": len(said)}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--subjects", type=int, default=20)
    parser.add_argument("--from", type=int, default=0, dest="start", help="first subject's number")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--kept", type=Path, required=True, help="folder for the readings")
    options = parser.parse_args()
    cv2.setNumThreads(1)
    options.kept.mkdir(parents=True, exist_ok=True)
    errors, lost, photos = [], 0, 0
    for number in range(options.start, options.start + options.subjects):
        one = story(number, options.seed)
        rows = readings_of(one, options.seed, options.kept)
        usable = [(r, t) for r, t in rows if r.usable]
        photos += VISITS
        lost += VISITS - len(usable)
        for reading, truth in usable[1:]:
            ratio, _ = change_from_first(usable[0][0], reading)
            if ratio is not None:
                error = np.log(ratio.value) - truth["log_ratio"]
                errors.append((error, ratio.u / ratio.value))
        print(number, one.subject.site, one.name, judged(one, rows), flush=True)
    if errors:
        error, u = np.array(errors).T
        print(
            f"{photos} photos, {lost} not used; log area ratio: sd {error.std():.4f}, robust "
            f"{1.4826 * np.median(np.abs(error)):.4f}, stated {np.median(u):.4f}, within 95 % "
            f"{np.mean(np.abs(error) < 1.96 * u):.3f}"
        )


if __name__ == "__main__":
    main()
