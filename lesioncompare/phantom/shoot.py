"""One photograph of one subject: the order in which it comes about."""

import numpy as np

from lesioncompare.phantom import atlas as skins
from lesioncompare.phantom.camera import View
from lesioncompare.phantom.develop import (
    add_noise,
    encode_tone,
    out_of_focus,
    through_lens,
    write_jpeg,
)
from lesioncompare.phantom.fields import Field
from lesioncompare.phantom.hair import Easel, draw_coat, draw_strays
from lesioncompare.phantom.known import known
from lesioncompare.phantom.lighting import cast, facing, lamp_direction, unevenness
from lesioncompare.phantom.paper import put
from lesioncompare.phantom.picture import (
    Seen,
    add_background,
    add_spot,
    blurred_share,
    skin_light,
    skin_map,
)
from lesioncompare.phantom.shot import Shot
from lesioncompare.phantom.sites import plan
from lesioncompare.phantom.stage import Stage, set_up
from lesioncompare.phantom.subject import Subject
from lesioncompare.phantom.truth import Snapshot
from lesioncompare.terms import Part

DEFOCUS = 0.0018  # [1] blur far off the spot's depth, against the picture's width


def shoot(subject: Subject, shot: Shot) -> Snapshot:
    """The photograph, and the truth about it. Equal arguments give equal bytes."""
    stage = set_up(subject, shot)
    linear = _expose(subject, shot, stage)
    rng = np.random.default_rng([shot.seed, 25])
    linear = through_lens(linear, shot.blur_px, shot.motion_px, rng.uniform(0, np.pi))
    _glare(linear, rng, stage.view, shot.glare)
    add_noise(linear, np.random.default_rng([shot.seed, 26]), shot.noise)
    focal_px = stage.view.camera.focal_px
    jpeg = write_jpeg(encode_tone(linear, shot.curve), shot, focal_px)
    return Snapshot(jpeg, known(subject, shot, stage))


def _expose(subject: Subject, shot: Shot, stage: Stage) -> Field:
    """Linear light on the sensor, before lens blur and noise."""
    lamp, view = shot.lamp, stage.view
    seen = Seen(view, lamp, *skin_map(view, shot.width_px, shot.height_px))
    picture = skin_light(subject, seen)
    for spot in subject.spots:
        add_spot(picture, subject, spot, seen)
    if subject.site.part == Part.EAR:
        add_background(picture, np.random.default_rng([shot.seed, 23]), subject, seen)
    rng = np.random.default_rng([shot.seed, 24])
    easel = Easel(rng, view, shot.width_px, shot.height_px, shot.px_per_mm, lamp)
    lie = plan(subject)
    draw_coat(picture, easel, skins.covering(subject, seen.u, seen.v), lie, subject.coat)
    out_of_focus(picture, blurred_share(seen), DEFOCUS * shot.width_px)
    away = -lamp_direction(view, lamp)
    for paper in stage.papers:
        rise = 0.35 + max(shot.sticker_height_mm, 0)
        fall = view.camera.rotation[:2] @ away * rise * shot.px_per_mm
        put(picture, paper, view, facing(lamp, view, paper.normal), fall)
    whiskers = lie.whiskers if shot.whiskers is None else shot.whiskers
    draw_strays(picture, easel, subject.coat, loose=shot.hair, whiskers=whiskers)
    field = unevenness(np.random.default_rng([shot.seed, 27]), lamp, shot.width_px, shot.height_px)
    gain = np.float32(lamp.brightness) * cast(lamp.kelvin)
    for top in range(0, shot.height_px, 64):  # strips stay in the processor's cache
        picture[top : top + 64] *= field[top : top + 64, :, None] * gain
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
