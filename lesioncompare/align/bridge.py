"""Laying a photo over the first one by way of a third photo that lies over both."""

from dataclasses import replace

import numpy as np

from lesioncompare.align.bending import bend_through
from lesioncompare.records import FLAT, Alignment, Bend

STEP_MM = 2.0  # [mm] between the places at which two bends are joined


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
        bend=_both(onto, bridge),
        residual_mm=float(np.hypot(onto.residual_mm, bridge.residual_mm)),
        overlap=min(onto.overlap, bridge.overlap),
        anatomical_scale=scales[0] * scales[1],
        anatomical_scale_u=scales[0] * scales[1] * float(np.hypot(*relative)),
    )


def _both(onto: Alignment, bridge: Alignment) -> Bend:
    """What the two homographies in turn leave of the two alignments in turn."""
    if not len(onto.bend.at):
        return bridge.bend
    places = bridge.onto_first(onto.bend.at)
    low, high = places.min(axis=0), places.max(axis=0)
    axes = [np.arange(a, b + STEP_MM, STEP_MM) for a, b in zip(low, high, strict=True)]
    laid = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)
    start = FLAT.back(bridge.to_first @ onto.to_first, laid)
    off = bridge.onto_first(onto.onto_first(start)) - laid
    return bend_through(laid, off, np.ones(len(laid)), (low, high))[0]
