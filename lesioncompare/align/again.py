"""Finding the first photo's spot again in a photo whose sticker lies anywhere, turned any way."""

from dataclasses import dataclass

import numpy as np

from lesioncompare.align.channels import Field, band, coarsen, densities, near
from lesioncompare.align.fit import agreeing, scale_of, similarity
from lesioncompare.align.patches import lay, match
from lesioncompare.align.search import hypotheses
from lesioncompare.errors import AlignError
from lesioncompare.records import Circle, Matrix, Points, Scene
from lesioncompare.science.plane import apply_homography

COARSE_MM = 0.75  # [mm] pitch of the search
COARSE_BAND_MM = (0.35, 1.5)  # [mm]
FINE_MM = 0.2  # [mm] pitch of the trial
FINE_BAND_MM = (0.1, 0.7)  # [mm]
AROUND_MM = 9.0  # [mm] of skin round the spot that a hypothesis is tried on
NEAR_MM = AROUND_MM + 4  # [mm] with room for the reach and the band of the outermost patches
PATCH_STEP_MM = 1.4  # [mm] between patches
PATCH_HALF_MM = 1.0  # [mm] half side of a patch
REACH_MM = (1.25, 0.8)  # [mm] how far a patch may move, first and second round
AGREE_MM = 0.3  # [mm] patches that one similarity carries this near agree
LEAST_EVIDENCE = 6.0  # [patches] sum of the coefficients of agreeing patches


@dataclass(frozen=True, slots=True)
class Trial:
    """A hypothesis after its patches were followed; ``evidence`` sums the agreeing coefficients."""

    to_first: Matrix
    evidence: float


def find_again(overview: Scene, first_overview: Scene, first_circle: Circle) -> Matrix:
    """The similarity from this photo's millimetres to the first photo's, near the spot.

    Parameters
    ----------
    overview, first_overview
        This photo and the first one, wide and coarse, each in its own sticker's plane.
    first_circle
        The spot in the first photo's plane [mm].

    Returns
    -------
    Matrix
        Shape (3, 3); good to a few tenths of a millimetre within 9 mm of the spot.

    Raises
    ------
    AlignError
        When no place looks like it. Whether the best one is right, ``align`` tells.
    """
    middle = (first_circle.x, first_circle.y)
    first, this = near(densities(first_overview), middle, NEAR_MM), densities(overview)
    coarse = [band(coarsen(field, COARSE_MM), *COARSE_BAND_MM) for field in (first, this)]
    guesses = hypotheses(coarse[0], coarse[1], first_circle)
    fields = band(coarsen(first, FINE_MM), *FINE_BAND_MM), coarsen(this, FINE_MM)
    trials = [_follow(fields, guess, first_circle, REACH_MM[0]) for guess in guesses]
    likeliest = max(trials, key=lambda trial: trial.evidence, default=Trial(np.eye(3), 0.0))
    best = _follow(fields, likeliest.to_first, first_circle, REACH_MM[1])
    if best.evidence < LEAST_EVIDENCE:
        raise AlignError(
            "The spot of the first photo was not found again in this one.",
            "Check that this is the same place, part the hair, and show as much bare skin round "
            "the spot as in the first photo.",
        )
    return best.to_first


def round_spot(circle: Circle) -> Points:
    """Middles of the patches that are followed [mm]."""
    steps = np.arange(-AROUND_MM, AROUND_MM + 1e-6, PATCH_STEP_MM)
    x, y = (axis.ravel() for axis in np.meshgrid(steps, steps))
    inside = np.hypot(x, y) <= AROUND_MM
    return np.column_stack([x[inside] + circle.x, y[inside] + circle.y])


def _follow(fields: tuple[Field, Field], guess: Matrix, circle: Circle, reach_mm: float) -> Trial:
    """The similarity on which most patches agree, starting from a guess."""
    first, middles = fields[0], round_spot(circle)
    to_this = np.linalg.inv(guess)
    x, y = apply_homography(to_this, np.array([[circle.x, circle.y]]))[0]
    this = band(near(fields[1], (float(x), float(y)), NEAR_MM), *FINE_BAND_MM)
    laid = lay(this, lambda at: apply_homography(to_this, at), first)
    moved = match(first, laid, middles, half_mm=PATCH_HALF_MM, reach_mm=reach_mm)
    if len(moved.peak) < 4:
        return Trial(guess, 0.0)
    source = apply_homography(to_this, moved.middles + moved.moves)
    agree = agreeing(source, moved.middles, AGREE_MM)
    if agree.sum() < 3:
        return Trial(guess, 0.0)
    matrix = similarity(source[agree], moved.middles[agree], moved.peak[agree])
    if not 0.8 < scale_of(matrix) < 1.25:
        return Trial(guess, 0.0)
    return Trial(matrix, float(moved.peak[agree].sum()))
