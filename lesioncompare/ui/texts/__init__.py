"""Every English word on the screens, in one place, ready to be translated.

Sentences about a photo or a change come from ``lesioncompare.registry``.
"""

from lesioncompare.ui.texts.cats import CAT, COATS, PATTERNS, PIGMENTS, SITE, WHITE_AREAS
from lesioncompare.ui.texts.common import CANVAS, COMMON, DATES, DIVIDER, HOME, LEVELS, SERVE
from lesioncompare.ui.texts.guide import GUIDE, STICKERS
from lesioncompare.ui.texts.history import CHART, HISTORY
from lesioncompare.ui.texts.home_check import HABIT, HOME_CHECK
from lesioncompare.ui.texts.practice import PRACTICE
from lesioncompare.ui.texts.sun import CITED, SUN, WHICH
from lesioncompare.ui.texts.vet import REVIEW, VET
from lesioncompare.ui.texts.visit import RESULT, VISIT

__all__ = [
    "CANVAS",
    "CAT",
    "CHART",
    "CITED",
    "COATS",
    "COMMON",
    "DATES",
    "DIVIDER",
    "GUIDE",
    "HABIT",
    "HISTORY",
    "HOME",
    "HOME_CHECK",
    "LEVELS",
    "PATTERNS",
    "PIGMENTS",
    "PRACTICE",
    "RESULT",
    "REVIEW",
    "SERVE",
    "SITE",
    "STICKERS",
    "SUN",
    "VET",
    "VISIT",
    "WHICH",
    "WHITE_AREAS",
]
