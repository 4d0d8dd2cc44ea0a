"""Two rulers in one size: the sticker's millimetres and the animal's own skin near the spot.

A photo whose sticker lay off the plane of the spot sees every length there too large or too small
by one factor, exp(g). The sticker alone only knows that g is small: its scale components. Aligned
to the first photo, the skin near the spot shows the same factor directly: the similarity's scale is
exp(g_first - g), but for the error of its fit. Sizes are compared after each is corrected by its
best estimate of g, both rulers weighed by inverse variance. What all photos share cancels between
visits: the print of the sticker, and the first photo's own g where skin is the ruler.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf, log, sqrt

from lesioncompare.quantity import Component, Quantity
from lesioncompare.records import Notice, Reading
from lesioncompare.registry import notice
from lesioncompare.registry.tolerances import STRETCH_U, TOLERANCES

BORDER_OWN = TOLERANCES["area"].own  # [1]
RULER_PARTS = frozenset(
    {"scale", "print", "plane", "tilt", "lens"}
)  # errors of the sticker's ruler
POWER = {"mm": 1, "mm²": 2}  # how a size goes with scale
SURE_RESIDUAL_MM = 0.4  # [mm] an alignment better than this ...
SURE_OVERLAP = 0.3  # [1] ... over this much skin is believed against the sticker
LEAST_VARIANCE = 1e-12  # [1] of a scale: keeps an error stated as nil from dividing by nil
DISAGREE = 3.0  # [u] rulers further apart than this disagree


@dataclass(frozen=True, slots=True)
class Ruler:
    """What is known of log lengths in one photo, against the first photo's.

    ``skin`` is log of the skin's scale (first millimetres for one of this photo's), ``skin_u`` its
    standard uncertainty, infinite where there is no alignment; ``sticker_u`` is that of the
    sticker's own scale, without what the series shares [1].
    """

    skin: float
    skin_u: float
    sticker_u: float


def ruler(reading: Reading) -> Ruler:
    """The two rulers of one photo, from its calibration and its alignment to the first one."""
    parts = reading.calibration.scale_parts if reading.calibration else ()
    sticker_u = sqrt(sum(part.u**2 for part in parts if not part.common))
    alignment = reading.alignment
    if alignment is None:
        return Ruler(0.0, inf, sticker_u)
    scale = alignment.anatomical_scale
    return Ruler(log(scale), alignment.anatomical_scale_u / scale, sticker_u)


def gap(first: Ruler, this: Ruler) -> float:
    """How far skin and sticker disagree on the change of scale, in their errors [u]."""
    u = sqrt(this.skin_u**2 + this.sticker_u**2 + first.sticker_u**2)
    return abs(this.skin) / u if u > 0 else 0.0


def _believed(first: Ruler, reading: Reading) -> Ruler:
    """The photo's rulers, without the skin where it disagrees and its alignment is poor."""
    this, alignment = ruler(reading), reading.alignment
    if alignment is None or gap(first, this) <= DISAGREE or _is_sure(reading):
        return this
    return Ruler(0.0, inf, this.sticker_u)


def _is_sure(reading: Reading) -> bool:
    """Whether the alignment is good enough to be believed against the sticker."""
    alignment = reading.alignment
    return (
        alignment is not None
        and alignment.residual_mm < SURE_RESIDUAL_MM
        and alignment.overlap > SURE_OVERLAP
    )


@dataclass(frozen=True, slots=True)
class Correction:
    """What brings one photo's log lengths onto the common ruler, and how surely.

    ``shift`` is to be added; ``own_u`` is this photo's alone; ``follow`` times ``shared_u`` is the
    part it has in the unknown scale of the first photo, which cancels between photos that all
    follow the skin (1) [1].
    """

    shift: float
    own_u: float
    follow: float
    shared_u: float

    def u_against(self, follow: float) -> float:
        """Standard uncertainty against photos that follow the skin by ``follow`` [1]."""
        return sqrt(self.own_u**2 + ((self.follow - follow) * self.shared_u) ** 2)


def corrections(readings: Sequence[Reading]) -> list[Correction]:
    """What brings all photos of a series onto one ruler.

    Parameters
    ----------
    readings
        Photos of one series, aligned to one of them (or to one no longer among them).

    Returns
    -------
    list[Correction]
        One per photo.

    Notes
    -----
    Each g has a prior N(0, sticker_u²) and each aligned photo an observation g_first - g of
    variance skin_u², nil for the first photo itself. Given g_first the photos are independent, so
    the posterior is closed. For two photos the variance of their difference is the
    inverse-variance fusion of both rulers, 1 / (1/skin_u² + 1/(sticker_u² + first sticker_u²)).
    """
    first = ruler(readings[0])
    rulers = [_believed(first, reading) for reading in readings]
    priors = [max(one.sticker_u**2, LEAST_VARIANCE) for one in rulers]
    weights = [1 / (one.skin_u**2 + p) for one, p in zip(rulers, priors, strict=True)]
    variance = 1 / sum(weights) if any(weights) else 0.0
    shared = sum(w * one.skin for w, one in zip(weights, rulers, strict=True)) * variance
    follows = [p * w for p, w in zip(priors, weights, strict=True)]
    return [
        Correction(-f * (shared - one.skin), sqrt(p * (1 - f)), f, sqrt(variance))
        for one, p, f in zip(rulers, priors, follows, strict=True)
    ]


def rulers_disagree(first: Reading, reading: Reading) -> tuple[Notice, ...]:
    """A notice when sticker and skin disagree beyond their errors, saying which is believed."""
    if reading.alignment is None or reading is first:
        return ()
    this = ruler(reading)
    if gap(ruler(first), this) <= DISAGREE:
        return ()
    sure = _is_sure(reading)
    return (
        notice(
            "rulers_disagree",
            percent=100 * abs(exp(-2 * this.skin) - 1),
            way="smaller" if this.skin > 0 else "larger",
            believed="skin" if sure else "sticker",
        ),
    )


def log_size(quantity: Quantity, shift: float) -> tuple[float, float]:
    """Logarithm of a size on the common ruler, and its border's own standard uncertainty [1].

    ``shift`` is the correction of log lengths.
    """
    own = [p for p in quantity.components if p.name not in RULER_PARTS and not p.common]
    border_u = BORDER_OWN * sqrt(sum(part.u**2 for part in own)) / quantity.value
    return log(quantity.value) + POWER[quantity.unit] * shift, border_u


def area_ratio(first: Reading, reading: Reading) -> Quantity | None:
    """Area of the spot over its area in the first photo, both rulers fused.

    Parameters
    ----------
    first, reading
        The first photo of the series and another one.

    Returns
    -------
    Quantity | None
        The ratio with its components [1]; exactly 1 for the first photo itself; None where an
        area is missing.
    """
    before, after = _area(first), _area(reading)
    if before is None or after is None:
        return None
    if reading is first:
        return Quantity(1.0, "1", (), relative=True)
    one, other = corrections((first, reading))
    (y0, u0), (y1, u1) = log_size(before, one.shift), log_size(after, other.shift)
    ratio = exp(y1 - y0)
    components = (
        Component("scale", ratio * 2 * other.u_against(one.follow)),
        Component("border", ratio * sqrt(u0**2 + u1**2)),
        Component("stretch", ratio * 2 * STRETCH_U),
    )
    return Quantity(ratio, "1", components, relative=True)


def _area(reading: Reading) -> Quantity | None:
    """The measured area, if there is one."""
    return reading.measurement.quantities.get("area") if reading.measurement else None
