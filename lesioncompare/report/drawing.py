"""Drawings as data: lines, areas, dots and words in millimetres, drawn alike in PDF and SVG."""

from dataclasses import dataclass
from html import escape
from typing import TypeAlias

Place: TypeAlias = tuple[float, float]  # [mm] from the upper left, y down


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through places; ``grey`` 0 is black."""

    places: tuple[Place, ...]
    width: float = 0.25
    grey: float = 0.0


@dataclass(frozen=True, slots=True)
class Area:
    """A filled polygon."""

    places: tuple[Place, ...]
    grey: float = 0.88


@dataclass(frozen=True, slots=True)
class Dot:
    """A round or square mark; hollow ones are filled with paper."""

    at: Place
    radius: float
    hollow: bool = False
    square: bool = False


@dataclass(frozen=True, slots=True)
class Label:
    """Words; ``anchor`` is "start", "middle" or "end"; ``at`` lies on their baseline."""

    at: Place
    words: str
    size: float = 2.6  # [mm]
    anchor: str = "start"


Shape: TypeAlias = Stroke | Area | Dot | Label


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes on a sheet, the first at the bottom [mm]."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


def as_svg(drawing: Drawing, *, alt: str, name: str) -> str:
    """The drawing as inline SVG in the colours of the text around it.

    Parameters
    ----------
    drawing
        What to draw.
    alt
        What it shows, in words.
    name
        A word of letters and digits, different for each drawing of a page.
    """
    body = "".join(_shape(shape) for shape in drawing.shapes)
    return (
        f'<svg class="drawing" viewBox="0 0 {drawing.width:g} {drawing.height:g}" role="img" '
        f'aria-labelledby="{name}-alt" font-family="inherit">'
        f'<title id="{name}-alt">{escape(alt)}</title>{body}</svg>'
    )


def _shape(shape: Shape) -> str:
    if isinstance(shape, Label):
        x, y = shape.at
        return (
            f'<text x="{x:.2f}" y="{y:.2f}" font-size="{shape.size:g}" fill="currentColor" '
            f'text-anchor="{shape.anchor}">{escape(shape.words)}</text>'
        )
    if isinstance(shape, Dot):
        return _dot(shape)
    points = " ".join(f"{x:.2f},{y:.2f}" for x, y in shape.places)
    if isinstance(shape, Area):
        ink = 1 - shape.grey
        return f'<polygon points="{points}" fill="currentColor" fill-opacity="{ink:.2f}"/>'
    return (
        f'<polyline points="{points}" fill="none" stroke="currentColor" '
        f'stroke-opacity="{1 - shape.grey:.2f}" stroke-width="{shape.width:g}"/>'
    )


def _dot(dot: Dot) -> str:
    x, y = dot.at
    fill = "var(--paper, white)" if dot.hollow else "currentColor"
    look = f'fill="{fill}" stroke="currentColor" stroke-width="0.3"'
    if dot.square:
        side = 2 * dot.radius
        left, top = x - dot.radius, y - dot.radius
        return f'<rect x="{left:.2f}" y="{top:.2f}" width="{side:g}" height="{side:g}" {look}/>'
    return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{dot.radius:g}" {look}/>'
