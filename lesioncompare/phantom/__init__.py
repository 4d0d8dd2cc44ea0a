"""Digital phantom: photographs of an invented cat whose every millimetre is known."""

from lesioncompare.phantom.shoot import shoot
from lesioncompare.phantom.shot import Lamp, Shot
from lesioncompare.phantom.subject import Spot, Subject
from lesioncompare.phantom.truth import Snapshot, SpotTruth, Truth

__all__ = ["Lamp", "Shot", "Snapshot", "Spot", "SpotTruth", "Subject", "Truth", "shoot"]
