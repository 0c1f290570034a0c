"""The size of a tracing: from the scan, from measured distances, or from the face's outline."""

from itertools import pairwise

import numpy as np
import pytest

from mateline.capture.pen_lines.true_size import (
    OnFace,
    Resolution,
    Spans,
    density_of,
    on_face,
    spans_residual,
    upright,
)
from mateline.curves import Chain, Segment
from mateline.errors import InputError

# An outline without symmetry, mm, and places along it every millimetre or so.
CORNERS = np.array([(0.0, 0.0), (200.0, 0.0), (200.0, 90.0), (120.0, 150.0), (0.0, 150.0)])


def outline():
    points = [(x, y) for x, y in CORNERS.tolist()]
    return Chain(points[-1], tuple(Segment(at) for at in points))


def along():
    ring = np.vstack([CORNERS, CORNERS[:1]])
    return np.vstack([
        a + np.linspace(0, 1, 150, endpoint=False)[:, None] * (b - a)
        for a, b in pairwise(ring)
    ])  # fmt: skip


def scanned(turn, scale=(8.0, 8.0), shift=(900.0, 700.0)):
    """Pixels of the outline on a scan: turned, scaled, rows running down."""
    cos, sin = np.cos(turn), np.sin(turn)
    at = along() @ np.array([[cos, sin], [-sin, cos]])
    return np.column_stack([at[:, 0] * scale[0] + shift[0], shift[1] - at[:, 1] * scale[1]])


def test_dots_to_the_inch_are_pixels_to_a_mm():
    assert density_of(Resolution(254.0), "", (10, 10)) == 10.0


def test_the_lower_left_corner_of_the_scan_is_at_0_0():
    # 4 px to a mm, 100 rows: the middle of the last row's first pixel is 1/8 mm in
    assert upright(4.0, 100)(np.array([[0.0, 99.0], [0.0, 0.0]])).tolist() == [
        [0.125, 0.125],
        [0.125, 24.875],
    ]


def test_distances_give_the_size_that_fits_them_all_and_what_is_left_is_told():
    # 100 mm are 1000 px; 200 mm are 2010 px: long ones count more
    size = Spans((((0, 0), (1000, 0), 100.0), ((0, 0), (0, 2010), 200.0)))
    density = density_of(size, "", (10, 10))
    assert density == pytest.approx((1000**2 + 2010**2) / (1000 * 100 + 2010 * 200))
    residual = spans_residual(size, density)
    assert residual.worst == pytest.approx(abs(1000 / density - 100), abs=1e-4)


@pytest.mark.parametrize("turn_deg", [0, 1.3, 90, -91, 178])
def test_the_outline_lays_the_scan_on_the_face_however_the_paper_lay(turn_deg):
    placed = on_face(scanned(np.radians(turn_deg)), OnFace(outline()))
    assert np.abs(placed(scanned(np.radians(turn_deg))) - along()).max() < 0.001
    assert placed.residual.worst < 0.001


def test_a_scan_whose_axes_are_unlike_is_stretched_only_where_that_is_allowed():
    pixels = scanned(0.0, scale=(8.0, 8.04))
    assert on_face(pixels, OnFace(outline())).residual.worst < 0.001
    assert on_face(pixels, OnFace(outline(), stretched=False)).residual.worst > 0.1


def test_where_the_drawn_outline_leaves_the_face_most_is_told():
    pixels = scanned(0.0)
    pixels[75] += (0, 8.0)  # 1 mm outwards in the middle of the lowest edge
    residual = on_face(pixels, OnFace(outline())).residual
    assert residual.worst == pytest.approx(1.0, abs=0.02)
    assert residual.at == pytest.approx((100, 0), abs=0.1)


@pytest.mark.parametrize(
    ("size", "says"),
    [
        (Resolution(3.0), "3 dots to the inch is no scanner's"),
        (Spans(()), "No distance was given"),
        (Spans((((5, 5), (5, 5), 10.0),)), "Two marks lie on each other"),
        (Spans((((5, 5), (50, 5), 0.0),)), "isn't above 0"),
    ],
)
def test_measures_that_say_nothing_are_refused(size, says):
    with pytest.raises(InputError, match=says):
        density_of(size, "scan.png", (10, 10))
