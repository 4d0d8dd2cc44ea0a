"""Names of rows: opaque, sortable by creation, and the same in every installation."""

import secrets
import threading
import time

_lock = threading.Lock()
_last = [0]


def new_id(after: str = "") -> str:
    """A new 24-digit hexadecimal id, greater than ``after`` and than every id made here before.

    Greater even when the machine's clock was set back: the latest row stays the latest.
    """
    with _lock:
        floor = int(after[:14] or "0", 16)
        microseconds = max(time.time_ns() // 1000, _last[0] + 1, floor + 1)
        _last[0] = microseconds
    return f"{microseconds:014x}{secrets.token_hex(5)}"
