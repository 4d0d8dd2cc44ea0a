"""A document as one HTML file that needs nothing else: pictures, looks and script inside.

The script turns the aligned photos against each other, offline. The page allows no other script:
its own is known by its hash, so words typed by people can never run.
"""

import base64
import hashlib
from html import escape
from importlib.resources import files

from lesioncompare.report.document import Document, Pictures, blocks_of
from lesioncompare.report.html.blocks import Writer, section_html

VIEWER_CSS = "viewer.css"
VIEWER_PARTS = ("geometry.js", "difference.js", "overlay.js", "hands.js", "viewer.js")  # in order


def asset(name: str) -> str:
    """The text of a file that lies beside this one in the package."""
    return files(__package__).joinpath(name).read_text(encoding="utf-8")


def viewer_script() -> str:
    """The script that shows two aligned photos against each other: ``new Viewer(root, facts)``."""
    return "\n".join(asset(part) for part in VIEWER_PARTS)


def as_html(document: Document) -> bytes:
    """The page as UTF-8 bytes.

    References
    ----------
    .. [1] Content Security Policy Level 3, 2.3.1 (hash sources).
    .. [2] Web Content Accessibility Guidelines 2.2.
    """
    script = f"{viewer_script()}\n{asset('boot.js')}" if _has_pictures(document) else ""
    style = asset("page.css") + asset(VIEWER_CSS)
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    policy = (
        "default-src 'none'; img-src data:; style-src 'unsafe-inline'; "
        f"script-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    )
    writer = Writer()
    sections = "".join(section_html(section, writer) for section in document.sections)
    title, caution = escape(document.title), escape(document.caution)
    made = f"{document.made.date().isoformat()}, {escape(document.program)}"
    page = f"""<!DOCTYPE html>
<html lang="{escape(document.language)}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<title>{title}</title>
<style>{style}</style>
</head>
<body>
<header>
<h1>{title}</h1>
<p>{escape(document.subtitle)}. {made}</p>
<p class="caution">{caution}</p>
</header>
<main>
{sections}
</main>
<footer>
<p class="caution">{caution}</p>
<p>{made}</p>
</footer>
<script>{script}</script>
</body>
</html>
"""
    return page.encode()


def _has_pictures(document: Document) -> bool:
    found = [b for b in blocks_of(document, Pictures) if isinstance(b, Pictures)]
    return any(block.frames for block in found)
