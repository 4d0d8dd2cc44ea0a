"""What an engineer puts together in an hour from general-purpose libraries.

Outlines start from the same circle as this program, on a square of the photo around it made flat
by the homography of the fiducial's four corners. Registrations work on two such squares, 18 mm a
side; all but the first start from the true turn of the two photos, which the program does not get.
"""

from collections.abc import Callable

import cv2
import numpy as np
import SimpleITK as sitk  # noqa: N813  the name its own manual uses
from numpy.typing import NDArray
from skimage.filters import threshold_otsu
from skimage.registration import optical_flow_tvl1
from skimage.segmentation import morphological_chan_vese, random_walker

Rgb = NDArray[np.uint8]
Mask = NDArray[np.bool_]
Points = NDArray[np.float64]
Circle = tuple[float, float, float]


def distance_to(circle: Circle, shape: tuple[int, ...]) -> NDArray[np.float64]:
    """Distance of each pixel from the circle's middle, in radii."""
    y, x = np.ogrid[: shape[0], : shape[1]]
    return np.hypot(x - circle[0], y - circle[1]) / circle[2]


def in_circle(mask: Mask, circle: Circle) -> Mask:
    """The connected piece that shares most with the circle."""
    count, label = cv2.connectedComponents(mask.astype(np.uint8))
    if count < 2:
        return mask
    shared = np.bincount(label[distance_to(circle, mask.shape) < 1], minlength=count)
    shared[0] = 0
    return label == shared.argmax()


def bare_circle(rgb: Rgb, circle: Circle) -> Mask:
    """The circle itself."""
    return distance_to(circle, rgb.shape) < 1


def otsu(rgb: Rgb, circle: Circle) -> Mask:
    """Otsu's threshold on grey within 1.4 radii."""
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    near = distance_to(circle, rgb.shape) < 1.4
    return in_circle(near & (grey <= threshold_otsu(grey[near])), circle)


def grab_cut(rgb: Rgb, circle: Circle) -> Mask:
    """OpenCV GrabCut, probably spot inside the circle, surely skin beyond 1.5 radii."""
    away = distance_to(circle, rgb.shape)
    start = np.select(
        [away < 0.3, away < 1, away < 1.5],
        [cv2.GC_FGD, cv2.GC_PR_FGD, cv2.GC_PR_BGD],
        cv2.GC_BGD,
    ).astype(np.uint8)
    cv2.setRNGSeed(1)
    models = np.zeros((1, 65)), np.zeros((1, 65))
    cv2.grabCut(rgb, start, None, *models, 5, cv2.GC_INIT_WITH_MASK)
    return in_circle((start == cv2.GC_FGD) | (start == cv2.GC_PR_FGD), circle)


def chan_vese(rgb: Rgb, circle: Circle) -> Mask:
    """scikit-image morphological Chan-Vese from the circle."""
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY) / 255
    start = bare_circle(rgb, circle)
    return in_circle(morphological_chan_vese(grey, 60, start, smoothing=2) > 0, circle)


def walker(rgb: Rgb, circle: Circle) -> Mask:
    """scikit-image random walker from the circle's middle and its surroundings."""
    away = distance_to(circle, rgb.shape)
    seeds = np.select([away < 0.3, away > 1.5], [1, 2], 0)
    lab = cv2.cvtColor(rgb, cv2.COLOR_RGB2LAB) / 255
    found = random_walker(lab, seeds, beta=300, mode="cg_j", channel_axis=-1)
    return in_circle(found == 1, circle)


OUTLINES: dict[str, Callable[[Rgb, Circle], Mask]] = {
    "bare circle": bare_circle,
    "Otsu": otsu,
    "GrabCut": grab_cut,
    "Chan-Vese": chan_vese,
    "random walker": walker,
}


def _grey(rgb: Rgb) -> NDArray[np.float32]:
    return cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY).astype(np.float32) / 255


def sift(first: Rgb, later: Rgb, mask: Mask, start: NDArray, points: Points) -> Points:  # noqa: ARG001
    """SIFT features, ratio test, similarity by RANSAC."""
    finder = cv2.SIFT_create(3000)
    holes = mask.astype(np.uint8)
    here, these = finder.detectAndCompute(later, None)
    there, those = finder.detectAndCompute(first, holes)
    if these is None or those is None or len(those) < 2:
        return np.full_like(points, np.nan)
    near = cv2.BFMatcher().knnMatch(these, those, k=2)
    good = [a for a, *b in near if b and a.distance < 0.8 * b[0].distance]
    if len(good) < 4:
        return np.full_like(points, np.nan)
    source = np.float32([here[m.queryIdx].pt for m in good])
    target = np.float32([there[m.trainIdx].pt for m in good])
    found, _ = cv2.estimateAffinePartial2D(source, target, ransacReprojThreshold=4)
    return np.full_like(points, np.nan) if found is None else points @ found[:, :2].T + found[:, 2]


def ecc(first: Rgb, later: Rgb, mask: Mask, start: NDArray, points: Points) -> Points:  # noqa: ARG001
    """OpenCV ECC, rigid, three scales; with the spot masked out, or affine, it drifted off."""
    back = cv2.invertAffineTransform(start).astype(np.float32)
    images = _grey(first), _grey(later)
    steps = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 80, 1e-5)
    converged = False
    for size in (4, 2, 1):
        small = [
            cv2.resize(image, None, fx=1 / size, fy=1 / size, interpolation=cv2.INTER_AREA)
            for image in images
        ]
        guess = back.copy()
        guess[:, 2] /= size
        try:
            _, guess = cv2.findTransformECC(
                small[0], small[1], guess, cv2.MOTION_EUCLIDEAN, steps, None, 5
            )
        except cv2.error:
            continue
        converged = True
        back = guess * np.float32([[1, 1, size]])
    if not converged:
        return np.full_like(points, np.nan)
    found = cv2.invertAffineTransform(back)
    return points @ found[:, :2].T + found[:, 2]


def flow(first: Rgb, later: Rgb, mask: Mask, start: NDArray, points: Points) -> Points:  # noqa: ARG001
    """scikit-image TV-L1 optical flow after the start."""
    laid = cv2.warpAffine(_grey(later), start, first.shape[1::-1], borderMode=cv2.BORDER_REPLICATE)
    down, across = optical_flow_tvl1(laid, _grey(first), attachment=15)
    at = points @ start[:, :2].T + start[:, 2]
    row, column = np.clip(np.round(at[:, ::-1]).astype(int).T, 0, len(first) - 1)
    return at + np.column_stack([across[row, column], down[row, column]])


def _itk(first: Rgb, later: Rgb, mask: Mask, start: NDArray, *, bent: bool) -> sitk.Transform:
    images = [sitk.GetImageFromArray(_grey(one)) for one in (first, later)]
    method = sitk.ImageRegistrationMethod()
    method.SetMetricAsMattesMutualInformation(32)
    method.SetMetricFixedMask(sitk.GetImageFromArray(mask.astype(np.uint8)))
    method.SetMetricSamplingStrategy(method.RANDOM)
    method.SetMetricSamplingPercentage(0.3, seed=1)
    method.SetInterpolator(sitk.sitkLinear)
    method.SetShrinkFactorsPerLevel([4, 2, 1])
    method.SetSmoothingSigmasPerLevel([3, 1.5, 0])
    back = cv2.invertAffineTransform(start)
    whole = sitk.Similarity2DTransform()
    whole.SetScale(float(np.sqrt(np.linalg.det(back[:, :2]))))
    whole.SetAngle(float(np.arctan2(back[1, 0], back[0, 0])))
    whole.SetTranslation(back[:, 2])
    method.SetInitialTransform(whole, inPlace=True)
    method.SetOptimizerAsRegularStepGradientDescent(1.0, 1e-3, 120)
    method.SetOptimizerScalesFromPhysicalShift()
    method.Execute(*images)
    if not bent:
        return whole
    method = sitk.ImageRegistrationMethod()
    method.SetMetricAsMattesMutualInformation(32)
    method.SetMetricFixedMask(sitk.GetImageFromArray(mask.astype(np.uint8)))
    method.SetMetricSamplingStrategy(method.RANDOM)
    method.SetMetricSamplingPercentage(0.3, seed=1)
    method.SetMovingInitialTransform(whole)
    method.SetInitialTransform(sitk.BSplineTransformInitializer(images[0], [4, 4]), inPlace=False)
    method.SetOptimizerAsLBFGSB(numberOfIterations=60)
    return sitk.CompositeTransform([whole, method.Execute(*images)])


def _carried(found: sitk.Transform, later: Points, around: NDArray) -> Points:
    """Points of the later square carried to the first: the map's inverse by fixed-point steps."""
    guess = later @ around[:, :2].T + around[:, 2]
    for _ in range(30):
        seen = np.array([found.TransformPoint(p) for p in guess.tolist()])
        guess = guess + (later - seen) @ around[:, :2].T
    return guess


def similarity(first: Rgb, later: Rgb, mask: Mask, start: NDArray, points: Points) -> Points:
    """SimpleITK similarity by mutual information."""
    return _carried(_itk(first, later, mask, start, bent=False), points, start)


def b_spline(first: Rgb, later: Rgb, mask: Mask, start: NDArray, points: Points) -> Points:
    """SimpleITK similarity, then B-spline, by mutual information."""
    return _carried(_itk(first, later, mask, start, bent=True), points, start)


REGISTRATIONS = {
    "SIFT + RANSAC": sift,
    "ECC, three scales": ecc,
    "optical flow TV-L1": flow,
    "SimpleITK similarity": similarity,
    "SimpleITK B-spline": b_spline,
}
