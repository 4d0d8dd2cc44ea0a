"""The steps from a circle to a border."""

import numpy as np
from numpy.typing import NDArray

from lesioncompare.errors import OutlineError
from lesioncompare.outline.drafts import contour_of, draw_drafts, signed_distance
from lesioncompare.outline.refine import Refined, refine
from lesioncompare.outline.start import LEAST_POINTS, choose_start
from lesioncompare.quantity import COVERAGE_95
from lesioncompare.records import Circle, Outline, Points, Scene

LEAST_PX = 0.2  # [px of 36 to the circle's radius] no border is placed better
SHIFTS, STRAYS = 0.9, 2.4  # [1] error over softness by contrast: as a whole, at one point
LEAST_CONTRAST = 1.0  # [1] scatter of either side; what shows less is not seen
LEAST_SEEN = 0.5  # [1] of the disc must be skin in the scene


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
    drafts = draw_drafts(patch, start.features, start.place, start.reach)
    first = contour_of(signed_distance(drafts.agreed))
    if len(first) < LEAST_POINTS:
        raise OutlineError(
            "Nothing in the circle stands out from the skin around it.",
            "Draw the circle closely round the spot, or draw the border by hand.",
        )
    border = refine(start.linear, patch.usable, first)
    shift_px, stray_px = _doubt_px(border)
    reach = COVERAGE_95 * stray_px[:, None] * border.normal
    return Outline(
        contour=patch.lift(border.contour),
        inner=patch.lift(border.contour - reach),
        outer=patch.lift(border.contour + reach),
        border_u_mm=shift_px * patch.mm_per_px,
    )


def _doubt_px(border: Refined) -> tuple[float, NDArray[np.float64]]:
    """How far the border may be off as a whole, and how far it may stray at each point [px].

    A soft edge of little contrast can be placed less well: softness over contrast tells by how
    much. Its factors were found on phantoms of seeds that no stated figure comes from.
    """
    whole = float(np.hypot(LEAST_PX, SHIFTS * border.softness_px / border.contrast.mean()))
    each = STRAYS * border.softness_px / np.maximum(border.contrast, LEAST_CONTRAST)
    return whole, np.hypot(LEAST_PX, each)
