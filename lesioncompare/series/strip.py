"""Small aligned pictures of a whole series, made behind the screen where they are missing."""

import threading

from lesioncompare.errors import LesionCompareError
from lesioncompare.series.follow import Followed, Taken
from lesioncompare.series.pictures import Aligned, aligned, aligned_if_kept
from lesioncompare.store import Store

_busy: set[tuple[str, str]] = set()
_lock = threading.Lock()


def laid_over(followed: Followed) -> list[Taken]:
    """The photos that lie over the first one, in order of time."""
    return [t for t in followed.taken if t.counts and t.reading.alignment is not None]


def strip(store: Store, followed: Followed, *, side_px: int) -> list[tuple[Taken, Aligned | None]]:
    """Every photo that lies over the first, with its picture where it is made already.

    Missing ones are made on another thread: ask again a little later.
    """
    first, taken = followed.first, laid_over(followed)
    if first is None:
        return []
    shown = [(t, aligned_if_kept(store, t, first, side_px=side_px)) for t in taken]
    if any(picture is None for _, picture in shown):
        _make_behind(store, followed, first, side_px)
    return shown


def being_made(store: Store, followed: Followed) -> bool:
    """Whether pictures of this series are being made behind the screen."""
    with _lock:
        return (str(store.home), followed.spot_id) in _busy


def _make_behind(store: Store, followed: Followed, first: Taken, side_px: int) -> None:
    name = (str(store.home), followed.spot_id)
    with _lock:
        if name in _busy:
            return
        _busy.add(name)

    def work() -> None:
        try:
            for taken in reversed(laid_over(followed)):  # the newest first
                aligned(store, taken, first, side_px=side_px)
        except (LesionCompareError, OSError):
            pass  # a photo that can no longer be read: the screen says so where it is opened
        finally:
            with _lock:
                _busy.discard(name)

    threading.Thread(target=work, daemon=True, name="pictures").start()
