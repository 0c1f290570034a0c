r"""Sections of edges, each worked on the page."""

import math

import pytest
from hypothesis import given
from hypothesis.strategies import floats

from mateline.cabinet.joints import Bevel, Round, SectionError, face_and_end, section
from mateline.curves import radius

RIGHT = math.pi / 2


def test_a_board_over_a_square_corner_ends_square_at_the_sharp_edge():
    cut = section("over", 18, 18, RIGHT, None)
    assert cut.points == ((0.0, 0.0), (0.0, 18))


def test_a_board_under_a_square_corner_stops_at_the_other_boards_inside():
    cut = section("under", 18, 12, RIGHT, None)
    assert cut.points == ((12, 0.0), (12, 18))


def test_a_square_mitre_runs_from_the_sharp_edge_to_the_inner_corner():
    (start, end) = section("mitre", 18, 12, RIGHT, None).points
    assert start == (0.0, 0.0)
    assert end == pytest.approx((12, 18), abs=1e-12)


@given(floats(0.3, 3.0), floats(4, 30), floats(4, 30))
def test_over_and_under_meet_on_one_plane(angle, thickness, other):
    # The under board's end lies on the over board's inside face: in the frame of the under
    # board that face is the line through (t / sin a, 0) with the slope of the other board.
    under = section("under", thickness, other, angle, None)
    (a, _), (b, down) = under.points
    assert a == pytest.approx(other / math.sin(angle), rel=1e-9)
    assert (b - a) == pytest.approx(down / math.tan(angle), abs=1e-6)


@given(floats(0.3, 3.0), floats(4, 30))
def test_an_equal_mitre_halves_the_angle(angle, thickness):
    (_, (inner, down)) = section("mitre", thickness, thickness, angle, None).points
    assert math.atan2(down, inner) == pytest.approx(angle / 2, abs=1e-9)


@given(floats(0.5, 2.6), floats(0.1, 0.45), floats(1, 10))
def test_a_bevel_has_its_true_width(angle, share, width):
    lean = share * (math.pi - angle)
    face, end = face_and_end(Bevel(width, lean), angle)
    # law of cosines: an independent way to the third side
    across = math.sqrt(face**2 + end**2 - 2 * face * end * math.cos(angle))
    assert across == pytest.approx(width, rel=1e-9)


def test_a_round_is_tangent_to_both_faces_and_has_its_radius():
    cut = section("over", 18, 18, RIGHT, Round(6))
    assert cut.start == pytest.approx((6.0, 0.0))
    assert cut.segments[0].to == pytest.approx((0, 6), abs=1e-9)
    assert radius(cut.segments[0]) == pytest.approx(6)


def test_a_bevel_deeper_than_the_board_says_so_with_both_numbers():
    with pytest.raises(SectionError, match=r"21\.2 mm deep, and the board is 18\.0 mm"):
        section("over", 18, 18, RIGHT, Bevel(30, math.pi / 4))


def test_a_shaped_mitre_needs_equal_boards():
    with pytest.raises(SectionError, match=r"18\.0 mm and 12\.0 mm"):
        section("mitre", 18, 12, RIGHT, Round(5))


def test_a_mitred_bevel_leans_alike_off_both_boards():
    with pytest.raises(SectionError, match=r"45\.0° off both boards, not 30\.0°"):
        section("mitre", 18, 18, RIGHT, Bevel(5, math.radians(30)))


def test_a_bevel_that_leans_past_the_other_face_is_refused():
    with pytest.raises(SectionError, match="leaves nothing"):
        section("over", 18, 18, math.radians(150), Bevel(5, math.radians(45)))
