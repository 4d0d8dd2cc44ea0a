"""A photo's close-up laid over the first one's by the bare skin round the spot."""

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.align.bending import bend_through
from lesioncompare.align.channels import Field, band, coarsen, densities, without
from lesioncompare.align.fit import (
    RAYLEIGH_MEDIAN,
    agreeing,
    homography,
    similarity,
    tukey,
)
from lesioncompare.align.patches import Moves, lay, match
from lesioncompare.errors import AlignError
from lesioncompare.records import FLAT, Alignment, Bend, Matrix, Points, Scene, gaussians
from lesioncompare.science.plane import apply_homography
from lesioncompare.science.shape import area

FAR_MM = 7.0  # [mm] skin this far from the border takes part
RULER_MM = 5.0  # [mm] skin this far from the border gives the second ruler
SPOT_MARGIN_MM = (0.3, 0.5)  # [mm] round the border left out, first photo and this one
LEAST_SPREAD_MM = 0.02  # [mm] patches are not followed better than this
LEAST_PATCHES = 8
# learnt on phantoms, see docs/alignment.md
SCATTER_FACTOR = 2.5  # [1] root of the number of patches that err as one
UNEVEN_STRETCH = 0.003  # [1] of lengths, between the spot and the skin round it
LEAST_SCALE, MOST_SCALE = 0.8, 1.25  # [1] further off, one of the photos is not what it says
SURE_MM = 0.1  # [mm] patches that are carried this near agree closely
LEAST_AGREEING = 0.25  # [1] of the patches followed; chance gives 0.2
MOST_RESIDUAL_MM = 0.5  # [mm]


@dataclass(frozen=True, slots=True)
class Step:
    """One round of following patches [mm].

    ``evidence`` is the least sum of the coefficients of patches that agree closely, times its mean
    over all that were followed: another skin of the same site comes to less.
    """

    pitch: float
    band: tuple[float, float]
    half: float
    reach: float
    apart: float
    within: float
    evidence: float = 0.0


STEPS = (
    Step(pitch=0.2, band=(0.12, 0.9), half=1.1, reach=1.0, apart=1.5, within=0.35),
    Step(pitch=0.1, band=(0.07, 0.6), half=0.9, reach=0.5, apart=1.0, within=0.25),
    Step(pitch=0.1, band=(0.07, 0.6), half=0.9, reach=0.4, apart=1.0, within=0.2, evidence=6.5),
)


@dataclass(frozen=True, slots=True)
class Fit:
    """A homography to the first photo, the bend after it, and the patches they were fitted to.

    ``off_mm`` is what both leave of each patch, ``weight`` its say in the homography, ``loose`` the
    covariance of the bend's heights.
    """

    to_first: Matrix
    bend: Bend
    loose: NDArray[np.float64]
    source: Points
    target: Points
    weight: NDArray[np.float64]
    off_mm: NDArray[np.float64]
    tried: int


def align(scene: Scene, first_scene: Scene, rough: Matrix, first_contour: Points) -> Alignment:
    """How this photo's plane lies over the first photo's near the spot.

    Parameters
    ----------
    scene, first_scene
        Close-ups of this photo and the first one, each in its own sticker's plane.
    rough
        This photo's millimetres to the first photo's, right to about 1 mm near the spot, (3, 3).
    first_contour
        Border of the spot in the first photo's plane, (n, 2) [mm]. The spot itself takes no part.

    Returns
    -------
    Alignment
        Homography, residual, overlap and the scale of the skin near the spot.

    Raises
    ------
    AlignError
        When too few patches of skin agree on one place.
    """
    fields = densities(first_scene), densities(scene)
    fit = _round(fields, (rough, FLAT), first_contour, STEPS[0], settled=False)
    for step in STEPS[1:]:
        fit = _round(fields, (fit.to_first, fit.bend), first_contour, step, settled=True)
    return _alignment(fit, first_contour)


def _round(
    photos: tuple[Field, Field],
    laid: tuple[Matrix, Bend],
    contour: Points,
    step: Step,
    *,
    settled: bool,
) -> Fit:
    """Follow patches round the spot once and fit homography and bend to where they went."""
    to_first, bend = laid

    def back(points: Points) -> Points:
        return bend.back(to_first, points)

    carried = back(contour)
    fields = [
        band(without(coarsen(field, step.pitch), border, margin), *step.band)
        for field, border, margin in zip(photos, (contour, carried), SPOT_MARGIN_MM, strict=True)
    ]
    middles = _round_border(contour, step.apart)
    moved = match(
        fields[0],
        lay(fields[1], back, fields[0]),
        middles,
        half_mm=step.half,
        reach_mm=step.reach,
    )
    source = back(moved.middles + moved.moves)
    if settled:
        agree = np.hypot(*moved.moves.T) < 2 * step.within
    else:
        agree = agreeing(source, moved.middles, step.within)
    if agree.sum() < max(LEAST_PATCHES, LEAST_AGREEING * len(agree)):
        raise _refusal()
    fit = _robust(source, moved, agree, contour, step.within)
    says = np.where(fit.off_mm < SURE_MM, moved.peak, 0)
    if says.sum() * says.mean() < step.evidence:
        raise _refusal()
    return replace(fit, tried=len(middles))


def _round_border(contour: Points, apart_mm: float) -> Points:
    """Middles of patches outside a contour, out to FAR_MM [mm]."""
    low, high = contour.min(axis=0) - FAR_MM, contour.max(axis=0) + FAR_MM
    axes = [np.arange(a, b, apart_mm) for a, b in zip(low, high, strict=True)]
    middles = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)
    off = distance(middles, contour)
    return middles[(off > 0) & (off < FAR_MM)]


def distance(points: Points, contour: Points) -> NDArray[np.float64]:
    """Signed distance of points (n, 2) from a contour, negative inside [mm]."""
    ring = contour.astype(np.float32)
    return -np.array([cv2.pointPolygonTest(ring, (float(x), float(y)), True) for x, y in points])


def _robust(
    source: Points,
    moved: Moves,
    agree: NDArray[np.bool_],
    contour: Points,
    within_mm: float,
) -> Fit:
    """Homography by reweighting: patches that follow no common motion lose their say."""
    target, middle = moved.middles, contour.mean(axis=0)
    weight, spread = agree.astype(float), within_mm
    near = apply_homography(similarity(target, source, weight), middle[None])[0]
    for _ in range(5):
        matrix = homography(source, target, weight, spread, np.stack([near, middle]))
        off = np.hypot(*(apply_homography(matrix, source) - target).T)
        inside = off[off < 2 * within_mm]
        if len(inside) < LEAST_PATCHES:
            raise _refusal()
        spread = max(LEAST_SPREAD_MM, 1.2 * float(np.median(inside)) / RAYLEIGH_MEDIAN)
        weight = tukey(off, spread)
    at = apply_homography(matrix, source)
    span = contour.min(axis=0) - FAR_MM, contour.max(axis=0) + FAR_MM
    bend, loose = bend_through(at, target - at, moved.peak, span)
    off = np.hypot(*(at + bend.shift(at) - target).T)
    return Fit(matrix, bend, loose, source, target, weight, off, len(source))


def _alignment(fit: Fit, contour: Points) -> Alignment:
    """What the fit says, or a refusal when it says nothing."""
    residual = float(np.sqrt(np.average(fit.off_mm**2, weights=fit.weight)))
    scale, scale_u = _second_ruler(fit, contour)
    if not LEAST_SCALE < scale < MOST_SCALE or residual > MOST_RESIDUAL_MM:
        raise _refusal()
    return Alignment(
        to_first=fit.to_first,
        residual_mm=residual,
        overlap=float((fit.weight > 0).sum() / fit.tried),
        anatomical_scale=scale,
        anatomical_scale_u=scale_u,
        bend=fit.bend,
    )


def _second_ruler(fit: Fit, contour: Points) -> tuple[float, float]:
    """Scale of the skin where the spot is, and its standard uncertainty [1].

    The looseness of the bend is carried into the area within the border, which grows by what its
    border is shifted outwards (propagation of error, JCGM 100:2008, 5.1.2). It would be the error
    were patches independent. They are not, which SCATTER_FACTOR makes up for, and the spot is
    stretched a little otherwise than the skin round it.
    """
    if ((fit.weight > 0) & (distance(fit.target, contour) < RULER_MM)).sum() < LEAST_PATCHES:
        raise _refusal()
    within = area(contour)
    scale = float(np.sqrt(within / area(fit.bend.back(fit.to_first, contour))))
    along = np.roll(contour, -1, axis=0) - contour
    outward = np.column_stack([along[:, 1], -along[:, 0]])
    gains = gaussians(contour + along / 2, fit.bend.at, fit.bend.sd_mm).T @ outward / (2 * within)
    loose = float(np.sqrt(np.einsum("ik,ij,jk->", gains, fit.loose, gains)))
    return scale, scale * float(np.hypot(UNEVEN_STRETCH, SCATTER_FACTOR * loose))


def _refusal() -> AlignError:
    return AlignError(
        "The skin round the spot could not be laid over the first photo.",
        "Take the photo again with the hair parted, in even light, with bare skin in view on all "
        "sides of the spot.",
    )
