"""The focal length a photo states, as a share of its own diagonal.

References
----------
.. [1] CIPA DC-008 (Exif 2.32, 2019), 4.6.5: FocalLengthIn35mmFilm, PixelXDimension.
.. [2] CIPA DCG-001 (2005): the 35 mm equivalent compares diagonals.
"""

from PIL import Image

EXIF_IFD = 0x8769
FOCAL_35MM, STORED_WIDTH, STORED_HEIGHT = 0xA405, 0xA002, 0xA003
FILM_DIAGONAL_MM = 43.27  # [mm] of the 36 x 24 mm frame
BELIEVED_MM = (10.0, 400.0)  # [mm] from a phone's widest to its longest lens
SAME_SHAPE = 0.02  # [1] a picture whose sides' ratio moved by more was cropped


def focal_diagonals(exif: Image.Exif, size_px: tuple[int, int]) -> float | None:
    """Focal length over the picture's diagonal [1]; None where the file states none to believe.

    Parameters
    ----------
    exif
        EXIF data of the photo.
    size_px
        Width and height as stored [px]: a picture cropped since it was taken is not believed.
    """
    details = exif.get_ifd(EXIF_IFD)
    try:
        focal_mm = float(details.get(FOCAL_35MM) or 0)
        taken = sorted(float(details.get(tag) or 0) for tag in (STORED_WIDTH, STORED_HEIGHT))
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    if not BELIEVED_MM[0] <= focal_mm <= BELIEVED_MM[1]:
        return None
    shorter, longer = sorted(size_px)
    if taken[0] > 0 and abs(taken[0] / taken[1] * longer / shorter - 1) > SAME_SHAPE:
        return None
    return focal_mm / FILM_DIAGONAL_MM
