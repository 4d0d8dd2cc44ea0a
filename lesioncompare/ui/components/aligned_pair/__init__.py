"""Aligned photos on the screen: any two against each other, and all of them in a strip.

The viewer is the one of the report, so a vet finds the same in the app and in the file.
"""

import hashlib
import json
import struct
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import streamlit as st

from lesioncompare.report.html import VIEWER_CSS, asset, viewer_script
from lesioncompare.report.words import VIEWER

_HERE = Path(__file__).parent
_css = asset(VIEWER_CSS) + (_HERE / "pair.css").read_text(encoding="utf-8")
_pair = st.components.v2.component(
    "lesioncompare_aligned_pair",
    html='<div class="viewer"></div>',
    css=_css,
    js=viewer_script() + (_HERE / "pair.js").read_text(encoding="utf-8"),
)
_strip = st.components.v2.component(
    "lesioncompare_aligned_strip",
    html='<ol class="strip"></ol>',
    css=_css,
    js=(_HERE / "strip.js").read_text(encoding="utf-8"),
)
_sheet = st.components.v2.component(
    "lesioncompare_curve_sheet",
    html='<div class="sheet" tabindex="0" role="group"></div>',
    css=_css,
    js=(_HERE / "sheet.js").read_text(encoding="utf-8"),
)


@dataclass(frozen=True, slots=True)
class Shot:
    """An aligned square picture (JPEG), its label, words for who cannot see it, its border [px]."""

    jpeg: bytes
    label: str
    alt: str
    outline: Sequence[Sequence[float]] | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """A place that was pointed at: on which of the two pictures, and where [px]."""

    which: int
    x: float
    y: float


def aligned_pair(  # noqa: PLR0913  one argument for each thing shown
    earlier: Shot,
    later: Shot,
    *,
    key: str,
    side_px: int,
    mm_per_px: float,
    mark: tuple[float, float] | None = None,
    on_mark: Callable[[Mark], None] | None = None,
) -> None:
    """The two pictures, each ``side_px`` wide; ``on_mark`` gets a place pointed at."""

    def keep() -> None:
        told = (st.session_state.get(key) or {}).get("mark")
        if told and on_mark is not None:
            on_mark(Mark(int(told["which"]), float(told["x"]), float(told["y"])))

    head = {"side": side_px, "mm": mm_per_px, "words": VIEWER, "mark": mark}
    data = _packed(head | {"marks": on_mark is not None}, (earlier, later))
    _pair(key=key, data=data, on_mark_change=keep)


def aligned_strip(shots: Sequence[Shot], *, key: str, label: str) -> None:
    """Small pictures side by side, oldest first; the strip moves sideways in its own frame."""
    _strip(key=key, data=_packed({"label": label}, shots))


def curve_sheet(svg: str, *, key: str, label: str, small: bool = False) -> None:
    """A drawing made by ``report.drawing.as_svg``; it moves sideways where the screen is small.

    ``small`` is one that may shrink to any screen instead.
    """
    _sheet(key=key, data={"svg": svg, "label": label, "small": small})


def _packed(head: dict[str, Any], shots: Sequence[Shot]) -> bytes:
    """The facts as JSON behind their length, then the pictures."""
    facts = [
        {"label": s.label, "alt": s.alt, "outline": s.outline, "bytes": len(s.jpeg)} for s in shots
    ]
    body = b"".join(s.jpeg for s in shots)
    head = {**head, "shots": facts}
    head["id"] = hashlib.sha256(json.dumps(head).encode() + body).hexdigest()
    packed = json.dumps(head).encode()
    return struct.pack(">I", len(packed)) + packed + body
