"""The keeper's app: screens over the store and the pipeline, without arithmetic of its own."""

from lesioncompare.ui.serve import serve

__all__ = ["serve"]
