"""A pinhole camera before the skin, and the exact way from skin to picture and back."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lesioncompare.phantom.shot import Shot
from lesioncompare.phantom.surface import Surface

Array = NDArray[np.float64]
NEAREST_MM = 2.0  # [mm] depth at which points are held


@dataclass(frozen=True, slots=True, eq=False)
class Camera:
    """``rotation`` rows are the camera's right, down and forward axes in body axes."""

    rotation: Array  # (3, 3)
    centre: Array  # (3,) [mm]
    focal_px: float
    middle_px: tuple[float, float]

    def project(self, places: Array) -> Array:
        """Pictures (n, 2) of places (n, 3) [px]."""
        seen = (places - self.centre) @ self.rotation.T
        depth = np.maximum(seen[:, 2:], NEAREST_MM)
        return self.focal_px * seen[:, :2] / depth + np.asarray(self.middle_px)

    def depth(self, places: Array) -> Array:
        """Depth of places (n, 3) along the optical axis [mm]."""
        return (places - self.centre) @ self.rotation[2]


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """The plane that touches the skin at the spot: origin, axes right and down, and outward."""

    origin: Array
    right: Array
    down: Array
    out: Array

    def place(self, across: Array, height: float = 0.0) -> Array:
        """Places (n, 3) of points (n, 2) of this plane, raised by ``height`` [mm]."""
        flat = across[:, :1] * self.right + across[:, 1:] * self.down
        return self.origin + flat + height * self.out


def frame_at(surface: Surface, point: Array) -> Frame:
    """The touching plane at a skin point (2,)."""
    along_u, _, out = (axis[0] for axis in surface.frames(point[None]))
    return Frame(surface.place(point[None])[0], along_u, np.cross(-out, along_u), out)


def turned(vector: Array, axis: Array, angle: float) -> Array:
    """Rodrigues' rotation of a vector about a unit axis."""
    cross, dot = np.cross(axis, vector), float(axis @ vector)
    return vector * np.cos(angle) + cross * np.sin(angle) + axis * dot * (1 - np.cos(angle))


def aim(frame: Frame, target: Array, shot: Shot, distance_mm: float) -> Camera:
    """A camera posed as ``shot`` says, with ``target`` (3,) in the middle of its picture.

    ``distance_mm`` is the depth of the frame's origin, where the scale is ``shot.px_per_mm``.
    """
    azimuth, tilt, roll = np.radians([shot.tilt_azimuth_deg, shot.tilt_deg, shot.roll_deg])
    lean = np.cos(azimuth) * frame.right + np.sin(azimuth) * frame.down
    axis = np.cross(-frame.out, lean)
    forward, right, down = (
        turned(vector, axis, -tilt) for vector in (-frame.out, frame.right, frame.down)
    )
    right, down = turned(right, forward, roll), turned(down, forward, roll)
    depth = distance_mm + float((target - frame.origin) @ forward)
    rotation = np.stack([right, down, forward])
    middle = ((shot.width_px - 1) / 2, (shot.height_px - 1) / 2)
    return Camera(rotation, target - depth * forward, shot.px_per_mm * distance_mm, middle)


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """Skin through camera: the exact correspondence between skin millimetres and pixels."""

    surface: Surface
    camera: Camera
    frame: Frame

    def to_px(self, points_mm: Array, height: Array | float = 0.0) -> Array:
        """Pixels (n, 2) of body-fixed skin points (n, 2) [px]."""
        points = np.atleast_2d(np.asarray(points_mm, float))
        return self.camera.project(self.surface.place(points, height))

    def jacobian(self, points_mm: Array) -> Array:
        """Derivative of pixels by skin millimetres at rest, (n, 2, 2) [px/mm]."""
        step = 1e-4
        columns = [
            (self.to_px(points_mm + move) - self.to_px(points_mm - move)) / (2 * step)
            for move in (np.array([step, 0.0]), np.array([0.0, step]))
        ]
        return np.stack(columns, axis=2)

    def to_skin(self, points_px: Array, start: Array | None = None, rounds: int = 8) -> Array:
        """Skin points (n, 2) seen at pixels (n, 2), by Newton's method from ``start`` [mm]."""
        pixels = np.atleast_2d(np.asarray(points_px, float))
        guess = self._on_plane(pixels) if start is None else np.array(start, float)
        step = 1e-4  # [mm]
        along_u, along_v = np.array([step, 0.0]), np.array([0.0, step])
        for _ in range(rounds):
            here = self.to_px(guess)
            du = (self.to_px(guess + along_u) - here) / step
            dv = (self.to_px(guess + along_v) - here) / step
            miss = pixels - here
            det = du[:, 0] * dv[:, 1] - dv[:, 0] * du[:, 1]
            det = np.where(np.abs(det) < 1e-3, np.copysign(1e-3, det), det)
            move = np.column_stack(
                [
                    miss[:, 0] * dv[:, 1] - miss[:, 1] * dv[:, 0],
                    du[:, 0] * miss[:, 1] - du[:, 1] * miss[:, 0],
                ]
            )
            guess += np.clip(move / det[:, None], -8.0, 8.0)
        return guess

    def _on_plane(self, pixels: Array) -> Array:
        """First guess: where the lines of sight cross the spot's plane."""
        camera, frame = self.camera, self.frame
        rays = np.column_stack(
            [(pixels - camera.middle_px) / camera.focal_px, np.ones(len(pixels))]
        )
        rays = rays @ camera.rotation
        reach = ((frame.origin - camera.centre) @ frame.out) / np.minimum(rays @ frame.out, -0.05)
        hit = camera.centre + reach[:, None] * rays - frame.origin
        flat = np.column_stack([hit @ frame.right, hit @ frame.down])
        return flat + self.rest_origin

    @property
    def rest_origin(self) -> Array:
        """Roughly the skin point of the frame's origin [mm]."""
        place = self.frame.origin
        return self.surface.apex + np.array([place[0], place[1]])
