"""Laying a photo over the first one, by the animal's own bare skin.

The sticker is stuck on anew at each visit, so the sticker cannot say where the spot is, nor
whether it lay in the plane of the spot. The skin round the spot can.
"""

from lesioncompare.align.again import find_again
from lesioncompare.align.bridge import carry_on
from lesioncompare.align.fine import align

__all__ = ["align", "carry_on", "find_again"]
