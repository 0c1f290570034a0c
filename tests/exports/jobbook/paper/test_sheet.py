"""A face set on its page, with sizes worked on the page: points, 72 / 25.4 a mm."""

import pytest
from hypothesis import given
from hypothesis.strategies import floats, integers

from mateline.exports.jobbook.paper.labels import AROUND
from mateline.exports.jobbook.paper.sheet import MM, SCALES, layout_for

UPRIGHT = (196 * MM, 259 * MM)  # Letter without its margins of 10 mm
FRAMES = (UPRIGHT, UPRIGHT[::-1])


def test_the_page_is_turned_so_that_the_face_is_largest():
    assert layout_for((600.0, 1700.0), FRAMES, 20).frame == FRAMES[0]
    assert layout_for((1700.0, 600.0), FRAMES, 20).frame == FRAMES[1]


def test_a_list_stands_beside_a_tall_face_and_below_a_wide_one():
    tall = layout_for((600.0, 1700.0), FRAMES, 20)
    assert tall.list_at[0] >= tall.drawing[2]
    wide = layout_for((1700.0, 500.0), FRAMES, 20)
    assert wide.list_at[3] <= wide.drawing[1]
    assert min(tall.holds, wide.holds) >= 20


@given(floats(100, 2500), floats(100, 2500), integers(0, 60))
def test_a_drawing_fills_the_room_that_it_has(wide, high, pieces):
    layout = layout_for((wide, high), FRAMES, pieces)
    left, low, right, top = layout.drawing
    across = (right - left) / MM - 2 * AROUND
    up = (top - low) / MM - 2 * AROUND
    used = max(wide / across, high / up) / layout.denominator
    assert used <= 1 + 1e-9
    # Scales go by quarters from 1:2: the least step is a ninth.
    assert used >= 8 / 9 - 1e-9 or layout.denominator <= 2 or layout.denominator > 40
    assert layout.denominator in SCALES
    if pieces <= 60:
        assert layout.holds >= pieces


def test_a_face_larger_than_a_page_can_show_is_told():
    with pytest.raises(ValueError, match="fits on no page"):
        layout_for((99_999.0, 10.0), FRAMES, 0)
