"""The order of the stages, and nothing else: one photo becomes a Reading, readings a Series."""

from lesioncompare.pipeline.examine import examine_photo, look_at_photo
from lesioncompare.pipeline.follow import follow_series, with_dates
from lesioncompare.pipeline.sides import with_other_side

__all__ = ["examine_photo", "follow_series", "look_at_photo", "with_dates", "with_other_side"]
