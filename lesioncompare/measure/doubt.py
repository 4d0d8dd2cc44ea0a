"""How a doubtful border moves a measure: the measure taken again on borders that might be."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from lesioncompare.quantity import COVERAGE_95
from lesioncompare.records import Outline, Points
from lesioncompare.science.shape import smooth, texture_scale

Measures = Mapping[str, float]
VARIANTS = 6  # [1] borders tried: their spread is known to about 30 %
WAVES = np.arange(2, 14)  # [1] waves round the border that solver, hair and glints leave
SEED = 20  # any fixed number: the same border always gives the same doubt
STRAYED = 2.0  # [1] between 1 (effect goes as waves²) and 2.4 (goes as waves)
STEPS = 256  # [1] points round a border that is tried; 1.2 % of its length apart


@dataclass(frozen=True, slots=True, eq=False)
class Doubt:
    """Borders that might be: the best, one a standard uncertainty out and in, and wavy ones."""

    best: Points
    wider: Points
    narrower: Points
    wavy: tuple[Points, ...]


def doubt_of(outline: Outline) -> Doubt:
    """The borders that might be, from an outline's own doubt.

    Parameters
    ----------
    outline
        ``border_u_mm`` moves the border as a whole; half the gap between inner and outer contour,
        taken as 95 % wide, is how far it may wave at each place.
    """
    best = outline.contour
    even = smooth(best, texture_scale(best))
    even = even[np.linspace(0, len(even), STEPS, endpoint=False).astype(int)]
    out = _outward(even)
    gap = cKDTree(outline.inner).query(even)[0] + cKDTree(outline.outer).query(even)[0]
    local_u = gap / 2 / COVERAGE_95 if gap.any() else np.full(STEPS, outline.border_u_mm)
    rng = np.random.default_rng(SEED)
    turn = np.arange(STEPS) * 2 * np.pi / STEPS
    waves = np.cos(turn[:, None, None] * WAVES + rng.uniform(0, 2 * np.pi, (VARIANTS, len(WAVES))))
    waves *= rng.standard_normal((VARIANTS, len(WAVES))) * np.sqrt(2 / len(WAVES))
    moves = local_u[:, None] * waves.sum(axis=2)
    shift = out * outline.border_u_mm
    return Doubt(
        even, even + shift, even - shift, tuple(even + out * move[:, None] for move in moves.T)
    )


def _outward(contour: Points) -> Points:
    """Unit normals out of the contour, shape (n, 2)."""
    along = np.roll(contour, -1, axis=0) - np.roll(contour, 1, axis=0)
    normal = np.column_stack([along[:, 1], -along[:, 0]])
    x, y = contour.T
    clockwise = np.dot(x, np.roll(y, -1)) < np.dot(y, np.roll(x, -1))
    normal *= -1 if clockwise else 1
    return normal / np.maximum(np.hypot(*normal.T), 1e-12)[:, None]


def border_u(measured: Callable[[Points], Measures], doubt: Doubt) -> dict[str, float]:
    """Standard uncertainty of each measure from the border's doubt, in the measure's unit.

    Notes
    -----
    The place of the border as a whole enters as half the difference between wider and narrower
    (JCGM 100:2008, 5.1.3, note 2), its waves as scatter and shift of the wavy borders' measures.
    Waves shift forms one way (no border gets smoother by chance), and less so on a border that
    has already strayed than on the true one: the shift counts ``STRAYED`` times.
    """
    best = measured(doubt.best)
    wider, narrower = measured(doubt.wider), measured(doubt.narrower)
    tried = [measured(contour) for contour in doubt.wavy]
    found = {}
    for name, value in best.items():
        waves = np.array([one[name] for one in tried])
        place = (wider[name] - narrower[name]) / 2
        shift = STRAYED * (waves.mean() - value)
        found[name] = float(np.sqrt(place**2 + waves.var(ddof=1) + shift**2))
    return found
