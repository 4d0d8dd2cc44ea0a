"""Several drafts of the border, and what they agree on."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from skimage.measure import find_contours

from lesioncompare.outline.evidence import CAP, log_odds
from lesioncompare.outline.patch import Field, Patch
from lesioncompare.outline.solvers import evenness, filled, free_region, main_piece, star_border
from lesioncompare.records import Mask, Points

CORE, BEYOND = 0.6, 1.4  # [circle radii] surely spot within, surely not without
LOOKS = 2  # [1] colours learnt again from the draft drawn with the last ones
FADE = 3.0  # [px] how gradually a draft hands a pixel from one class to the other


@dataclass(frozen=True, slots=True, eq=False)
class Drafts:
    """``regions`` are the drafts, ``distances`` (drafts, n, n) those from their borders [px]."""

    regions: tuple[Mask, ...]
    distances: NDArray[np.float32]

    @property
    def agreed(self) -> Mask:
        """Where the drafts lie on average."""
        return main_piece(self.distances.mean(axis=0) < 0, self.regions[0])


def draw_drafts(patch: Patch, features: Field, place: Field, reach: Field) -> Drafts:
    """Four drafts: two of colour models, two ways of drawing.

    Parameters
    ----------
    features
        Lightness, redness and yellowness without the fall of light, shape (3, n, n) [1].
    place, reach
        What the circle or an earlier border says, shape (n, n); see ``belief``.
    """
    odds, first = learn(patch, features, place, reach)
    _, second = learn(patch, features[1:], place, reach)
    even = evenness(features)
    regions = (
        first,
        second,
        filled(star_border(odds + place, even), len(place)),
        free_region(odds + place, even, first),
    )
    return Drafts(regions, np.stack([signed_distance(region) for region in regions]))


def learn(patch: Patch, features: Field, place: Field, reach: Field) -> tuple[Field, Mask]:
    """Evidence by colours learnt in turn with the border they give, and that border's region."""
    spot, skin = (reach < CORE).astype(float), (reach > BEYOND).astype(float)
    for look in range(LOOKS + 1):
        odds = log_odds(patch, features, spot, skin)
        odds[~patch.seen] = -CAP
        region = filled(star_border(odds + place), len(place))
        if look < LOOKS:
            soft = cv2.GaussianBlur(region.astype(np.float32), (0, 0), FADE)
            spot, skin = soft.astype(float) ** 2, (1 - soft.astype(float)) ** 2
    return odds, region


def signed_distance(region: Mask) -> NDArray[np.float32]:
    """Distance from the region's border, negative inside, shape (n, n) [px]."""
    inside = region.astype(np.uint8)
    out = cv2.distanceTransform(1 - inside, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    into = cv2.distanceTransform(inside, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    return np.where(region, 0.5 - into, out - 0.5).astype(np.float32)


def contour_of(distance: NDArray[np.floating]) -> Points:
    """The longest closed line where a distance is zero, shape (m, 2) [px]."""
    padded = np.pad(distance, 1, constant_values=float(distance.max()) + 1)
    lines = find_contours(padded, 0.0)
    if not lines:
        return np.empty((0, 2))
    longest = max(lines, key=len)[:-1, ::-1] - 1
    return np.asarray(longest, float)
