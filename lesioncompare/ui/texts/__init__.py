"""Every English word on the screens, in one place, ready to be translated.

Sentences about a photo or a change come from ``lesioncompare.registry``.
"""

from lesioncompare.ui.texts.cats import CAT, COATS, PATTERNS, PIGMENTS, SITE, WHITE_AREAS
from lesioncompare.ui.texts.common import CANVAS, COMMON, DATES, DIVIDER, HOME, LEVELS, SERVE
from lesioncompare.ui.texts.guide import GUIDE, STICKERS, VET
from lesioncompare.ui.texts.history import CHART, HISTORY
from lesioncompare.ui.texts.visit import RESULT, VISIT

__all__ = [
    "CANVAS",
    "CAT",
    "CHART",
    "COATS",
    "COMMON",
    "DATES",
    "DIVIDER",
    "GUIDE",
    "HISTORY",
    "HOME",
    "LEVELS",
    "PATTERNS",
    "PIGMENTS",
    "RESULT",
    "SERVE",
    "SITE",
    "STICKERS",
    "VET",
    "VISIT",
    "WHITE_AREAS",
]
