"""Laying a photo over the first one by way of a third photo that lies over both."""

from dataclasses import replace

import numpy as np

from lesioncompare.records import Alignment


def carry_on(onto: Alignment, bridge: Alignment) -> Alignment:
    """How a photo lies over the first one when it lies over another that lies over the first.

    Parameters
    ----------
    onto
        The photo over the other one.
    bridge
        The other one over the first.

    Returns
    -------
    Alignment
        Both in turn; their errors are added as independent (JCGM 100:2008, 5.1.2).
    """
    scales = onto.anatomical_scale, bridge.anatomical_scale
    relative = onto.anatomical_scale_u / scales[0], bridge.anatomical_scale_u / scales[1]
    return replace(
        onto,
        to_first=bridge.to_first @ onto.to_first,
        residual_mm=float(np.hypot(onto.residual_mm, bridge.residual_mm)),
        overlap=min(onto.overlap, bridge.overlap),
        anatomical_scale=scales[0] * scales[1],
        anatomical_scale_u=scales[0] * scales[1] * float(np.hypot(*relative)),
    )
