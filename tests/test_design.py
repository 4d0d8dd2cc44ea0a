"""The drawn sticker: exact edges at any size, and a fiducial that OpenCV itself reads."""

import cv2
import numpy as np
import pytest

from lesioncompare.design import (
    DICTIONARY,
    FRAME_INSET,
    FRAME_WIDTH,
    SIZES_MM,
    draw_light,
    draw_sticker,
    ladder,
    paper,
    rectangles,
)


class TestDrawLight:
    @pytest.mark.parametrize("side_px", [37, 192, 661])
    def test_every_size_holds_the_same_light(self, side_px):
        light = 1 + sum(
            (r.reflectance - r.over) * (r.right - r.left) * (r.bottom - r.top)
            for r in rectangles(14)
        )

        assert draw_light(14, side_px).mean() == pytest.approx(light, abs=1e-5)

    @pytest.mark.parametrize("side_px", [101, 448])
    def test_the_frame_lies_where_the_design_says(self, side_px):
        row = 1 - draw_light(14, side_px)[round(0.067 * side_px)]  # between frame and ladder
        left = row[: side_px // 10]
        middle = (left * (np.arange(len(left)) + 0.5)).sum() / left.sum() / side_px

        assert middle == pytest.approx(FRAME_INSET, abs=1e-4)  # light within a pixel
        assert left.sum() / side_px == pytest.approx(FRAME_WIDTH, abs=1e-6)

    def test_patches_keep_clear_of_everything_else(self):
        others = [r for r in rectangles(20)[2:] if r.reflectance in {0.0, 1.0}]
        for patch in (*ladder(), *paper()):
            for other in others:
                apart_x = abs(patch.x - (other.left + other.right) / 2)
                apart_y = abs(patch.y - (other.top + other.bottom) / 2)
                room_x = (patch.side + other.right - other.left) / 2
                room_y = (patch.side + other.bottom - other.top) / 2
                assert apart_x > room_x or apart_y > room_y


class TestDrawSticker:
    @pytest.mark.parametrize("sticker_id", SIZES_MM)
    def test_opencv_reads_the_fiducial(self, sticker_id):
        # the open reader of the dictionary, independent of this program's own search
        picture = np.pad(draw_sticker(sticker_id, 400), 60, constant_values=255)
        dictionary = cv2.aruco.getPredefinedDictionary(DICTIONARY)
        _, ids, _ = cv2.aruco.ArucoDetector(dictionary).detectMarkers(picture)

        assert ids.ravel().tolist() == [sticker_id]
