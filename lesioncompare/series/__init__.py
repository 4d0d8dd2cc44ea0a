"""What the store keeps, run through the pipeline: photos become readings, readings a series."""

from lesioncompare.series.examine import baseline_of, circle_px, examine, remeasure, warm_up
from lesioncompare.series.follow import Followed, Taken, follow_spot
from lesioncompare.series.intake import Intake, look_again, retakes, take_in
from lesioncompare.series.jobs import being_measured, wait_until_measured
from lesioncompare.series.mend import mended_contour
from lesioncompare.series.pictures import (
    Aligned,
    Display,
    aligned,
    around,
    display_copy,
    outline_px,
    start_px,
    sticker_px,
)

__all__ = [
    "Aligned",
    "Display",
    "Followed",
    "Intake",
    "Taken",
    "aligned",
    "around",
    "baseline_of",
    "being_measured",
    "circle_px",
    "display_copy",
    "examine",
    "follow_spot",
    "look_again",
    "mended_contour",
    "outline_px",
    "remeasure",
    "retakes",
    "start_px",
    "sticker_px",
    "take_in",
    "wait_until_measured",
    "warm_up",
]
