"""The steps from a circle to a border."""

import numpy as np
from scipy.ndimage import gaussian_filter1d, map_coordinates

from lesioncompare.errors import OutlineError
from lesioncompare.outline.drafts import Drafts, contour_of, draw_drafts, signed_distance
from lesioncompare.outline.refine import Refined, refine
from lesioncompare.outline.start import choose_start
from lesioncompare.quantity import COVERAGE_95
from lesioncompare.records import Circle, Outline, Points, Scene

LEAST_SEEN = 0.5  # [1] of the disc must be skin in the scene
LEAST_POINTS = 8  # [1] a shorter contour holds no area


def outline(scene: Scene, circle: Circle, *, prior: Points | None = None) -> Outline:
    """The border of the spot in a circle: best, inner and outer contour.

    Parameters
    ----------
    scene
        The close neighbourhood of the spot on a millimetre grid.
    circle
        Round the spot, in the scene's millimetres; tight or with room to spare.
    prior
        Contour of the spot at an earlier visit, carried into this scene, shape (n, 2) [mm].

    Returns
    -------
    Outline
        Contours in the scene's millimetres.

    Raises
    ------
    OutlineError
        When the circle lies mostly outside the scene, or nothing in it stands out from its
        surroundings.

    Notes
    -----
    Two mixtures of colours, of the spot and of what surrounds it, are learnt from the circle in
    optical density without the fall of light. Four drafts are drawn from them: by dynamic
    programming in polar coordinates and by total variation. Where the drafts agree on average,
    the border is moved to the line of half cover. Hair and glints say nothing throughout.
    """
    start = choose_start(scene, circle, prior)
    patch = start.patch
    disc = patch.rho < 1
    if patch.seen[disc].mean() < LEAST_SEEN:
        raise OutlineError(
            "The spot lies at the edge of what can be measured.",
            "Take the photo again with the spot and the sticker well inside the picture.",
        )
    drafts = draw_drafts(patch, start.fall, prior)
    first = contour_of(signed_distance(drafts.agreed))
    if len(first) < LEAST_POINTS:
        raise OutlineError(
            "Nothing in the circle stands out from the skin around it.",
            "Draw the circle closely round the spot, or draw the border by hand.",
        )
    border = refine(start.even, patch.usable, first)
    shift_px, stray_px = doubt(drafts, border)
    reach = COVERAGE_95 * np.hypot(shift_px, stray_px)[:, None] * border.normal
    return Outline(
        contour=patch.lift(border.contour),
        inner=patch.lift(border.contour - reach),
        outer=patch.lift(border.contour + reach),
        border_u_mm=shift_px * patch.mm_per_px,
    )


def doubt(drafts: Drafts, border: Refined) -> tuple[float, np.ndarray]:
    return 0.5, np.full(len(border.contour), 1.0)
