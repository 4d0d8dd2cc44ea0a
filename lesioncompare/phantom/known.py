"""The truth about a photograph, worked out from its stage."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.distance import pdist

from lesioncompare.phantom import atlas as skins
from lesioncompare.phantom.camera import View
from lesioncompare.phantom.fields import Field
from lesioncompare.phantom.picture import spot_patch
from lesioncompare.phantom.shot import Shot
from lesioncompare.phantom.sites import ear, plan
from lesioncompare.phantom.spots import cover, outline_mm, reach_mm
from lesioncompare.phantom.stage import BARE_REACH_MM, Stage, aimed_at
from lesioncompare.phantom.subject import Spot, Subject
from lesioncompare.phantom.truth import Lab, SpotTruth, Truth
from lesioncompare.science.colour import linear_to_lab
from lesioncompare.terms import Part

Array = NDArray[np.float64]
LOOSE_CIRCLE = 1.18  # [1] radius of the hint circle over the spot's reach
RING_MM = (1.0, 3.0)  # [mm] bare skin outside the border that skin_lab is taken from


def known(subject: Subject, shot: Shot, stage: Stage) -> Truth:
    """The truth about the photograph of this stage."""
    view, papers = stage.view, stage.papers
    middle = aimed_at(subject)[None]
    spots = tuple(_spot_truth(subject, spot, view) for spot in subject.spots)
    outline = spots[0].outline_px if spots else view.to_px(middle + _ring(BARE_REACH_MM))
    centre = (outline.min(axis=0) + outline.max(axis=0)) / 2
    radius = LOOSE_CIRCLE * float(np.hypot(*(outline - centre).T).max())
    element = view.surface.area_element(middle)[0]
    scale = np.sqrt(element / abs(np.linalg.det(view.jacobian(middle)[0])))
    marks = {}
    for name, (x, y, mark_radius) in plan(subject).landmarks.items():
        ring = view.to_px(np.array([[x, y]]) + _ring(mark_radius))
        at = ring.mean(axis=0)
        marks[name] = (float(at[0]), float(at[1]), float(np.hypot(*(ring - at).T).mean()))
    margin = view.to_px(ear.margin_outline(subject)) if subject.site.part == Part.EAR else None
    return Truth(
        spots=spots,
        circle=(float(centre[0]), float(centre[1]), radius),
        mm_per_px=float(scale),
        tilt_deg=shot.tilt_deg,
        distance_mm=float(view.camera.depth(view.frame.origin[None])[0]),
        sticker_corners_px=papers[0].corners_px(view) if papers else None,
        skin_lab=_skin_lab(subject),
        landmarks=marks,
        margin_px=margin,
        size_px=(shot.width_px, shot.height_px),
        subject=subject,
        view=view,
    )


def _ring(radius: float) -> Array:
    turn = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    return radius * np.column_stack([np.cos(turn), np.sin(turn)])


def _spot_truth(subject: Subject, spot: Spot, view: View) -> SpotTruth:
    line = outline_mm(spot)
    return SpotTruth(
        spot=spot,
        outline_px=view.to_px(line),
        area_mm2=surface_area_mm2(spot, view),
        rest_area_mm2=spot.rest_area_mm2,
        longest_mm=float(pdist(line).max()),
        lab=spot_lab(subject, spot),
    )


def spot_lab(subject: Subject, spot: Spot) -> Lab:
    """Median CIELAB (D65) of the reflectance inside a spot's border."""
    patch = spot_patch(subject, spot)
    mixed = patch.bare_albedo + (patch.albedo - patch.bare_albedo) * patch.share[..., None]
    return _median_lab(mixed[patch.share > 0.5])


def surface_area_mm2(spot: Spot, view: View) -> float:
    """Area of the skin inside the border as it lies curved and stretched [mm²].

    Gauss-Legendre along each of 360 radii of the border.
    """
    middle = np.array([spot.x_mm, spot.y_mm])
    line = outline_mm(spot) - middle
    nodes, weights = np.polynomial.legendre.leggauss(6)
    share, weight = (nodes + 1) / 2, weights / 2
    points = middle + share[:, None, None] * line
    element = view.surface.area_element(points.reshape(-1, 2)).reshape(len(nodes), -1)
    radius2 = (line**2).sum(axis=1)
    inner = (element * (share * weight)[:, None]).sum(axis=0)
    return float((radius2 * inner).mean() * 2 * np.pi)


def _skin_lab(subject: Subject) -> Lab:
    """Median colour of bare skin near the first spot, no spot within it."""
    fine = skins.near(subject)
    u, v = fine.grid.u, fine.grid.v
    free = fine.skin.bare > 0.5
    for spot in subject.spots:
        free &= cover(spot, u, v) < 0.02
    middle = aimed_at(subject)
    reach = reach_mm(subject.spots[0]) if subject.spots else 0.0
    away = np.hypot(u - middle[0], v - middle[1]) - reach
    ring = free & (away > RING_MM[0]) & (away < RING_MM[1])
    return _median_lab(fine.skin.albedo[ring if ring.any() else free])


def _median_lab(albedo: Field) -> Lab:
    lab = np.median(linear_to_lab(albedo.reshape(-1, 3)), axis=0)
    return (float(lab[0]), float(lab[1]), float(lab[2]))
