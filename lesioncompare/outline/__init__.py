"""The border of a spot, found from a circle round it, with how far it may be off."""

from lesioncompare.outline.draw import outline

__all__ = ["outline"]
