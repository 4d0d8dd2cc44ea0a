"""A person's strokes on an outline come out as the areas they painted."""

from math import acos, pi, sqrt

import numpy as np
import pytest

from lesioncompare.errors import OutlineError
from lesioncompare.series.mend import mended_contour


def disc(x: float, y: float, radius: float, count: int = 240):
    angle = np.linspace(0, 2 * pi, count, endpoint=False)
    return np.column_stack([x + radius * np.cos(angle), y + radius * np.sin(angle)])


def area(points) -> float:
    x, y = points.T
    return abs(0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))


def lens(r: float, s: float, d: float) -> float:
    """Area common to two circles of radii r and s whose centres are d apart.

    Weisstein E, Circle-Circle Intersection, MathWorld, equation 14.
    """
    one = r * r * acos((d * d + r * r - s * s) / (2 * d * r))
    two = s * s * acos((d * d + s * s - r * r) / (2 * d * s))
    root = sqrt((-d + r + s) * (d + r - s) * (d - r + s) * (d + r + s))
    return one + two - root / 2


def dab(kind: str, x: float, y: float, radius: float) -> dict:
    return {"id": f"{kind}{x}{y}", "kind": kind, "radius": radius, "points": [[x, y]]}


class TestMendedContour:
    START = disc(1800.0, 900.0, 50.0)  # a photo is wider than high

    def test_without_edits_nothing_moves(self) -> None:
        assert np.array_equal(self.START, mended_contour(self.START, []))

    def test_an_added_dab_gives_the_union_of_two_discs(self) -> None:
        mended = mended_contour(self.START, [dab("add", 1860.0, 900.0, 30.0)])
        union = pi * 50**2 + pi * 30**2 - lens(50, 30, 60)
        assert area(mended) == pytest.approx(union, rel=0.01)  # the raster's pixels

    def test_an_erased_dab_takes_away_what_both_cover(self) -> None:
        mended = mended_contour(self.START, [dab("erase", 1860.0, 900.0, 30.0)])
        assert area(mended) == pytest.approx(pi * 50**2 - lens(50, 30, 60), rel=0.01)

    def test_painting_inside_changes_nothing_but_pixels(self) -> None:
        mended = mended_contour(self.START, [dab("add", 1800.0, 900.0, 10.0)])
        assert area(mended) == pytest.approx(pi * 50**2, rel=0.01)

    def test_adding_then_erasing_the_same_stroke_outside_is_no_change(self) -> None:
        stroke = {"radius": 12.0, "points": [[1835.0, 900.0], [1900.0, 910.0]]}
        edits = [
            {**stroke, "id": "a", "kind": "add"},
            {**stroke, "id": "b", "kind": "erase"},
            dab("add", 1835.0, 900.0, 16.0),
        ]
        mended = mended_contour(self.START, edits)
        assert area(mended) == pytest.approx(pi * 50**2, rel=0.03)

    def test_a_stroke_is_as_wide_as_the_brush_and_as_long_as_its_line(self) -> None:
        long = {"id": "s", "kind": "add", "radius": 10.0, "points": [[1800, 900], [1800, 1100]]}
        mended = mended_contour(self.START, [long])
        low, high = mended.min(axis=0), mended.max(axis=0)
        assert low == pytest.approx([1750, 850], abs=0.7)
        assert high == pytest.approx([1850, 1110], abs=0.7)

    def test_a_pulled_line_replaces_the_outline(self) -> None:
        box = np.array([[100.0, 300.0], [180.0, 300.0], [180.0, 320.0], [100.0, 320.0]])
        edits = [{"id": "l", "kind": "line", "radius": 1.0, "points": box.tolist()}]
        mended = mended_contour(self.START, edits)
        # drawing to the nearest of about 900 raster pixels over 1800 photo pixels: 2 px
        assert mended.min(axis=0) == pytest.approx([100, 300], abs=2.5)
        assert mended.max(axis=0) == pytest.approx([180, 320], abs=2.5)

    def test_of_several_pieces_the_largest_stays(self) -> None:
        mended = mended_contour(self.START, [dab("add", 1950.0, 900.0, 20.0)])
        assert area(mended) == pytest.approx(pi * 50**2, rel=0.02)

    def test_moving_everything_moves_the_result(self) -> None:
        edits = [dab("add", 1840.0, 930.0, 25.0)]
        moved = [dab("add", 1840.0 - 800.25, 930.0 + 400.5, 25.0)]
        one = mended_contour(self.START, edits)
        other = mended_contour(self.START + np.array([-800.25, 400.5]), moved)
        assert other.mean(axis=0) - one.mean(axis=0) == pytest.approx([-800.25, 400.5], abs=0.3)

    def test_an_outline_that_was_wiped_away_is_refused_with_advice(self) -> None:
        with pytest.raises(OutlineError, match="Nothing is left") as refusal:
            mended_contour(self.START, [dab("erase", 1800.0, 900.0, 90.0)])
        assert "Undo" in refusal.value.advice
