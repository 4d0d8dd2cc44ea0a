"""One photograph of one subject: the order in which it comes about."""

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial.distance import pdist

from lesioncompare.phantom import atlas as skins
from lesioncompare.phantom.camera import WIDEST, View, aim, frame_at
from lesioncompare.phantom.develop import add_noise, encode_tone, out_of_focus, through_lens, write_jpeg
from lesioncompare.phantom.fields import Field
from lesioncompare.phantom.hair import Easel, draw_coat, draw_loose, draw_whiskers
from lesioncompare.phantom.lighting import cast, facing, lamp_direction, unevenness
from lesioncompare.phantom.paper import Paper, lay, put
from lesioncompare.phantom.picture import (
    add_background,
    add_spot,
    depth_map,
    skin_light,
    skin_map,
    spot_patch,
)
from lesioncompare.phantom.shot import Shot
from lesioncompare.phantom.sites import ear, plan
from lesioncompare.phantom.spots import cover, outline_mm, reach_mm
from lesioncompare.phantom.subject import Spot, Subject
from lesioncompare.phantom.surface import Surface, draw_stretch
from lesioncompare.phantom.truth import Lab, Snapshot, SpotTruth, Truth
from lesioncompare.science.colour import linear_to_lab
from lesioncompare.terms import Part

Array = NDArray[np.float64]
DISTANCE_MM = (90.0, 180.0)  # [mm] a phone close to a cat
DEFOCUS = 0.0018  # [1] blur far off the spot's depth, against the picture's width
LOOSE_CIRCLE = 1.18  # [1] radius of the hint circle over the spot's reach
RING_MM = (1.0, 3.0)  # [mm] bare skin outside the border that skin_lab is taken from


def shoot(subject: Subject, shot: Shot) -> Snapshot:
    """The photograph, and the truth about it. Equal arguments give equal bytes."""
    view, papers = _set_up(subject, shot)
    linear = _expose(subject, shot, view, papers)
    rng = np.random.default_rng([shot.seed, 25])
    linear = through_lens(linear, shot.blur_px, shot.motion_px, rng.uniform(0, np.pi))
    _glare(linear, rng, view, shot.glare)
    add_noise(linear, np.random.default_rng([shot.seed, 26]), shot.noise)
    jpeg = write_jpeg(encode_tone(linear, shot.curve), shot)
    return Snapshot(jpeg, _truth(subject, shot, view, papers))


def _set_up(subject: Subject, shot: Shot) -> tuple[View, tuple[Paper, ...]]:
    """Where everything stands before the shutter opens."""
    rng = np.random.default_rng([shot.seed, 21])
    lie = plan(subject)
    middle = _middle(subject)
    stretch = draw_stretch(np.random.default_rng([shot.seed, 22]), shot.stretch_mm, middle)
    surface = Surface(lie.radius_u, lie.radius_v, np.asarray(lie.apex), stretch)
    frame = frame_at(surface, middle)
    widest = max(shot.width_px, shot.height_px) / shot.px_per_mm
    drawn = max(rng.uniform(*DISTANCE_MM), widest / WIDEST)
    size = (shot.width_px, shot.height_px)

    def view_of(target: Array) -> View:
        camera = aim(
            frame,
            frame.place(target[None])[0],
            tilt_deg=shot.tilt_deg,
            azimuth_deg=shot.tilt_azimuth_deg,
            roll_deg=shot.roll_deg,
            distance_mm=shot.distance_mm or drawn,
            px_per_mm=shot.px_per_mm,
            size_px=size,
        )
        return View(surface, camera, frame)

    if shot.sticker_id is None:
        return view_of(rng.normal(0, 0.8, 2)), ()
    spot_reach = reach_mm(subject.spots[0]) if subject.spots else 2.0
    papers = []
    view = None
    for sticker_id, gap in ((shot.sticker_id, shot.sticker_gap_mm), (shot.second_sticker_id, None)):
        if sticker_id is None:
            continue
        paper, found = lay(
            rng,
            view_of if view is None else (lambda _: view),
            lie,
            sticker_id=sticker_id,
            reach_mm=spot_reach,
            gap_mm=gap,
            height_mm=shot.sticker_height_mm,
            tilt_deg=shot.sticker_tilt_deg,
            cut=shot.sticker_cut,
            size_px=size,
        )
        view = view or found
        papers.append(paper)
    return view, tuple(papers)


def _middle(subject: Subject) -> Array:
    """Skin point the camera looks at: the first spot, or the origin of the site."""
    first = subject.spots[0] if subject.spots else None
    return np.array([first.x_mm, first.y_mm]) if first else np.zeros(2)


def _expose(subject: Subject, shot: Shot, view: View, papers: tuple[Paper, ...]) -> Field:
    """Linear light on the sensor, before lens blur and noise."""
    lamp = shot.lamp
    u, v = skin_map(view, shot.width_px, shot.height_px)
    picture = skin_light(subject, view, lamp, u, v)
    for spot in subject.spots:
        add_spot(picture, subject, spot, view, lamp, u, v)
    if subject.site.part == Part.EAR:
        add_background(picture, np.random.default_rng([shot.seed, 23]), subject, u, v)
    rng = np.random.default_rng([shot.seed, 24])
    easel = Easel(rng, view, shot.width_px, shot.height_px, shot.px_per_mm, lamp)
    lie = plan(subject)
    draw_coat(picture, easel, skins.far(subject), lie, subject.coat)
    out_of_focus(picture, depth_map(view, u, v), DEFOCUS * shot.width_px)
    away = -lamp_direction(view, lamp)
    for paper in papers:
        rise = 0.35 + max(shot.sticker_height_mm, 0)
        fall = view.camera.rotation[:2] @ away * rise * shot.px_per_mm
        put(picture, paper, view, facing(lamp, view, paper.normal), fall)
    draw_loose(picture, easel, subject.coat, shot.hair)
    draw_whiskers(picture, easel, lie.whiskers if shot.whiskers is None else shot.whiskers)
    field = unevenness(np.random.default_rng([shot.seed, 27]), lamp, shot.width_px, shot.height_px)
    picture *= (field * np.float32(lamp.brightness))[..., None]
    picture *= cast(lamp.kelvin)
    return picture


def _glare(linear: Field, rng: np.random.Generator, view: View, strength: float) -> None:
    """A washed-out veil near the spot, in place."""
    if not strength:
        return
    x, y = view.camera.project(view.frame.place(rng.normal(0, 1.5, (1, 2))))[0]
    height, width = linear.shape[:2]
    size = 0.06 * width
    veil = np.outer(
        np.exp(-(((np.arange(height) - y) / size) ** 2)),
        np.exp(-(((np.arange(width) - x) / size) ** 2)),
    )
    linear += (strength * veil.astype(np.float32))[..., None]


def _truth(subject: Subject, shot: Shot, view: View, papers: tuple[Paper, ...]) -> Truth:
    middle = _middle(subject)[None]
    spots = tuple(_spot_truth(subject, spot, view) for spot in subject.spots)
    outline = spots[0].outline_px if spots else view.to_px(middle + _ring(2.0))
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
        view=view,
    )


def _ring(radius: float) -> Array:
    turn = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    return radius * np.column_stack([np.cos(turn), np.sin(turn)])


def _spot_truth(subject: Subject, spot: Spot, view: View) -> SpotTruth:
    line = outline_mm(spot)
    patch = spot_patch(subject, spot)
    within = patch.share > 0.5
    mixed = patch.bare_albedo + (patch.albedo - patch.bare_albedo) * patch.share[..., None]
    return SpotTruth(
        spot=spot,
        outline_px=view.to_px(line),
        area_mm2=surface_area_mm2(spot, view),
        rest_area_mm2=spot.rest_area_mm2,
        longest_mm=float(pdist(line).max()),
        lab=_median_lab(mixed[within]),
    )


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
    middle = _middle(subject)
    reach = reach_mm(subject.spots[0]) if subject.spots else 0.0
    away = np.hypot(u - middle[0], v - middle[1]) - reach
    ring = free & (away > RING_MM[0]) & (away < RING_MM[1])
    return _median_lab(fine.skin.albedo[ring if ring.any() else free])


def _median_lab(albedo: Field) -> Lab:
    lab = np.median(linear_to_lab(albedo.reshape(-1, 3)), axis=0)
    return (float(lab[0]), float(lab[1]), float(lab[2]))
