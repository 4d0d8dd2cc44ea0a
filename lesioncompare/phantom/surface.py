"""The skin's shape: rest millimetres, stretched, laid over a curved body.

Body axes: x right, y down, z into the body [mm]. Skin coordinates (u, v) are lengths along the
skin at rest, body-fixed. A smooth stretch moves them; two circular arcs, one along each axis,
carry the result into space. Along either axis the arcs keep length; the area element is
sqrt(1 - sin(a)**2 sin(b)**2) for slopes a and b.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
STEEPEST = 0.55  # [rad] slope at which an arc goes on straight
WAVES = 5  # waves per stretch field
WAVELENGTH_MM = (35.0, 75.0)  # [mm] smooth beside a spot of a few millimetres


def _arc(length: Array, radius: float) -> tuple[Array, Array, Array]:
    """Run, fall and slope angle after ``length`` along an arc that ends in a straight line."""
    angle = np.clip(length / radius, -STEEPEST, STEEPEST)
    rest = length - angle * radius
    run = radius * np.sin(angle) + rest * np.cos(angle)
    fall = radius * (1 - np.cos(angle)) + rest * np.sin(angle)
    return run, fall, angle


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """A smooth displacement of the skin: a sum of plane waves. Rows of ``waves``: kx ky phase."""

    waves: Array
    moves: Array  # (n, 2) [mm]
    offset: Array  # (2,) [mm]

    def __call__(self, points: Array) -> Array:
        """Displaced points (n, 2) [mm]."""
        if not self.moves.any():
            return points
        phase = points @ self.waves[:, :2].T + self.waves[:, 2]
        return points + np.sin(phase) @ self.moves - self.offset

    def growth(self, points: Array) -> Array:
        """Relative area after the stretch at points (n, 2) [1]."""
        if not self.moves.any():
            return np.ones(len(points))
        slope = np.cos(points @ self.waves[:, :2].T + self.waves[:, 2])
        grad = np.einsum("nw,wi,wj->nij", slope, self.moves, self.waves[:, :2])
        return np.linalg.det(np.eye(2) + grad)


def draw_stretch(rng: np.random.Generator, largest_mm: float, centre: Array) -> Stretch:
    """A random stretch whose largest displacement within 10 mm of ``centre`` is ``largest_mm``."""
    direction = rng.uniform(0, 2 * np.pi, WAVES)
    number = 2 * np.pi / rng.uniform(*WAVELENGTH_MM, WAVES)
    waves = np.column_stack(
        [number * np.cos(direction), number * np.sin(direction), rng.uniform(0, 2 * np.pi, WAVES)]
    )
    moves = rng.normal(size=(WAVES, 2))
    grid = np.stack(np.meshgrid(np.linspace(-10, 10, 21), np.linspace(-10, 10, 21)), -1)
    near = grid.reshape(-1, 2)[np.hypot(*grid.reshape(-1, 2).T) <= 10] + centre
    bare = Stretch(waves, moves, np.zeros(2))
    shift = bare(near) - near
    middle = bare(centre[None])[0] - centre
    scale = largest_mm / np.hypot(*(shift - middle).T).max()
    return Stretch(waves, moves * scale, middle * scale)


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """The curved, stretched skin. ``apex`` is the skin point at which it is level [mm]."""

    radius_u: float
    radius_v: float
    apex: Array
    stretch: Stretch

    def place(self, points: Array, height: Array | float = 0.0) -> Array:
        """Where skin points (n, 2) lie in space, raised by ``height`` along the normal, (n, 3)."""
        laid = self.stretch(points) - self.apex
        run_u, fall_u, a = _arc(laid[:, 0], self.radius_u)
        run_v, fall_v, b = _arc(laid[:, 1], self.radius_v)
        place = np.column_stack([run_u, run_v, fall_u + fall_v])
        if np.any(height):
            place += np.reshape(height, (-1, 1)) * _outward(a, b)
        return place

    def frames(self, points: Array) -> tuple[Array, Array, Array]:
        """Unit tangents along u and v and outward normal at points (n, 2), each (n, 3)."""
        laid = self.stretch(points) - self.apex
        a = np.clip(laid[:, 0] / self.radius_u, -STEEPEST, STEEPEST)
        b = np.clip(laid[:, 1] / self.radius_v, -STEEPEST, STEEPEST)
        zero = np.zeros_like(a)
        along_u = np.column_stack([np.cos(a), zero, np.sin(a)])
        along_v = np.column_stack([zero, np.cos(b), np.sin(b)])
        return along_u, along_v, _outward(a, b)

    def area_element(self, points: Array) -> Array:
        """True surface area for one mm² of skin at rest, at points (n, 2) [1]."""
        laid = self.stretch(points) - self.apex
        a = np.clip(laid[:, 0] / self.radius_u, -STEEPEST, STEEPEST)
        b = np.clip(laid[:, 1] / self.radius_v, -STEEPEST, STEEPEST)
        return self.stretch.growth(points) * np.sqrt(1 - (np.sin(a) * np.sin(b)) ** 2)


def _outward(a: Array, b: Array) -> Array:
    """Unit normal out of the body for slopes a and b."""
    normal = np.column_stack([np.sin(a) * np.cos(b), np.cos(a) * np.sin(b), -np.cos(a) * np.cos(b)])
    return normal / np.linalg.norm(normal, axis=1, keepdims=True)
