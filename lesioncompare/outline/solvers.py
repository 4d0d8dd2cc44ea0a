"""Three ways to draw the border from the same evidence; where they part, the border is unsure."""

import cv2
import numpy as np

from lesioncompare.outline.patch import RADIUS_PX, Field
from lesioncompare.outline.paths import closed_path
from lesioncompare.records import Mask, Points

RAYS = 128  # [1]
FARTHEST = 2.0  # [circle radii] spots reach no further from the middle of the circle
BEND = 2.0  # [nat px²] price of moving a pixel in or out from one ray to the next
PULL = 8.0  # [nat] price of a pixel of border on even ground
SHRINK = 1.5  # [1] the region solver works on a patch smaller by this factor
ROUNDS = 80  # [1] of the region solver
PACE = 0.35  # [1] step of the region solver; below 1/sqrt(8) it converges


def evenness(features: Field) -> Field:
    """How little the colours (d, n, n) change at each pixel, shape (n, n), from 0 to 1."""
    change = np.zeros(features.shape[1:], np.float32)
    for channel in features:
        down, across = np.gradient(cv2.GaussianBlur(channel, (0, 0), 0.7))
        change += down**2 + across**2
    return np.asarray(np.exp(-0.5 * change / (change.mean() + 1e-12)), np.float32)


def star_border(odds: Field, even: Field | None = None) -> Points:
    """The border seen whole from the middle of the circle, shape (RAYS, 2) [patch px].

    On each ray the sum of the odds inside is greatest; neighbouring rays agree. With ``even``, the
    border also prefers to run where the colour changes.
    """
    angle = np.arange(RAYS) * 2 * np.pi / RAYS
    reach = np.arange(1.0, FARTHEST * RADIUS_PX)
    middle = len(odds) // 2
    x = (middle + np.cos(angle)[:, None] * reach).astype(np.float32)
    y = (middle + np.sin(angle)[:, None] * reach).astype(np.float32)
    along = cv2.remap(odds, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    width = reach * 2 * np.pi / RAYS
    cost = -np.cumsum(along * width, axis=1)
    if even is not None:
        cost = cost + PULL * cv2.remap(even, x, y, cv2.INTER_LINEAR) * width
    at = reach[closed_path(cost, BEND)]
    return np.column_stack([middle + np.cos(angle) * at, middle + np.sin(angle) * at])


def free_region(odds: Field, even: Field, start: Mask) -> Mask:
    """The region of any shape with the best odds and the shortest border, shape (n, n).

    Notes
    -----
    The convex form of the two-region problem (Chan, Esedoglu & Nikolova 2006,
    doi:10.1137/040615286), solved by the primal-dual steps of Chambolle & Pock 2011,
    doi:10.1007/s10851-010-0251-1. Only the piece that holds most of ``start`` is kept.
    """
    side = round(len(odds) / SHRINK)
    small = (side, side)
    pull = cv2.resize(odds, small, interpolation=cv2.INTER_AREA) * np.float32(SHRINK)
    price = np.float32(PULL) * cv2.resize(even, small, interpolation=cv2.INTER_AREA) + 0.02
    share = cv2.resize(start.astype(np.float32), small, interpolation=cv2.INTER_AREA)
    ahead, across, down = share.copy(), np.zeros_like(share), np.zeros_like(share)
    pace = np.float32(PACE)
    for _ in range(ROUNDS):
        across[:, :-1] += pace * (ahead[:, 1:] - ahead[:, :-1])
        down[:-1] += pace * (ahead[1:] - ahead[:-1])
        excess = np.maximum(1, cv2.magnitude(across, down) / price)
        across /= excess
        down /= excess
        flow = across + down
        flow[:, 1:] -= across[:, :-1]
        flow[1:] -= down[:-1]
        moved = np.clip(share + pace * (flow + pull), 0, 1)
        ahead, share = 2 * moved - share, moved
    region = cv2.resize(share, odds.shape[::-1], interpolation=cv2.INTER_LINEAR) > 0.5
    return main_piece(region, start)


def main_piece(region: Mask, start: Mask) -> Mask:
    """The connected piece of ``region`` that shares most with ``start``, its holes filled."""
    count, label = cv2.connectedComponents(region.astype(np.uint8))
    if count < 2:
        return np.zeros_like(region)
    shared = np.bincount(label[start], minlength=count)
    shared[0] = 0
    piece = (label == shared.argmax()).astype(np.uint8)
    lines, _ = cv2.findContours(piece, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    filled = np.zeros_like(piece)
    cv2.drawContours(filled, lines, -1, 1, cv2.FILLED)
    return filled > 0


def filled(border: Points, side: int) -> Mask:
    """The pixels inside a border, shape (side, side)."""
    mask = np.zeros((side, side), np.uint8)
    cv2.fillPoly(mask, [np.round(border * 16).astype(np.int32)], 1, shift=4)
    return mask > 0
