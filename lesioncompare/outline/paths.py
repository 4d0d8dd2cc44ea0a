"""The closed line of least cost through a ring of places."""

import numpy as np
from numpy.typing import NDArray

STRIDE = 3  # [places] the line may move so far from one ray to the next


def closed_path(cost: NDArray[np.floating], bend: float) -> NDArray[np.int64]:
    """Place on each ray of the closed line whose summed cost is least, shape (rays,).

    Parameters
    ----------
    cost
        Cost of each place on each ray, shape (rays, places).
    bend
        Cost of moving one place from ray to ray; grows with the square of the move.

    Notes
    -----
    Dynamic programming (Viterbi) over one and a half laps, of which the middle one is kept: the
    ends then no longer matter, and the line closes on itself. The closed contour as a path in
    polar coordinates: Sun & Pallottino 2003, doi:10.1016/S0031-3203(02)00059-X (from memory).
    """
    rays, places = cost.shape
    lead = rays // 4
    laps = np.concatenate([cost[rays - lead :], cost, cost[:lead]])
    toll = bend * np.arange(-STRIDE, STRIDE + 1.0)[:, None] ** 2
    total = np.pad(laps.astype(float), ((0, 0), (STRIDE, STRIDE)), constant_values=np.inf)
    moved = np.lib.stride_tricks.sliding_window_view(total, places, axis=1)  # (laps, moves, places)
    ways = np.empty(moved.shape[1:])
    for before, here in zip(moved[:-1], total[1:, STRIDE:-STRIDE], strict=True):
        np.add(before, toll, out=ways)
        here += np.minimum.reduce(ways)  # noqa: PLW2901  fills ``total``
    line = np.empty(len(laps), np.int64)
    line[-1] = total[-1].argmin() - STRIDE
    for ray in range(len(laps) - 1, lead, -1):
        best = (moved[ray - 1, :, line[ray]] + toll[:, 0]).argmin()
        line[ray - 1] = line[ray] + best - STRIDE
    return line[lead : lead + rays]
