"""Measure a cat's skin spot from weekly photographs beside a reference sticker."""

__version__ = "0.1.0"
