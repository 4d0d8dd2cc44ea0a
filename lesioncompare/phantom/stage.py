"""Where skin, camera and paper stand when the shutter opens."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lesioncompare.phantom.camera import View, aim, frame_at
from lesioncompare.phantom.paper import Paper, Room, Sheet, lay
from lesioncompare.phantom.shot import Shot
from lesioncompare.phantom.sites import plan
from lesioncompare.phantom.spots import reach_mm
from lesioncompare.phantom.subject import Subject
from lesioncompare.phantom.surface import Surface, draw_stretch

Array = NDArray[np.float64]
DISTANCE_MM = (90.0, 180.0)  # [mm] a phone close to a cat
WIDEST = 1.25  # [1] picture width over distance: about a phone's main lens
BARE_REACH_MM = 2.0  # [mm] room kept at the site's origin when there is no spot


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """The view of the skin and the stickers that lie in it, the main one first."""

    view: View
    papers: tuple[Paper, ...]


def aimed_at(subject: Subject) -> Array:
    """Skin point the camera looks at: the first spot's middle, or the origin of the site (2,)."""
    if not subject.spots:
        return np.zeros(2)
    return np.array([subject.spots[0].x_mm, subject.spots[0].y_mm])


def set_up(subject: Subject, shot: Shot) -> Stage:
    """Everything in its place for one photograph."""
    rng = np.random.default_rng([shot.seed, 21])
    lie, middle = plan(subject), aimed_at(subject)
    stretch = draw_stretch(np.random.default_rng([shot.seed, 22]), shot.stretch_mm, middle)
    surface = Surface(lie.radius_u, lie.radius_v, np.asarray(lie.apex), stretch)
    frame = frame_at(surface, middle)
    widest = max(shot.width_px, shot.height_px) / shot.px_per_mm
    distance = max(rng.uniform(*DISTANCE_MM), widest / WIDEST)

    def look(target: Array) -> View:
        place = frame.place(target[None])[0]
        return View(surface, aim(frame, place, shot, shot.distance_mm or distance), frame)

    if shot.sticker_id is None:
        return Stage(look(rng.normal(0, 0.8, 2)), ())
    room = _room(subject, shot)
    sheet = Sheet(
        shot.sticker_id,
        shot.sticker_gap_mm,
        shot.sticker_height_mm,
        shot.sticker_tilt_deg,
        shot.sticker_cut,
    )
    paper, view = lay(rng, look, lie, sheet, room)
    if shot.second_sticker_id is None:
        return Stage(view, (paper,))
    across = paper.corners.mean(axis=0) - frame.origin
    first = [across @ frame.right, across @ frame.down, np.ptp(paper.corners) * 0.75]
    other = Sheet(shot.second_sticker_id, None, 0.0, 0.0, 0.0)
    left = Room(room.reach_mm, np.vstack([room.taken, first]), room.size_px)
    second, _ = lay(rng, lambda _: view, lie, other, left)
    return Stage(view, (paper, second))


def _room(subject: Subject, shot: Shot) -> Room:
    """What the stickers of this photograph must keep to."""
    middle = aimed_at(subject)
    taken = [
        [spot.x_mm - middle[0], spot.y_mm - middle[1], reach_mm(spot)] for spot in subject.spots[1:]
    ]
    reach = reach_mm(subject.spots[0]) if subject.spots else BARE_REACH_MM
    return Room(reach, np.array(taken).reshape(-1, 3), (shot.width_px, shot.height_px))
