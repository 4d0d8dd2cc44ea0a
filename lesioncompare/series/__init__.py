"""What the store keeps, run through the pipeline: photos become readings, readings a series."""

from lesioncompare.series.examine import Look, baseline_of, examine, look, remeasure, warm_up
from lesioncompare.series.follow import Followed, Taken, follow_spot
from lesioncompare.series.mend import mended_contour
from lesioncompare.series.pictures import (
    Aligned,
    Display,
    aligned,
    display_copy,
    outline_px,
    sticker_px,
)

__all__ = [
    "Aligned",
    "Display",
    "Followed",
    "Look",
    "Taken",
    "aligned",
    "baseline_of",
    "display_copy",
    "examine",
    "follow_spot",
    "look",
    "mended_contour",
    "outline_px",
    "remeasure",
    "sticker_px",
    "warm_up",
]
