"""How long a 12-megapixel photo takes to decode, beside Pillow alone.

Run from the root of the checkout:

    .venv/bin/python -m benchmarks.decoding
"""

import io
import time
from collections.abc import Callable
from datetime import UTC, datetime

import numpy as np
from PIL import Image, ImageCms

from lesioncompare.decode import decode

WIDTH, HEIGHT = 4032, 3024  # [px]
REPEATS = 5
NOW = datetime(2026, 1, 1, tzinfo=UTC)


def fastest_ms(work: Callable[[], object]) -> float:
    """Least of a few runs [ms]."""
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1000 * min(times)


def photo() -> Image.Image:
    rng = np.random.default_rng(1)
    coarse = rng.integers(0, 255, (HEIGHT // 8, WIDTH // 8, 3)).astype(np.uint8)
    return Image.fromarray(coarse).resize((WIDTH, HEIGHT), Image.Resampling.BICUBIC)


def bare(data: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(data)) as picture:
        return np.asarray(picture.convert("RGB"))


def main() -> None:
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    turned = Image.Exif()
    turned[0x0112] = 6
    cases = {
        "JPEG": ("JPEG", {}),
        "JPEG, turned, sRGB profile": ("JPEG", {"exif": turned.tobytes(), "icc_profile": srgb}),
        "JPEG, progressive": ("JPEG", {"progressive": True}),
        "PNG": ("PNG", {}),
        "WebP": ("WEBP", {}),
        "AVIF": ("AVIF", {"speed": 8}),
    }
    print(f"{'12 megapixels':28}{'MB':>6}{'Pillow ms':>11}{'decode ms':>11}")
    for name, (form, options) in cases.items():
        buffer = io.BytesIO()
        photo().save(buffer, form, **options)
        data = buffer.getvalue()
        ours = fastest_ms(lambda data=data: decode(data, name="x", now=NOW))
        alone = fastest_ms(lambda data=data: bare(data))
        print(f"{name:28}{len(data) / 1e6:6.1f}{alone:11.0f}{ours:11.0f}")


if __name__ == "__main__":
    main()
