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
    Dynamic programming (Viterbi) over two and a half laps, of which the middle one is kept: the
    ends then no longer matter, and the line closes on itself. The closed contour as a path in
    polar coordinates: Sun & Pallottino 2003, doi:10.1016/S0031-3203(02)00059-X (from memory).
    """
    rays, places = cost.shape
    laps = np.concatenate([cost, cost, cost[: rays // 2]])
    moves = np.arange(-STRIDE, STRIDE + 1)
    toll = bend * moves.astype(float)[:, None] ** 2
    padded = np.full(places + 2 * STRIDE, np.inf)
    windows = np.lib.stride_tricks.sliding_window_view(padded, places)
    total = laps[0].astype(float)
    came_from = np.zeros(laps.shape, np.int64)
    here = np.arange(places)
    for ray in range(1, len(laps)):
        padded[STRIDE:-STRIDE] = total
        ways = windows + toll
        best = ways.argmin(axis=0)
        came_from[ray] = here + moves[best]
        total = ways[best, here] + laps[ray]
    place = int(total.argmin())
    line = np.empty(len(laps), np.int64)
    for ray in range(len(laps) - 1, -1, -1):
        line[ray] = place
        place = came_from[ray, place]
    return np.roll(line[rays // 2 : rays // 2 + rays], rays // 2)
