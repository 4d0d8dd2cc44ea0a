"""What is known of the border before any colour is looked at: the circle, or an earlier border."""

import cv2
import numpy as np

from lesioncompare.outline.patch import Field, Patch
from lesioncompare.outline.solvers import filled
from lesioncompare.records import Points

SLOPE = 5.0  # [nat per radius] how fast belief in "spot" falls across the border
HALFWAY = 0.95  # [radii of the circle] people draw round the spot, a little outside: even chances
GROWN = 1.05  # [radii of the spot] the same from an earlier border: spots grow rather than shrink
RIM = 2.0  # [1] all of a known spot but its rim teaches its colours, however long and thin it is
MOST, LEAST = 4.0, -6.0  # [nat]


def belief(patch: Patch, prior: Points | None) -> tuple[Field, Field]:
    """Log odds of spot by place alone, and the distance they follow from, shape (n, n) each.

    Parameters
    ----------
    prior
        An earlier border of this spot [mm], or None when only the circle is known.

    Returns
    -------
    tuple[Field, Field]
        Log odds [nat], and a distance that is 1 on the circle or on the earlier border and grows
        outwards [radii of the circle, or of a disc of the earlier spot's area].

    Notes
    -----
    The slope is chosen on photographs with expert masks, from circles whose centre was off by a
    tenth of the radius and whose radius by -15 to +25 %. An earlier border pulls no harder than the
    circle: a spot that has doubled its area is still seen to have done so.
    """
    reach, odds = patch.rho, SLOPE * (HALFWAY - patch.rho)
    if prior is not None:
        inside = filled(patch.lower(prior), len(patch.rho)).astype(np.uint8)
        if inside.any() and not inside.all():
            out = cv2.distanceTransform(1 - inside, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
            into = cv2.distanceTransform(inside, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
            radius = np.float32(np.sqrt(inside.sum() / np.pi))
            odds = SLOPE * (GROWN - 1 - (out - into) / radius)
            reach = 1 + out / radius - RIM * into / into.max()
    return np.clip(odds, LEAST, MOST).astype(np.float32), np.asarray(reach, np.float32)
