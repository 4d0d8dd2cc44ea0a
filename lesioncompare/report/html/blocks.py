"""Each block of a document as HTML; every word of it is escaped."""

import base64
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from html import escape

from lesioncompare.report.document import (
    Block,
    Facts,
    Figure,
    Frame,
    Lines,
    Paragraph,
    Patches,
    Pictures,
    Section,
    Statements,
    Table,
)
from lesioncompare.report.drawing import as_svg
from lesioncompare.report.words import VIEWER

FEW_COLUMNS = 3  # [1] a table of more is moved sideways on a small screen
MARK_SHARE = 0.035  # [1] radius of a marked place over the picture's width
CODE = 64  # [1] characters of a word that may be broken anywhere


@dataclass(slots=True)
class Writer:
    """What is already on the page: numbers of sections, drawings and pictures."""

    sections: int = 0
    drawings: int = 0
    pictures: set[int] = field(default_factory=set)


def section_html(section: Section, writer: Writer) -> str:
    """A heading and its blocks."""
    writer.sections += 1
    name = f"part{writer.sections}"
    body = "".join(_WRITERS[type(block)](block, writer) for block in section.blocks)
    title = f'<h2 id="{name}">{escape(section.title)}</h2>'
    return f'<section aria-labelledby="{name}">{title}{body}</section>\n'


def _paragraph(block: Paragraph, writer: Writer) -> str:
    del writer
    words = escape(block.words)
    return f"<p><strong>{words}</strong></p>" if block.strong else f"<p>{words}</p>"


def _lines(block: Lines, writer: Writer) -> str:
    del writer
    return "<ol>" + "".join(f"<li>{escape(item)}</li>" for item in block.items) + "</ol>"


def _pairs(pairs: Sequence[tuple[str, str]]) -> str:
    return "".join(f"<dt>{escape(name)}</dt><dd>{escape(value)}</dd>" for name, value in pairs)


def _facts(block: Facts, writer: Writer) -> str:
    del writer
    return f"<dl>{_pairs(block.pairs)}</dl>"


def _statements(block: Statements, writer: Writer) -> str:
    del writer
    return "".join(
        f"<h3>{escape(item.level)}: {escape(item.words)}</h3>"
        + (f"<dl>{_pairs(item.parts)}</dl>" if item.parts else "")
        for item in block.items
    )


def _pictures(block: Pictures, writer: Writer) -> str:
    """The first time some photos, with the viewer for any two; from then on all of them."""
    first = not writer.pictures
    numbers = block.shown if first else range(len(block.frames))
    shots = "".join(_shot(block, number, again=number in writer.pictures) for number in numbers)
    writer.pictures |= set(numbers)
    pair = " pair" if first else ""
    caption = f"<p>{escape(block.caption)}</p>" if block.caption else ""
    viewer = _viewer(block) if first and len(block.frames) > 1 else ""
    return f'<div class="shots{pair}">{shots}</div>{caption}{viewer}'


def _shot(block: Pictures, number: int, *, again: bool) -> str:
    """A photo with its border; the viewer takes each from where it first stands, by its number."""
    frame = block.frames[number]
    data = base64.b64encode(frame.jpeg).decode()
    outline = [] if frame.outline is None else frame.outline.round(1).tolist()
    facts = f' data-number="{number}" data-outline="{escape(json.dumps(outline or None))}"'
    return (
        f"<figure{'' if again else facts}>"
        f'<div class="shot"><img src="data:image/jpeg;base64,{data}" alt="{escape(frame.alt)}" '
        f'width="{block.side_px}" height="{block.side_px}">{_border(block, frame)}</div>'
        f"<figcaption>{escape(frame.label)}</figcaption></figure>"
    )


def _border(block: Pictures, frame: Frame) -> str:
    lines = []
    if frame.outline is not None:
        lines.append("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in frame.outline) + "Z")
    if frame.mark is not None:
        lines.append(_cross(*frame.mark, radius=MARK_SHARE * block.side_px))
    drawn = "".join(f'<path class="{kind}" d="{d}"/>' for d in lines for kind in ("under", "line"))
    box = f"-0.5 -0.5 {block.side_px} {block.side_px}"
    return f'<svg viewBox="{box}" aria-hidden="true">{drawn}</svg>' if lines else ""


def _cross(x: float, y: float, *, radius: float) -> str:
    """The path of a cross in a circle."""
    r, arm = radius, 0.6 * radius
    ring = f"M{x - r:.1f} {y:.1f}a{r:.1f} {r:.1f} 0 1 0 {2 * r:.1f} 0"
    ring += f"a{r:.1f} {r:.1f} 0 1 0 {-2 * r:.1f} 0"
    return f"{ring}M{x - arm:.1f} {y:.1f}h{2 * arm:.1f}M{x:.1f} {y - arm:.1f}v{2 * arm:.1f}"


def _viewer(block: Pictures) -> str:
    """Room for the viewer; it stays hidden where scripts do not run."""
    words = escape(json.dumps(VIEWER))
    return (
        f'<div class="viewer-room" hidden><h3>{escape(VIEWER["title"])}</h3>'
        f'<div class="viewer" data-side="{block.side_px}" data-mm="{block.mm_per_px:.8f}" '
        f'data-words="{words}"></div></div>'
    )


def _figure(block: Figure, writer: Writer) -> str:
    writer.drawings += 1
    drawing = as_svg(block.drawing, alt=block.alt, name=f"drawing{writer.drawings}")
    caption = escape(block.caption)
    whole = ' class="whole"' if writer.drawings == 1 else ""  # never only its first, flat visits
    return (
        f'<figure{whole}><div class="wide" tabindex="0" role="group" '
        f'aria-label="{escape(block.alt)}">{drawing}</div>'
        f"<figcaption>{caption}</figcaption></figure>"
    )


def _table(block: Table, writer: Writer) -> str:
    head = "".join(f'<th scope="col">{escape(words)}</th>' for words in block.headings)
    rows = "".join(f"<tr>{_cells(row)}</tr>" for row in block.rows)
    return _scrolling(block.caption, block.headings[0], f"<tr>{head}</tr>", rows, writer)


def _cells(row: Sequence[str]) -> str:
    first, *rest = row
    cells = "".join(f"<td{_kind(words)}>{escape(words)}</td>" for words in rest)
    return f'<th scope="row">{escape(first)}</th>{cells}'


def _kind(words: str) -> str:
    """Whether a cell holds a hash, which may be broken anywhere, or an interval, which may not."""
    if len(words) >= CODE and " " not in words:
        return ' class="code"'
    return ' class="figures"' if "\n" in words and "…" in words else ""


def _scrolling(caption: str, label: str, head: str, rows: str, writer: Writer) -> str:
    """A table that may be wider than the screen, reachable by keyboard to be moved."""
    title = f"<caption>{escape(caption)}</caption>" if caption else ""
    name = escape(caption[:80] or label)
    del writer
    many = ' class="many"' if head.count("<th") > FEW_COLUMNS else ""
    return (
        f'<div class="wide" tabindex="0" role="group" aria-label="{name}">'
        f"<table{many}>{title}<thead>{head}</thead><tbody>{rows}</tbody></table></div>"
    )


def _patches(block: Patches, writer: Writer) -> str:
    head = "".join(f'<th scope="col">{escape(words)}</th>' for words in block.headings)
    rows = ""
    for item in block.items:
        spot, skin, both = (escape(words) for words in item.words)
        rows += (
            f'<tr><th scope="row">{escape(item.name)}</th><td>{_patch(item.spot)}</td>'
            f"<td>{spot}</td><td>{_patch(item.skin)}</td><td>{skin}</td><td>{both}</td></tr>"
        )
    return _scrolling(block.caption, block.headings[0], f"<tr>{head}</tr>", rows, writer)


def _patch(code: tuple[int, int, int]) -> str:
    red, green, blue = code
    return (
        f'<span class="patch" style="background:rgb({red},{green},{blue})" aria-hidden="true">'
        "</span>"
    )


_WRITERS: dict[type[Block], Callable[..., str]] = {
    Paragraph: _paragraph,
    Lines: _lines,
    Facts: _facts,
    Statements: _statements,
    Pictures: _pictures,
    Figure: _figure,
    Table: _table,
    Patches: _patches,
}
