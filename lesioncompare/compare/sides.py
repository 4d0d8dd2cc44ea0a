"""Left against right: what one ear, lid, lip or gum has and its mirror image has not."""

import cv2
import numpy as np

from lesioncompare.compare.new_spots import find_new
from lesioncompare.records import Matrix, Points, Reading, Scene, Sighting

MIRROR = np.diag([-1.0, 1.0, 1.0])  # millimetres of a scene to those of its mirror image


def mirrored(scene: Scene) -> Scene:
    """The mirror image of a scene: x runs the other way, about the sticker's middle line."""
    width = scene.valid.shape[1]
    x = -(scene.origin_mm[0] + (width - 1) * scene.pitch_mm)
    return Scene(
        np.ascontiguousarray(scene.linear[:, ::-1]),
        np.ascontiguousarray(scene.lab[:, ::-1]),
        np.ascontiguousarray(scene.valid[:, ::-1]),
        (x, scene.origin_mm[1]),
        scene.pitch_mm,
    )


def marks_of_one_side(here: Reading, other: Reading, to_mirrored: Matrix) -> tuple[Sighting, ...]:
    """Marks on this side where the other side shows bare skin.

    Parameters
    ----------
    here
        A reading of this side, with close-up scene and outline.
    other
        A reading of the other side, with close-up scene and outline.
    to_mirrored
        Takes this side's millimetres to those of the other side's mirror image (``mirrored``),
        shape (3, 3); from the alignment of the two.

    Returns
    -------
    tuple[Sighting, ...]
        Of kind "one_sided", in the mirrored other side's millimetres. Both tracked spots are left
        out: of them it is known already. None where a scene or an outline is missing.
    """
    if here.scene is None or other.scene is None or here.outline is None or other.outline is None:
        return ()
    spots = (
        _moved(MIRROR, other.outline.contour),
        _moved(to_mirrored, here.outline.contour),
    )
    return find_new(mirrored(other.scene), here.scene, to_mirrored, spots, kind="one_sided")


def _moved(matrix: Matrix, points: Points) -> Points:
    """Points (n, 2) through a matrix (3, 3)."""
    return np.asarray(cv2.perspectiveTransform(points[None], matrix)[0], float)
