"""Two aligned photos in one frame, with a line to move between them or one after the other."""

import hashlib
import json
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import streamlit as st

from lesioncompare.ui.texts import DIVIDER

_HERE = Path(__file__).parent
RULE_MM = 2.0  # [mm] length of the bar in the corner
EVERY_S = 0.9  # [s] each photo when alternating; the script refuses anything under 0.5 s
_mount = st.components.v2.component(
    "lesioncompare_divider",
    html='<div class="root"></div>',
    css=(_HERE / "divider.css").read_text(),
    js=(_HERE / "divider.js").read_text(),
)


@dataclass(frozen=True, slots=True)
class Shown:
    """An aligned square picture (JPEG), its short label, and the border drawn on it [px]."""

    jpeg: bytes
    label: str
    alt: str
    outline: Sequence[Sequence[float]] | None = None


def divider(earlier: Shown, later: Shown, *, key: str, side_px: int, mm_per_px: float) -> None:
    """The two pictures; both must be ``side_px`` wide and show the same place at the same scale."""
    shown = [
        {"label": s.label, "alt": s.alt, "outline": s.outline, "bytes": len(s.jpeg)}
        for s in (earlier, later)
    ]
    head = {
        "shown": shown,
        "side": side_px,
        "every_s": EVERY_S,
        "rule": {"label": f"{RULE_MM:g} mm", "share": RULE_MM / mm_per_px / side_px},
        "texts": DIVIDER,
    }
    body = earlier.jpeg + later.jpeg
    head["id"] = hashlib.sha256(json.dumps(head).encode() + body).hexdigest()
    packed = json.dumps(head).encode()
    _mount(key=key, data=struct.pack(">I", len(packed)) + packed + body)
