"""Colour: sRGB code values to linear light, linear light to CIELAB, and colour differences.

References
----------
.. [1] IEC 61966-2-1:1999, the sRGB transfer function and primaries.
.. [2] CIE 15:2004, CIELAB; white D65, 2 degree observer.
.. [3] Sharma G, Wu W, Dalal EN (2005) The CIEDE2000 color-difference formula, Color Res Appl
   30:21-30, doi 10.1002/col.20070.
"""

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray
from skimage.color import deltaE_ciede2000

CODES = np.arange(256) / 255.0
_LUMINANCE = (0.2126, 0.7152, 0.0722)  # [1] Rec. ITU-R BT.709, the same primaries


def decode(codes: ArrayLike) -> NDArray[np.float64]:
    """Linear light of values 0 to 1 in sRGB, any shape [1]."""
    value = np.maximum(np.asarray(codes, float), 0)
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


DECODED = decode(CODES)  # [1] linear light of each 8-bit code value
_DECODED_32 = DECODED.astype(np.float32)


def srgb_to_linear(codes: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Linear light of sRGB code values, any shape, 0 to 1 [1]."""
    return cv2.LUT(codes, _DECODED_32).reshape(codes.shape)


def straightened(bend: float) -> NDArray[np.float64]:
    """Linear light of each 8-bit code of a camera whose tone curve is S-shaped, shape (256,) [1].

    Parameters
    ----------
    bend
        How far the middle of the curve was steepened over sRGB; 0 is plain sRGB, 0.3 a lively
        phone picture [1].

    Notes
    -----
    The simplest S that keeps black, middle and white, c + bend * c (1 - c) (1 - 2c), undoes the
    curve before sRGB is decoded. It rises everywhere for bend between -1 and 2.
    """
    return decode(_unbent(CODES, bend))


def straighten(linear: ArrayLike, bend: float) -> NDArray[np.float64]:
    """Light decoded as plain sRGB, put right for an S-shaped curve (see ``straightened``) [1]."""
    return decode(_unbent(np.minimum(encode(linear), 1), bend))


def _unbent(codes: NDArray[np.float64], bend: float) -> NDArray[np.float64]:
    return codes + bend * codes * (1 - codes) * (1 - 2 * codes)


def encode(linear: ArrayLike) -> NDArray[np.float64]:
    """Values 0 to 1 in sRGB of linear light, any shape [1]."""
    light = np.maximum(np.asarray(linear, float), 0)
    curved = 1.055 * np.maximum(light, 0.0031308) ** (1 / 2.4) - 0.055
    return np.where(light <= 0.0031308, 12.92 * light, curved)


def linear_to_srgb(linear: NDArray[np.floating]) -> NDArray[np.uint8]:
    """Nearest sRGB code values of linear light, any shape; light outside 0 to 1 is clipped."""
    return np.round(255 * encode(np.clip(linear, 0, 1))).astype(np.uint8)


def luminance(linear: NDArray[np.floating]) -> NDArray[np.float32]:
    """Relative luminance Y of linear RGB (..., 3), shape (...) [1]."""
    return np.asarray(linear @ np.asarray(_LUMINANCE, linear.dtype), np.float32)


def linear_to_lab(linear: ArrayLike) -> NDArray[np.float32]:
    """CIELAB (D65) of linear RGB, shape (..., 3), L* 0 to 100; light outside 0 to 1 is clipped.

    Notes
    -----
    OpenCV's single-precision conversion: within 0.005 of the closed form on the sRGB primaries.
    """
    light = np.clip(np.asarray(linear, np.float32), 0, 1)
    lab = cv2.cvtColor(light.reshape(1, -1, 3), cv2.COLOR_LRGB2LAB)  # a row at a time is quick
    return np.asarray(lab, np.float32).reshape(light.shape)


def lab_to_srgb(lab: ArrayLike) -> NDArray[np.uint8]:
    """Nearest sRGB code values of CIELAB (D65) colours, shape (..., 3); others are clipped."""
    colours = np.asarray(lab, np.float32)
    linear = cv2.cvtColor(colours.reshape(1, -1, 3), cv2.COLOR_LAB2LRGB)
    return linear_to_srgb(np.asarray(linear, np.float64)).reshape(colours.shape)


def delta_e00(lab: ArrayLike, other: ArrayLike) -> NDArray[np.float64]:
    """CIEDE2000 difference of Lab colours (..., 3), with kL = kC = kH = 1 [ΔE00]."""
    first, second = np.asarray(lab, np.float64), np.asarray(other, np.float64)
    return np.asarray(deltaE_ciede2000(first, second), np.float64)
