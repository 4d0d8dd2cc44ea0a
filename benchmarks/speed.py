"""What each stage costs on a 12-megapixel photo, against the bare decoding of it; and the memory.

Times are those of one core of the processor, so that other work on the machine counts little.
Run from the root of the checkout:

    OMP_NUM_THREADS=1 .venv/bin/python -m benchmarks.speed out/speed          # makes the photos
    OMP_NUM_THREADS=1 .venv/bin/python -m benchmarks.speed out/speed again    # measures
"""

import io
import resource
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from lesioncompare.calibrate import calibrate, close_up, overview
from lesioncompare.decode import decode
from lesioncompare.judge import judge
from lesioncompare.locate import locate
from lesioncompare.phantom import Shot, Spot, Subject, shoot
from lesioncompare.pipeline import examine_photo
from lesioncompare.records import Circle, Reading, Seed, StickerHint
from lesioncompare.science.plane import apply_homography, local_scale
from lesioncompare.settings import Settings
from lesioncompare.terms import parse_site

SIZE_PX = (4032, 3024)
REPEATS = 3
NOW = datetime(2026, 12, 31, tzinfo=UTC)
SEED = 91_000
FILES = "first.jpg", "later.jpg"


def least_ms(work: Callable[[], object]) -> float:
    """Least processor time of a few runs [ms]."""
    times = []
    for _ in range(REPEATS):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return 1000 * min(times)


def photographs() -> list[tuple[bytes, Seed]]:
    """Two visits of one simulated site, the second turned and slanted."""
    subject = Subject(parse_site("nose"), seed=SEED, spots=(Spot(diameter_mm=4.0, seed=SEED),))
    taken = []
    for visit, (roll, tilt) in enumerate(((0.0, 5.0), (25.0, 18.0))):
        shot = Shot(
            seed=SEED + visit,
            width_px=SIZE_PX[0],
            height_px=SIZE_PX[1],
            px_per_mm=50.0,
            roll_deg=roll,
            tilt_deg=tilt,
            blur_px=1.6,
            taken=datetime(2026, 6, 1 + 7 * visit, tzinfo=UTC),
        )
        snapshot = shoot(subject, shot)
        taken.append((snapshot.jpeg, Seed(*snapshot.truth.circle)))
    return taken


def bare(data: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(data)) as picture:
        return np.asarray(picture.convert("RGB"))


def stages(data: bytes, seed: Seed) -> dict[str, float]:
    """Processor time of each stage before the outline [ms]."""
    settings = Settings()
    photo = decode(data, name="x", now=NOW)
    sticker = locate(photo, StickerHint(), settings)
    at = np.array([[seed.x, seed.y]])
    middle = apply_homography(sticker.px_to_mm, at)[0]
    radius = seed.radius * float(local_scale(sticker.px_to_mm, at)[0])
    circle = Circle(float(middle[0]), float(middle[1]), radius)
    calibration = calibrate(photo, sticker, (seed.x, seed.y), settings)
    scene = close_up(photo, sticker, calibration, circle)
    return {
        "decode": least_ms(lambda: decode(data, name="x", now=NOW)),
        "locate": least_ms(lambda: locate(photo, StickerHint(), settings)),
        "calibrate": least_ms(lambda: calibrate(photo, sticker, (seed.x, seed.y), settings)),
        "overview": least_ms(lambda: overview(photo, sticker, calibration)),
        "close-up": least_ms(lambda: close_up(photo, sticker, calibration, circle)),
        "judge": least_ms(lambda: judge(photo, sticker, calibration, scene, circle, settings)),
    }


def peak_mb() -> float:
    """Most memory that this process has held [MB]."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1e6 if sys.platform == "darwin" else 1e3)


def main() -> None:
    cv2.setNumThreads(1)
    if len(sys.argv) < 2:
        print("give a folder for the two photographs")
        return
    folder = sys.argv[1]
    Path(folder).mkdir(parents=True, exist_ok=True)
    paths = [f"{folder}/{name}" for name in FILES]
    if len(sys.argv) > 2:  # a fresh process made them: the drawing of phantoms takes much memory
        measure(paths)
        return
    for path, (data, seed) in zip(paths, photographs(), strict=True):
        with open(path, "wb") as file, open(path + ".txt", "w", encoding="ascii") as words:  # noqa: PTH123
            file.write(data)
            words.write(f"{seed.x} {seed.y} {seed.radius}")
    print("now once more with a second argument, in a process of its own")


def measure(paths: list[str]) -> None:
    """Print the table."""
    before = peak_mb()
    photos = []
    for path in paths:
        with open(path, "rb") as file, open(path + ".txt", encoding="ascii") as words:  # noqa: PTH123
            photos.append((file.read(), Seed(*map(float, words.read().split()))))
    (first, seed), (later, later_seed) = photos
    alone = least_ms(lambda: bare(later))
    rows = {"bare decoding": alone, **stages(later, later_seed)}
    kept: dict[str, Reading] = {}

    def read(name: str, data: bytes, **given: Seed | Reading) -> None:
        kept.pop(name, None)
        kept[name] = examine_photo(data, name=name, now=NOW, **given)

    rows["first photo, all"] = least_ms(lambda: read("first", first, seed=seed))
    rows["later photo, all"] = least_ms(lambda: read("later", later, first=kept["first"]))
    for name, took in rows.items():
        print(f"{name:20}{took:8.0f} ms{took / alone:8.2f} x")
    usable = [reading.usable for reading in kept.values()]
    print(f"usable: {usable}; memory {before:.0f} MB after imports, {peak_mb():.0f} MB at most")


if __name__ == "__main__":
    main()
