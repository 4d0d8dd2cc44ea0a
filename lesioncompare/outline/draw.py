"""The steps from a circle to a border."""

import numpy as np
from numpy.typing import NDArray

from lesioncompare.errors import OutlineError
from lesioncompare.outline.refine import Refined
from lesioncompare.outline.rivals import apart_mm, draw_rivals
from lesioncompare.quantity import COVERAGE_95
from lesioncompare.records import Circle, Outline, Points, Scene

LEAST_PX = 0.2  # [px of 36 to the circle's radius] no border is placed better
SHIFTS, STRAYS = 1.4, 2.4  # [1] error over softness by contrast: as a whole, at one point
LEAST_CONTRAST = 1.0  # [1] scatter of either side; what shows less is not seen
DISC_STEPS = 61  # [1] across the disc that is looked at
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
    the border is moved to the line of half cover. Of the borders so drawn from circles of several
    sizes, or from the earlier border, the one seen most clearly all round is kept; the others,
    if seen nearly as clearly, are a doubt of it. Hair and glints say nothing throughout.
    """
    if _share_seen(scene, circle) < LEAST_SEEN:
        raise OutlineError(
            "The spot lies at the edge of what can be measured.",
            "Take the photo again with the spot and the sticker well inside the picture.",
        )
    rivals = draw_rivals(scene, circle, prior)
    if not rivals:
        raise OutlineError(
            "Nothing in the circle stands out from the skin around it.",
            "Draw the circle closely round the spot, or draw the border by hand.",
        )
    patch, border = rivals[0].patch, rivals[0].border
    rivalled = apart_mm(rivals) / patch.mm_per_px
    shift_px, stray_px = (np.hypot(doubt, rivalled) for doubt in _doubt_px(border))
    reach = COVERAGE_95 * stray_px[:, None] * border.normal
    return Outline(
        contour=patch.lift(border.contour),
        inner=patch.lift(border.contour - reach),
        outer=patch.lift(border.contour + reach),
        border_u_mm=float(shift_px) * patch.mm_per_px,
    )


def _share_seen(scene: Scene, circle: Circle) -> float:
    """Share of the circle's disc that shows skin [1]."""
    along = np.linspace(-1, 1, DISC_STEPS)
    disc = np.stack(np.meshgrid(along, along), axis=-1).reshape(-1, 2)
    disc = disc[np.hypot(*disc.T) < 1] * circle.radius + (circle.x, circle.y)
    column, row = np.round(scene.to_grid(disc)).astype(int).T
    height, width = scene.valid.shape
    within = (row >= 0) & (row < height) & (column >= 0) & (column < width)
    return float(scene.valid[row[within], column[within]].sum() / len(disc))


def _doubt_px(border: Refined) -> tuple[float, NDArray[np.float64]]:
    """How far one border may be off as a whole, and how far it may stray at each point [px].

    A soft edge of little contrast can be placed less well: softness over contrast tells by how
    much, most of all where the border is faint. The factors were found on phantoms of seeds that
    no stated figure comes from.
    """
    each = border.softness_px / np.maximum(border.contrast, LEAST_CONTRAST)
    return float(np.hypot(LEAST_PX, SHIFTS * each.mean())), np.hypot(LEAST_PX, STRAYS * each)
