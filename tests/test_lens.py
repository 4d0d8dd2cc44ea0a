"""A stated focal length is used where it can be believed, and only there."""

import io
from datetime import UTC, datetime

import numpy as np
import pytest
from PIL import Image

from lesioncompare.decode import decode

EXIF_IFD, FOCAL_35MM, WIDTH, HEIGHT = 0x8769, 0xA405, 0xA002, 0xA003  # CIPA DC-008, 4.6.5
NOW = datetime(2026, 6, 30, tzinfo=UTC)


def focal_px(size=(800, 600), **tags):
    """Focal length that is read from a photo with these EXIF tags."""
    exif = Image.Exif()
    for name, value in tags.items():
        exif.get_ifd(EXIF_IFD)[{"focal": FOCAL_35MM, "width": WIDTH, "height": HEIGHT}[name]] = (
            value
        )
    noise = np.random.default_rng(1).integers(0, 255, (size[1], size[0], 3)).astype(np.uint8)
    file = io.BytesIO()
    Image.fromarray(noise).save(file, "JPEG", exif=exif.tobytes())
    return decode(file.getvalue(), name="x", now=NOW).focal_px


class TestFocalLength:
    def test_compares_the_diagonal_with_that_of_film(self):
        """800 x 600 has a diagonal of 1000 px; film one of hypot(36, 24) mm."""
        assert focal_px(focal=26) == pytest.approx(1000 * 26 / np.hypot(36, 24), rel=1e-3)

    @pytest.mark.parametrize("tags", [{}, {"focal": 0}, {"focal": 3}, {"focal": 5000}])
    def test_is_absent_where_none_is_stated_or_none_can_be_true(self, tags):
        assert focal_px(**tags) is None

    def test_is_not_believed_of_a_cropped_photo(self):
        assert focal_px(focal=26, width=800, height=450) is None
        assert focal_px(focal=26, width=4000, height=3000) is not None  # only made smaller
        assert focal_px(focal=26, width=600, height=800) is not None  # only turned
