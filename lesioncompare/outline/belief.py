"""What is known of the border before any colour is looked at: the circle, or an earlier border."""

import cv2
import numpy as np

from lesioncompare.outline.patch import RADIUS_PX, Field, Patch
from lesioncompare.outline.solvers import filled
from lesioncompare.records import Points

SLOPE = 5.0  # [nat per circle radius] how fast belief in "spot" falls across the border
HALFWAY = 0.95  # [circle radii] people draw round the spot, a little outside: even chances here
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
        outwards [circle radii].

    Notes
    -----
    The slope is chosen on photographs with expert masks, from circles whose centre was off by a
    tenth of the radius and whose radius by -15 to +25 %. An earlier border pulls no harder than the
    circle: a spot that has doubled its area is still seen to have done so.
    """
    reach, halfway = patch.rho, HALFWAY
    if prior is not None:
        inside = filled(patch.lower(prior), len(patch.rho)).astype(np.uint8)
        if inside.any() and not inside.all():
            out = cv2.distanceTransform(1 - inside, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
            into = cv2.distanceTransform(inside, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
            reach, halfway = 1 + (out - into) / np.float32(RADIUS_PX), 1.0
    odds = np.clip(SLOPE * (halfway - reach), LEAST, MOST)
    return odds.astype(np.float32), np.asarray(reach, np.float32)
