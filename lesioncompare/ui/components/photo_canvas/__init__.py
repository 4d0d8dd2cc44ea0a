"""A photo to touch: look at it, draw a circle round the spot, or correct an outline.

All coordinates that go in and come out are pixels of the original, upright photo.
"""

import json
import struct
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import streamlit as st

from lesioncompare.ui.texts import CANVAS

CIRCLE_ROOM = 4.0  # [1] half the width shown round a circle, over its radius; as in circle.js
_HERE = Path(__file__).parent
_SCRIPTS = ("stage.js", "circle.js", "mend.js", "main.js")
_mount = st.components.v2.component(
    "lesioncompare_photo_canvas",
    html='<div class="root"></div>',
    css=(_HERE / "canvas.css").read_text(),
    js="\n".join((_HERE / name).read_text() for name in _SCRIPTS),
)

Pairs = Sequence[Sequence[float]]


@dataclass(frozen=True, slots=True)
class Picture:
    """A display copy (JPEG) of a photo of ``width`` by ``height`` original pixels."""

    id: str
    jpeg: bytes
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Focus:
    """The part to show first: half its width round a point [px]."""

    x: float
    y: float
    half: float


def look_canvas(  # noqa: PLR0913  one argument for each thing drawn in
    picture: Picture,
    *,
    key: str,
    label: str,
    sticker: Pairs | None = None,
    outline: Pairs | None = None,
    focus: Focus | None = None,
) -> None:
    """A photo to move and zoom, with the sticker and an outline drawn in."""
    _stage(
        picture, key, "look", label, epoch=0, sticker=sticker, outline=outline, focus=_facts(focus)
    )


def circle_canvas(  # noqa: PLR0913  one argument for each thing drawn in
    picture: Picture,
    *,
    key: str,
    label: str,
    epoch: int,
    circle: Mapping[str, float] | None,
    sticker: Pairs | None = None,
    near_half: float | None = None,
    on_change: Callable[[dict[str, float]], None],
) -> dict[str, float] | None:
    """The circle a person draws round the spot: x, y, radius [px]; None before there is one.

    ``near_half`` is how much to show round a tapped place [px]. A new ``epoch`` starts over from
    ``circle``. ``on_change`` gets each circle as it is drawn.
    """

    def keep() -> None:
        drawn = _circle(key, epoch)
        if drawn is not None:
            on_change(drawn)

    _stage(
        picture,
        key,
        "circle",
        label,
        epoch=epoch,
        circle=dict(circle) if circle else None,
        sticker=sticker,
        focus=_round(circle, near_half) if circle else None,
        near_half=near_half,
        keep=keep,
    )
    return _circle(key, epoch) or (dict(circle) if circle else None)


def _round(circle: Mapping[str, float], near_half: float | None) -> dict[str, float]:
    """What to show first where a circle is there already."""
    half = max(CIRCLE_ROOM * circle["radius"], near_half or 0.0)
    return {"x": circle["x"], "y": circle["y"], "half": half}


def _circle(key: str, epoch: int) -> dict[str, float] | None:
    drawn = _state(key, "circle", epoch)
    return drawn and {name: float(drawn[name]) for name in ("x", "y", "radius")}


def drawn_edits(key: str, epoch: int) -> list[dict[str, Any]] | None:
    """The edits made so far on the canvas ``key``, read before it is mounted again."""
    state = _state(key, "edits", epoch)
    return None if state is None else list(state["list"])


def mend_canvas(  # noqa: PLR0913  one argument for each thing drawn in
    picture: Picture,
    *,
    key: str,
    label: str,
    epoch: int,
    outline: Pairs,
    edits: Sequence[Mapping[str, Any]],
    focus: Focus | None,
    on_change: Callable[[list[dict[str, Any]]], None],
) -> None:
    """An outline to correct. ``outline`` has ``edits`` in it; ``on_change`` gets all edits anew."""

    def keep() -> None:
        made = drawn_edits(key, epoch)
        if made is not None:
            on_change(made)

    _stage(
        picture,
        key,
        "mend",
        label,
        epoch=epoch,
        outline=outline,
        edits=list(edits),
        applied=[edit["id"] for edit in edits],
        focus=_facts(focus),
        keep=keep,
    )


def _facts(focus: Focus | None) -> dict[str, float] | None:
    return None if focus is None else asdict(focus)


def _state(key: str, name: str, epoch: int) -> Any | None:
    state = (st.session_state.get(key) or {}).get(name)
    return state if state and state.get("epoch") == epoch else None


def _stage(
    picture: Picture,
    key: str,
    tool: str,
    label: str,
    *,
    keep: Callable[[], None] | None = None,
    **data: Any,
) -> None:
    """Send the photo once, then mount the stage with what lies over it."""
    head = json.dumps({"id": picture.id}).encode()
    with st.container(key=f"sender-{key}"):  # takes no room, see style.css
        _mount(key=f"{key}-photo", data=struct.pack(">I", len(head)) + head + picture.jpeg)
    texts = {**CANVAS, "label": label}
    facts = {"id": picture.id, "width": picture.width, "height": picture.height, "tool": tool}
    given = "edits" if tool == "mend" else "circle"
    listen: dict[str, Any] = {} if keep is None else {f"on_{given}_change": keep}
    _mount(key=key, data={**facts, "texts": texts, **data}, **listen)
