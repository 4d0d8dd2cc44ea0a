"""How much more a pixel looks like the spot than like what surrounds it."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from lesioncompare.outline.patch import RADIUS_PX, Field, Patch
from lesioncompare.science.surface import density_over, redness, yellowness

Values = NDArray[np.float64]

SOFT = 0.02  # [circle radii] blur before colours are compared
EVEN = np.full(3, 1 / 3, np.float32)  # [1] channels to their mean
FEET = (1.25, 2.2)  # [circle radii] ring in which the fall of light is fitted
ROBUST = 1.5  # [sd] beyond it a pixel counts little in the fit (Cauchy weights)
SPOT_COLOURS, SKIN_COLOURS = 2, 3  # [1] Gaussians per class
LEAST_SPREAD = 0.03  # [1] variance added to each, in units of all the pixels' variance
CAP = 5.0  # [nat] no pixel may say more than this
SAMPLE = 1500  # [px] the models are fitted to about so many
STEPS = 4  # [1] of expectation-maximisation


def colour_features(density: Field, fall: Field) -> Field:
    """Mean density without the fall of light, redness and yellowness, shape (3, n, n) [1].

    Notes
    -----
    Shading scales all channels alike, so it shifts the mean density only; the differences
    between channels do not know it.
    """
    light = density @ EVEN - fall
    return np.stack([light, redness(density), yellowness(density)])


def density_of(patch: Patch) -> Field:
    """Optical density of the patch, slightly blurred, shape (n, n, 3) [1]."""
    density = density_over(patch.linear, np.ones(3))
    return np.asarray(cv2.GaussianBlur(density, (0, 0), SOFT * RADIUS_PX), np.float32)


def fall_of_light(patch: Patch, density: Field) -> Field:
    """The smooth part of the density outside the circle, continued inside, zero in the middle.

    A quadratic fitted by iteratively reweighted least squares (Holland & Welsch 1977,
    doi:10.1080/03610927708827533).
    """
    mean_density = density @ EVEN
    side = len(mean_density)
    along = np.linspace(-1, 1, side)
    x, y = np.meshgrid(along, along)
    terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)
    ring = np.flatnonzero((patch.usable & (patch.rho > FEET[0]) & (patch.rho < FEET[1])).ravel())
    if len(ring) < 20 * terms.shape[-1]:
        return np.zeros_like(mean_density)
    ring = ring[:: max(1, len(ring) // SAMPLE)]
    basis, wanted = terms.reshape(-1, 6)[ring], mean_density.ravel()[ring]
    weight = np.ones(len(ring))
    for _ in range(8):
        weighed = basis * weight[:, None]
        fitted = np.linalg.solve(weighed.T @ basis + 1e-6 * np.eye(6), weighed.T @ wanted)
        off = wanted - basis @ fitted
        spread = 1.4826 * np.median(np.abs(off)) + 1e-3
        weight = 1 / (1 + (off / (ROBUST * spread)) ** 2) ** 2
    smooth = terms[..., 1:] @ fitted[1:]
    return np.asarray(np.clip(smooth, -0.5, 0.5), np.float32)


@dataclass(slots=True)
class _Mixture:
    """A mixture of k Gaussians fitted with soft weights (Dempster, Laird & Rubin 1977)."""

    share: Values  # (k,)
    mean: Values  # (k, d)
    spread: Values  # (k, d, d)

    @classmethod
    def of(cls, values: Values, weight: Values, count: int) -> "_Mixture":
        """Fitted to weighted values (d, m); starts from slices along the longest direction."""
        centre = np.average(values, axis=1, weights=weight)
        spread = np.cov(values, aweights=weight)
        longest = np.linalg.eigh(spread)[1][:, -1]
        order = np.argsort(longest @ (values - centre[:, None]))
        part = np.cumsum(weight[order]) / weight.sum() * count
        belongs = np.zeros((count, len(order)))
        belongs[np.minimum(part.astype(int), count - 1), order] = 1
        mixture = cls._moments(values, belongs * weight)
        for _ in range(STEPS):
            terms = mixture.terms(values)
            belongs = np.exp(terms - terms.max(axis=0))
            mixture = cls._moments(values, belongs / belongs.sum(axis=0) * weight)
        return mixture

    @classmethod
    def _moments(cls, values: Values, belongs: Values) -> "_Mixture":
        total = belongs.sum(axis=1) + 1e-9
        mean = belongs @ values.T / total[:, None]
        off = values - mean[:, :, None]
        spread = (belongs[:, None] * off) @ off.transpose(0, 2, 1)
        spread = spread / total[:, None, None] + LEAST_SPREAD * np.eye(len(values))
        return cls(total / total.sum(), mean, spread)

    def terms(self, values: NDArray[np.floating]) -> NDArray[np.floating]:
        """Log density of each Gaussian at values (d, m), shape (k, m), up to a common constant."""
        root = np.linalg.inv(np.linalg.cholesky(self.spread))
        size = np.log(self.share) + np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
        root, mean, size = (part.astype(values.dtype) for part in (root, self.mean, size))
        off = root @ (values - mean[:, :, None])
        return size[:, None] - 0.5 * np.einsum("kdm,kdm->km", off, off)

    def log_density(self, values: NDArray[np.floating]) -> NDArray[np.floating]:
        """Log density at values (d, m), up to a constant, shape (m,)."""
        terms = self.terms(values)
        top = terms.max(axis=0)
        return np.asarray(top + np.log(np.exp(terms - top).sum(axis=0)))


def log_odds(patch: Patch, features: Field, spot: Values, skin: Values) -> Field:
    """Log odds of spot against surroundings by colour alone, shape (n, n) [nat].

    Parameters
    ----------
    features
        Colour, shape (d, n, n).
    spot, skin
        How far each pixel is taken to be spot or surroundings, shape (n, n), 0 to 1.
    """
    flat = features.reshape(len(features), -1)
    known = np.flatnonzero((patch.usable & (patch.rho < FEET[1])).ravel())
    known = known[:: max(1, len(known) // SAMPLE)]
    flat = flat / (flat[:, known].std(axis=1, keepdims=True) + np.float32(1e-6))
    fit = flat.take(known, axis=1).astype(float)
    one = _Mixture.of(fit, spot.ravel()[known] + 1e-6, SPOT_COLOURS)
    other = _Mixture.of(fit, skin.ravel()[known] + 1e-6, SKIN_COLOURS)
    odds = np.clip(one.log_density(flat) - other.log_density(flat), -CAP, CAP)
    return np.where(patch.usable, odds.reshape(patch.rho.shape), np.float32(0))
