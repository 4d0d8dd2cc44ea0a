"""The design as it was laid over a photo: where it lies, how surely, and how well it agrees.

A sticker that is not quite flat bends like a sheet: what a homography cannot follow is, to second
order, a bow of four numbers on the design.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lesioncompare.locate.drawing import Plane, strips, white_modules
from lesioncompare.records import Matrix, Points
from lesioncompare.science.plane import apply_homography, jacobian

FINE = 192  # [px] side of the grid the design is finely laid on
AGREES = 0.25  # [1] of the contrast: a pixel closer than this agrees with the design
CORNERS = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
FLAT = np.zeros(4)
BENT = 0.25  # [1] of a corner's bow: what a sheet does beyond the second order


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """Where a fit stands: centred sides, bowed, to the picture; blur and growth of light [px]."""

    to_picture: Matrix
    bow: NDArray[np.float64]
    blur: float
    growth: float


@dataclass(frozen=True, slots=True, eq=False)
class Round:
    """What one round of the fit saw, kept from the last."""

    residual: Plane
    weight: Plane
    edge: Plane
    contrast: float
    at_rest: bool
    normal: NDArray[np.float64]
    spread: float


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A design laid over a photo.

    ``to_px`` takes centred sides to photo pixels, as flat as the sheet is on the whole;
    ``corners_px`` (4, 2) are its corners with the bow. ``corner_u_px`` is the standard uncertainty
    of a corner per coordinate [px]. ``agreement`` is the share of the design's edges that the photo
    shows, ``modules`` the share of the fiducial's white modules, ``weakest_side`` that of the
    paper along the frame on the side where least is seen; ``contrast`` is the difference of paper
    and ink over paper [1]. ``bowed_to_px`` and ``bow`` say where each point of the design lies.
    """

    to_px: Matrix
    corners_px: Points
    corner_u_px: float
    agreement: float
    modules: float
    weakest_side: float
    contrast: float
    blur_px: float
    bowed_to_px: Matrix
    bow: NDArray[np.float64]

    def place(self, points: ArrayLike) -> Points:
        """Photo pixels (n, 2) of points (n, 2) of the design, in centred sides [px]."""
        return apply_homography(self.bowed_to_px, bowed(points, self.bow))


def bowed(points: ArrayLike, bow: NDArray[np.float64]) -> Points:
    """Points (n, 2) of the design moved by its bow: what no homography does to second order."""
    at = np.asarray(points, float)
    x, y = at[:, 0], at[:, 1]
    a, b, c, d = bow
    return at + np.column_stack([a * y * y + x * (c * x + d * y), b * x * x - y * (c * x + d * y)])


def reported(sticker_id: int, from_px: Matrix, laid: Laid, last: Round) -> Fit:
    """The fit with its uncertainty and how well the photo agrees with the design.

    Parameters
    ----------
    sticker_id
        Which design.
    from_px
        Photo pixels to those of the picture it was fitted to.
    laid, last
        Where the fit came to rest, and what its last round saw.
    """
    home = np.linalg.inv(from_px) @ laid.to_picture
    home /= home[2, 2]
    times = float(1 / from_px[0, 0])
    side_px = float(np.sqrt(abs(np.linalg.det(jacobian(home, [[0, 0]])[0]))))
    grid_px = side_px / FINE  # photo pixels in one step of the grid
    on_edge = last.edge > 0.3 * float(last.edge.max())
    agrees = np.abs(last.residual) < AGREES
    flat = flattened(home, laid.bow)
    corners = apply_homography(home, bowed(CORNERS, laid.bow))
    bent = BENT * np.sqrt(np.mean(np.square(corners - apply_homography(flat, CORNERS))))
    seen = _corner_u(home, last, max(1.0, times / grid_px) * max(1.0, laid.blur))
    return Fit(
        to_px=flat,
        corners_px=corners,
        corner_u_px=float(np.hypot(seen, bent)),
        agreement=_share(agrees, on_edge),
        modules=_share(agrees, white_modules(sticker_id, FINE)),
        weakest_side=min(_share(agrees, strip) for strip in strips(FINE)),
        contrast=last.contrast,
        blur_px=laid.blur * grid_px,
        bowed_to_px=home,
        bow=laid.bow,
    )


def flattened(to_px: Matrix, bow: NDArray[np.float64]) -> Matrix:
    """The homography nearest to a bowed one over the whole design, in the least-squares sense."""
    if not bow.any():
        return to_px
    steps = np.linspace(-0.5, 0.5, 9)
    x, y = (axis.ravel() for axis in np.meshgrid(steps, steps))
    moved = bowed(np.column_stack([x, y]), bow)
    nil, one = np.zeros_like(x), np.ones_like(x)
    rows = np.block(
        [
            [np.column_stack([x, y, one, nil, nil, nil, -x * x, -x * y])],
            [np.column_stack([nil, nil, nil, x, y, one, -x * y, -y * y])],
        ]
    )
    right = np.concatenate([moved[:, 0] - x, moved[:, 1] - y])
    step = np.linalg.lstsq(rows, right, rcond=None)[0]
    flat = to_px @ (np.append(step, 0.0).reshape(3, 3) + np.eye(3))
    return np.asarray(flat / flat[2, 2])


def _share(agrees: NDArray[np.bool_], among: NDArray[np.bool_]) -> float:
    """How many of ``among`` agree [1]."""
    return float(agrees[among].sum() / max(among.sum(), 1))


def _corner_u(to_px: Matrix, last: Round, alike: float) -> float:
    """Standard uncertainty of a corner per coordinate, with residuals alike over ``alike`` px."""
    covariance = np.linalg.pinv(last.normal)[:12, :12] * last.spread**2 * alike**2
    total = 0.0
    for corner in CORNERS:
        x, y = corner
        moves = np.array(
            [
                [x, y, 1, 0, 0, 0, -x * x, -x * y, y * y, 0, x * x, x * y],
                [0, 0, 0, x, y, 1, -x * y, -y * y, 0, x * x, -x * y, -y * y],
            ]
        )
        in_px = jacobian(to_px, corner[None])[0] @ moves
        total += float(np.trace(in_px @ covariance @ in_px.T))
    return float(np.sqrt(total / 8))
