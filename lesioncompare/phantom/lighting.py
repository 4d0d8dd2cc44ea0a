"""Light on skin: shade and glints in the skin's own grid, and unevenness across the picture.

References
----------
.. [1] Blinn JF (1977) Models of light reflection for computer synthesized pictures,
   Computer Graphics 11:192-198, doi 10.1145/965141.563893 (glints from the half vector).
.. [2] Krystek M (1985) An algorithm to calculate correlated colour temperature,
   Color Res Appl 10:38-40, doi 10.1002/col.5080100109 (Planckian locus in u, v).
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.phantom.camera import View
from lesioncompare.phantom.fields import Field, Grid
from lesioncompare.phantom.shot import Lamp

Array = NDArray[np.float64]
COARSE = 16  # grid steps between points at which directions are worked out
SHARP, SHEEN = 130.0, 16.0  # [1] exponents of a wet glint and of a damp sheen
SHARP_LIGHT, SHEEN_LIGHT = 0.95, 0.065  # [1] their light against a white sheet's
FILM_MM = 0.055  # [mm] over which a wet film evens out the relief
# linear sRGB from XYZ, IEC 61966-2-1
XYZ_TO_RGB = np.array(
    [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]]
)


def lamp_direction(view: View, lamp: Lamp) -> Array:
    """Unit vector from the spot towards the lamp, in body axes."""
    azimuth, height = np.radians([lamp.azimuth_deg, lamp.height_deg])
    right, down, _ = view.camera.rotation
    flat = np.cos(azimuth) * right + np.sin(azimuth) * down
    flat = flat - (flat @ view.frame.out) * view.frame.out
    flat /= np.linalg.norm(flat)
    return np.cos(height) * flat + np.sin(height) * view.frame.out


def facing(lamp: Lamp, view: View, normal: Array) -> float:
    """Light on a plane of that normal against the light on the spot's own plane [1]."""
    towards = lamp_direction(view, lamp)
    direct = max(float(normal @ towards), 0.0) / float(view.frame.out @ towards)
    return lamp.ambient + (1 - lamp.ambient) * direct


def form_light(view: View, lamp: Lamp, points: Array) -> Array:
    """Light on the smooth form of the body at skin points (n, 2) against the spot's plane (n,)."""
    _, _, normal = view.surface.frames(points)
    towards, out = lamp_direction(view, lamp), view.frame.out
    direct = np.maximum(normal @ towards, 0) / float(out @ towards)
    light = lamp.ambient * (0.45 + 0.55 * (normal @ out)) + (1 - lamp.ambient) * direct
    return np.asarray(light, float)


def spread(coarse: NDArray[np.floating], step: int, shape: tuple[int, int]) -> Field:
    """A coarse grid, sampled at the middles of ``step`` wide blocks, brought to ``shape``."""
    rows, columns = coarse.shape[:2]
    full = cv2.resize(
        coarse.astype(np.float32), (columns * step, rows * step), interpolation=cv2.INTER_LINEAR
    )
    return full[step : step + shape[0], step : step + shape[1]]


def blocks(count: int, step: int) -> Array:
    """Middles of ``step`` wide blocks over ``count`` samples, with one block more on each side."""
    return np.asarray((np.arange(-1, -(-count // step) + 1) + 0.5) * step - 0.5, float)


@dataclass(frozen=True, slots=True, eq=False)
class Lit:
    """Light leaving a grid of skin: ``shade`` multiplies reflectance, ``glint`` is added."""

    shade: Field
    glint: Field


def light_up(view: View, lamp: Lamp, grid: Grid, height: Field, gloss: Field) -> Lit:
    """Shade and glints of a relief on the curved skin, with a level sheet at the spot as 1."""
    rows, columns = grid.u.shape
    v, u = np.meshgrid(
        grid.corner[1] + grid.pitch * blocks(rows, COARSE),
        grid.corner[0] + grid.pitch * blocks(columns, COARSE),
        indexing="ij",
    )
    points = np.column_stack([u.ravel(), v.ravel()])
    axes = view.surface.frames(points)
    towards = lamp_direction(view, lamp)
    sight = view.camera.centre - view.surface.place(points)
    sight /= np.linalg.norm(sight, axis=1, keepdims=True)
    half = sight + towards
    half /= np.linalg.norm(half, axis=1, keepdims=True)
    parts = [axis @ towards for axis in axes] + [(axis * half).sum(axis=1) for axis in axes]
    stack = np.stack([*parts, axes[2] @ view.frame.out], axis=1).reshape(*u.shape, 7)
    full = spread(stack, COARSE, (rows, columns))
    direct, upright = _towards(full[..., :3], height, grid.pitch)
    film = cv2.GaussianBlur(height, (0, 0), max(FILM_MM / grid.pitch, 0.3))
    mirror, _ = _towards(full[..., 3:6], film, grid.pitch)
    level = float(view.frame.out @ towards)
    turned = full[..., 6]
    open_sky = lamp.ambient * (0.35 + 0.65 * upright) * (0.45 + 0.55 * turned)
    shade = open_sky + (1 - lamp.ambient) * np.maximum(direct, 0) / np.float32(level)
    mirror = np.maximum(mirror, 0)
    sheen = np.float32(SHEEN_LIGHT) * cv2.pow(mirror, SHEEN)
    glint = gloss * (np.float32(SHARP_LIGHT) * cv2.pow(mirror, SHARP) + sheen)
    return Lit(shade.astype(np.float32), glint.astype(np.float32))


def _towards(direction: Field, height: Field, pitch: float) -> tuple[Field, Field]:
    """Cosine between a relief's normal and a direction in the skin's axes, and the normal's own."""
    scale = 1 / (8 * pitch)
    slope_u = cv2.Sobel(height, cv2.CV_32F, 1, 0, ksize=3, scale=scale)
    slope_v = cv2.Sobel(height, cv2.CV_32F, 0, 1, ksize=3, scale=scale)
    upright = 1 / np.sqrt(1 + slope_u**2 + slope_v**2)
    level = direction[..., 2] - slope_u * direction[..., 0] - slope_v * direction[..., 1]
    return level * upright, upright


def cast(kelvin: float) -> NDArray[np.float32]:
    """R, G, B factors of light of a colour temperature against 6500 K, of unit luminance (3,)."""
    ratio = _planckian(kelvin) / _planckian(6500.0)
    return (ratio / (ratio @ np.array([0.2126, 0.7152, 0.0722]))).astype(np.float32)


def _planckian(kelvin: float) -> Array:
    """Linear sRGB of a black body, unscaled. Valid from 1000 to 15000 K."""
    t = kelvin
    u = (0.860117757 + 1.54118254e-4 * t + 1.28641212e-7 * t**2) / (
        1 + 8.42420235e-4 * t + 7.08145163e-7 * t**2
    )
    v = (0.317398726 + 4.22806245e-5 * t + 4.20481691e-8 * t**2) / (
        1 - 2.89741816e-5 * t + 1.61456053e-7 * t**2
    )
    x, y = 3 * u / (2 * u - 8 * v + 4), 2 * v / (2 * u - 8 * v + 4)
    return np.maximum(XYZ_TO_RGB @ np.array([x / y, 1.0, (1 - x - y) / y]), 0.02)


def unevenness(rng: np.random.Generator, lamp: Lamp, width: int, height: int) -> Field:
    """How light varies across the picture, 1 in its middle, (height, width)."""
    step = 8
    y, x = np.meshgrid(blocks(height, step), blocks(width, step), indexing="ij")
    x, y = (x - width / 2) / width, (y - height / 2) / width
    turn = np.radians(lamp.gradient_deg)
    field = 1 + lamp.gradient * (x * np.cos(turn) + y * np.sin(turn))
    if lamp.shadow:
        side, place, bow = rng.uniform(0, 2 * np.pi), rng.uniform(0.02, 0.22), rng.uniform(-1, 1)
        across = x * np.cos(side) + y * np.sin(side)
        along = -x * np.sin(side) + y * np.cos(side)
        edge = (across - place + bow * along**2) / rng.uniform(0.02, 0.07)
        field = field * (1 - lamp.shadow / (1 + np.exp(np.clip(-edge, -50, 50))))
    return spread(np.maximum(field, 0.05), step, (height, width))
