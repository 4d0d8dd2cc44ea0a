"""Measuring behind the screen: one photo after the other, while the keeper goes on."""

import threading
from concurrent.futures import Future, ThreadPoolExecutor, wait

from lesioncompare.series.examine import examine
from lesioncompare.series.through import Look
from lesioncompare.store import KeptPhoto, Run, Store

LONGEST_S = 120.0  # [s] nobody waits longer; what is missing is then measured on the spot

_worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="measuring")
_waiting: dict[str, list[Future[Run]]] = {}
_lock = threading.Lock()


def measure_soon(
    store: Store, photo_id: str, spot_id: str, first: KeptPhoto, look: Look | None = None
) -> None:
    """Measure a stored photo as soon as those before it are done."""
    with _lock:
        job = _worker.submit(examine, store, photo_id, spot_id, first=first, look=look)
        _waiting.setdefault(photo_id, []).append(job)


def being_measured(photo_id: str) -> bool:
    """True while a photo waits or is being measured."""
    with _lock:
        left = [job for job in _waiting.get(photo_id, ()) if not job.done()]
        if not left:
            _waiting.pop(photo_id, None)
        return bool(left)


def wait_until_measured(photo_id: str) -> None:
    """Come back when nothing more is under way for a photo."""
    with _lock:
        jobs = list(_waiting.get(photo_id, ()))
    wait(jobs, timeout=LONGEST_S)
