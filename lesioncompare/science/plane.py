"""Planes seen by a camera: homographies, their local scale, and how the plane lies.

A homography is a (3, 3) matrix acting on homogeneous points (x, y, 1).

References
----------
.. [1] Hartley R, Zisserman A (2004) Multiple View Geometry in Computer Vision, 2nd ed., 2.3, 8.1.
.. [2] Heckbert PS (1989) Fundamentals of Texture Mapping and Image Warping, UC Berkeley, 2.2.
.. [3] Zhang Z (2000) A flexible new technique for camera calibration, IEEE TPAMI 22:1330-1334,
   section 3.1 (pose of a plane from its homography), doi 10.1109/34.888718.
"""

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

CELL_PX = 8  # [px] between the places at which a smooth map of pixels is asked

Points = NDArray[np.float64]
Matrix = NDArray[np.float64]


def apply_homography(matrix: ArrayLike, points: ArrayLike) -> Points:
    """Points (n, 2) carried by a homography, shape (n, 2)."""
    transform, at = np.asarray(matrix, float), np.asarray(points, float)
    carried = at @ transform[:, :2].T + transform[:, 2]
    return carried[:, :2] / carried[:, 2:]


def sampling(
    back: Callable[[Points], Points], size: tuple[int, int]
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Where the pixels of a picture of ``size`` (columns, rows) come from, for ``cv2.remap``.

    Parameters
    ----------
    back
        Takes points (n, 2) of the new picture to the old one [px]. It is asked at every eighth
        pixel only, so it must be smooth.
    size
        Columns and rows of the new picture [px].
    """
    cells = [-(-side // CELL_PX) + 2 for side in size]
    x, y = ((np.arange(count) - 0.5) * CELL_PX - 0.5 for count in cells)
    at = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    known = back(at).astype(np.float32).reshape(cells[1], cells[0], 2)
    full = [count * CELL_PX for count in cells]
    whole = cv2.resize(known, full, interpolation=cv2.INTER_LINEAR)
    part = whole[CELL_PX : CELL_PX + size[1], CELL_PX : CELL_PX + size[0]]
    across, down = cv2.split(part)
    return np.asarray(across, np.float32), np.asarray(down, np.float32)


def homography_between(points: ArrayLike, others: ArrayLike) -> Matrix:
    """The homography that carries four points (4, 2) exactly to four others.

    Raises
    ------
    numpy.linalg.LinAlgError
        When three of the points lie on a line.
    """
    rows, right = [], []
    for (x, y), (u, v) in zip(np.asarray(points, float), np.asarray(others, float), strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    solved = np.linalg.solve(np.array(rows), np.array(right))
    return np.append(solved, 1.0).reshape(3, 3)


def jacobian(matrix: ArrayLike, points: ArrayLike) -> NDArray[np.float64]:
    """Derivative of the carried points by the points, shape (n, 2, 2)."""
    transform, at = np.asarray(matrix, float), np.asarray(points, float)
    weight = at @ transform[2, :2] + transform[2, 2]
    carried = apply_homography(transform, at)
    slope = transform[None, :2, :2] - carried[:, :, None] * transform[2, :2]
    return slope / weight[:, None, None]


def local_scale(matrix: ArrayLike, points: ArrayLike) -> NDArray[np.float64]:
    """Geometric mean magnification at each point, sqrt(abs(det J)), shape (n,) [out per in]."""
    return np.sqrt(np.abs(np.linalg.det(jacobian(matrix, points))))


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """How a plane lies before the camera.

    ``rotation`` (3, 3) and ``shift_mm`` (3,) take (x, y, height) of the plane to camera axes:
    x right, y down, z away along the optical axis.
    """

    rotation: Matrix
    shift_mm: NDArray[np.float64]

    @property
    def tilt_deg(self) -> float:
        """Angle between the optical axis and the plane's normal [deg]."""
        return float(np.degrees(np.arccos(np.clip(abs(self.rotation[2, 2]), 0, 1))))

    def depth_mm(self, points_mm: ArrayLike) -> NDArray[np.float64]:
        """Distance along the optical axis of points (n, 2) of the plane, shape (n,) [mm]."""
        return np.asarray(points_mm, float) @ self.rotation[2, :2] + self.shift_mm[2]


def pose_of_plane(mm_to_px: ArrayLike, focal_px: float, centre_px: tuple[float, float]) -> Pose:
    """Pose of the plane seen through a homography by a camera of known focal length.

    Parameters
    ----------
    mm_to_px
        Homography of the plane's points [mm] to the picture [px].
    focal_px
        Focal length [px].
    centre_px
        Where the optical axis meets the picture [px].

    Notes
    -----
    The nearest rotation (in the least-squares sense) to the two scaled columns of [3]_. An error
    of 10 % in the focal length changes the distance by 10 % and sin(tilt) by about as much.
    """
    transform = np.asarray(mm_to_px, float)
    x, y = centre_px
    to_rays = np.array([[1, 0, -x], [0, 1, -y], [0, 0, focal_px]]) / focal_px
    columns = to_rays @ transform
    columns *= np.sign(columns[2, 2])
    left, size, right = np.linalg.svd(columns[:, :2], full_matrices=False)
    axes = left @ right
    rotation = np.column_stack([axes, np.cross(axes[:, 0], axes[:, 1])])
    return Pose(rotation, columns[:, 2] / size.mean())


@dataclass(frozen=True, slots=True)
class Expected:
    """A quantity before it is measured: its value and the standard deviation of its logarithm."""

    value: float
    spread: float


def likeliest_pose(  # noqa: PLR0913  two sets of points, and what is known beforehand
    points_mm: ArrayLike,
    points_px: ArrayLike,
    centre_px: tuple[float, float],
    *,
    u_px: float,
    distance_mm: Expected,
    focal_px: Expected | None = None,
) -> Pose:
    """Pose of a plane seen by a camera whose focal length is not known, or not exactly.

    A tilted square shows both how far it is foreshortened and how fast it shrinks with depth,
    which together give tilt and distance; one seen square on shows neither, and what was expected
    beforehand then stands.

    Parameters
    ----------
    points_mm, points_px
        Four or more points of the plane, (n, 2), and where they are seen.
    centre_px
        Where the optical axis meets the picture [px].
    u_px
        Standard uncertainty of a seen point per coordinate [px].
    distance_mm
        Expected distance [mm].
    focal_px
        Focal length as far as it is known [px].
    """
    plane, seen = np.asarray(points_mm, float), np.asarray(points_px, float)
    transform = homography_between(plane[:4], seen[:4])
    scale = float(local_scale(transform, plane.mean(axis=0, keepdims=True))[0])
    focal = scale * distance_mm.value if focal_px is None else focal_px.value
    first = pose_of_plane(transform, focal, centre_px)
    start = Rotation.from_matrix(first.rotation).as_rotvec()
    # unknowns: rotation (3), place in the picture over focal length (2), log depth, log focal
    aside = first.shift_mm[:2] / first.shift_mm[2]
    unknowns = np.concatenate([start, aside, [np.log(first.shift_mm[2]), np.log(focal)]])

    def misfit(values: NDArray[np.float64]) -> NDArray[np.float64]:
        depth, length = np.exp(values[5:])
        axes = Rotation.from_rotvec(values[:3]).as_matrix()
        shift = depth * np.append(values[3:5], 1.0)
        places = plane @ axes[:, :2].T + shift
        picture = length * places[:, :2] / places[:, 2:] + centre_px
        expected = [(values[5] - np.log(distance_mm.value)) / distance_mm.spread]
        if focal_px is not None:
            expected.append((values[6] - np.log(focal_px.value)) / focal_px.spread)
        return np.concatenate([((picture - seen) / u_px).ravel(), expected])

    solved = least_squares(misfit, unknowns, method="lm", xtol=1e-6, ftol=1e-8).x
    depth = float(np.exp(solved[5]))
    return Pose(Rotation.from_rotvec(solved[:3]).as_matrix(), depth * np.append(solved[3:5], 1.0))
