"""Corners of outlines, and which belongs to which, on figures drawn here."""

import math

import numpy as np
import pytest
import shapely
from shapely import Polygon, box

from mateline.placing.warping.outline_corners import (
    NoOutlineError,
    PartnerlessError,
    corner_match,
    corners_of,
)

FACE = box(0, 0, 400, 500)


def areas(*shapes):
    return np.array(shapes, dtype=object)


def test_corners_are_where_an_outline_turns_by_more_than_eight_degrees():
    up = [(0, 0), (200, 0), (400, 200 * math.tan(math.radians(9))), (400, 500), (0, 500)]
    assert corners_of(Polygon(up)).tolist() == [list(each) for each in up]
    up[2] = (400, 200 * math.tan(math.radians(7)))
    assert corners_of(Polygon(up)).tolist() == [[0, 0], *map(list, up[2:])]
    assert len(corners_of(box(0, 0, 90, 60).buffer(10, 64))) == 0


def test_a_clockwise_outline_has_the_same_corners():
    found = corners_of(shapely.reverse(FACE))
    assert sorted(found.tolist()) == sorted(corners_of(FACE).tolist())


def test_corners_are_matched_to_the_nearest_after_the_fit():
    """Twice as small as the face, and one corner 5 mm off there: 200 by 250, (197.5, 250)."""
    drawn = Polygon([(0, 0), (200, 0), (197.5, 250), (0, 250)])
    match = corner_match(areas(drawn), FACE)
    pairs = {
        tuple(one): tuple(other)
        for one, other in zip(match.drawn.tolist(), match.of_face.tolist(), strict=True)
    }
    assert pairs == {(0, 0): (0, 0), (200, 0): (400, 0), (197.5, 250): (400, 500),
                     (0, 250): (0, 500)}  # fmt: skip
    assert match.base == pytest.approx(np.array([[2, 0, 0], [0, 2, 0]]))


def test_shapes_with_a_hairline_between_them_have_one_outline():
    halves = areas(box(0, 0, 200, 249.96), box(0, 250, 200, 500), box(50, 50, 90, 90))
    assert sorted(corner_match(halves, FACE).drawn.tolist()) == [
        [0, 0], [0, 500], [200, 0], [200, 500]]  # fmt: skip


def test_shapes_that_lie_apart_have_none():
    with pytest.raises(NoOutlineError) as error:
        corner_match(areas(box(0, 0, 200, 240), box(0, 250, 200, 500)), FACE)
    assert error.value.parts == 2


def test_a_corner_too_many_is_named():
    cut = Polygon([(0, 0), (400, 0), (400, 460), (360, 500), (0, 500)])
    with pytest.raises(PartnerlessError) as error:
        corner_match(areas(cut), FACE)
    # 40 mm from the corner on either side, and 25 at most are allowed
    assert error.value.drawn.tolist() == [[400, 460], [360, 500]]
    assert error.value.of_face.tolist() == [[400, 500]]
    assert error.value.reach == 25
    with pytest.raises(PartnerlessError) as error:
        corner_match(areas(FACE), cut)
    assert error.value.drawn.tolist() == [[400, 500]]


def test_two_corners_that_are_nearest_to_one_are_not_both_matched():
    blunt = Polygon([(0, 0), (400, 0), (400, 490), (395, 500), (0, 500)])
    with pytest.raises(PartnerlessError) as error:
        corner_match(areas(blunt), FACE)
    assert error.value.drawn.tolist() == [[400, 490]]  # the other is nearer
    assert len(error.value.of_face) == 0


@pytest.mark.parametrize(("wide", "reach"), [(100, 12.7), (300, 0.05 * math.hypot(300, 300))])
def test_on_a_small_face_less_is_allowed(wide, reach):
    """A triangle: its corner that has no partner on a square tells how far was looked."""
    with pytest.raises(PartnerlessError) as error:
        corner_match(areas(Polygon([(0, 0), (90, 0), (0, 90)])), box(0, 0, wide, wide))
    assert error.value.reach == pytest.approx(reach)
