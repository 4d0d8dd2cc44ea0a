"""Whether a photo was there before: the same file, the same picture, or the same moment.

References
----------
.. [1] Zauner C (2010) Implementation and benchmarking of perceptual image hash functions, thesis,
   Upper Austria University of Applied Sciences, 3.2 (hash of low DCT coefficients).
"""

from collections.abc import Iterator, Sequence
from datetime import timedelta

import numpy as np

from lesioncompare.records import Notice, Photo
from lesioncompare.registry import notice

# Of simulated photos 100 re-saved, shrunk and turned copies lay within 14 of 256 bits, 40 new ones
# of the same place (half of them very steady) beyond 61. Real ones may lie nearer, so the photo
# that is taken for a copy stays in the store: it is not counted, and the keeper is told why.
COPY_BITS = 16  # [bits of 256]
ALIKE_BITS = 40  # [bits of 256]
TOGETHER = timedelta(minutes=2)  # photos of one sitting; common practice, no source


def judge_copies(photo: Photo, earlier: Sequence[Photo]) -> tuple[Notice, ...]:
    """A notice when the photo is, or looks like, an earlier one; the nearest one is named.

    Parameters
    ----------
    photo
        The new photo.
    earlier
        Photos that are there already, with or without their pixels.
    """
    for before in earlier:
        if before.sha256 == photo.sha256:
            return (notice("same_file", earlier=_named(before)),)
    for bits, before in sorted(_near(photo, earlier), key=lambda pair: pair[0]):
        if _same_pixels(photo, before):
            return (notice("same_picture", earlier=_named(before)),)
        if _taken_together(photo, before):
            return (notice("taken_together", earlier=_named(before)),)
        if bits <= COPY_BITS:
            return (notice("looks_copied", earlier=_named(before), bits=bits),)
    return ()


def _near(photo: Photo, earlier: Sequence[Photo]) -> Iterator[tuple[int, Photo]]:
    """Earlier photos that look alike, turned and mirrored ones included, with their distance."""
    views = [int(code, 16) for code in photo.hashes]
    for before in earlier:
        if views and before.hashes:
            upright = int(before.hashes[0], 16)
            bits = min((view ^ upright).bit_count() for view in views)
            if bits <= ALIKE_BITS:
                yield bits, before


def _same_pixels(photo: Photo, before: Photo) -> bool:
    return photo.rgb.shape == before.rgb.shape and bool(np.array_equal(photo.rgb, before.rgb))


def _taken_together(photo: Photo, before: Photo) -> bool:
    """Both dated by the camera, minutes but not nothing apart: a repeat, which is welcome."""
    if photo.taken is None or before.taken is None or photo.taken == before.taken:
        return False
    return abs(photo.taken.replace(tzinfo=None) - before.taken.replace(tzinfo=None)) <= TOGETHER


def _named(before: Photo) -> str:
    return f"{before.taken:%Y-%m-%d}" if before.taken else before.name or "before"
