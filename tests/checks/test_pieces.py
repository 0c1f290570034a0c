"""Shapes of pieces: tips, arms, necks, tiny ones and those that nothing holds.

Board: least width 6, tips 30° or blunter, pieces of 400 mm² or more, tacks reach 150.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import Point, Polygon, box

from mateline.cabinet.hole import Hole
from mateline.checks.pieces import check
from mateline.stencil.narrow_places import narrow_places, sharp_tips
from specimens import BOARD, SEA, SIZE, codes, stencil, subject

# An isosceles tip whose half angle has tangent 1/8: the angle is 2 atan(1/8) = 14.25°.
NEEDLE = Polygon([(60, 150), (220, 170), (60, 190)])


def found(shapes, *holes, board=BOARD):
    return check(subject(stencil(shapes, *holes), board=board))


def of_code(findings, code):
    return [finding for finding in findings if finding.code == code]


def test_a_face_in_two_halves_is_no_finding():
    assert found([(SEA, "blue")]) == ()


def test_the_sharpest_tip_is_told_with_its_angle_and_place():
    (finding,) = of_code(found([(NEEDLE, "red")]), "tip-sharp")
    assert (finding.level, finding.piece) == ("warn", "body-front R1")
    assert finding.at == (220, 170)
    assert "14.3°" in finding.message
    assert "30°" in finding.remedy


def test_several_tips_of_a_piece_are_one_finding_with_their_number():
    star = [(200 + r * math.cos(t), 200 + r * math.sin(t)) for t, r in
            zip(np.arange(8) * math.tau / 8, [80, 12] * 4, strict=True)]  # fmt: skip
    (finding,) = of_code(found([(Polygon(star), "red")]), "tip-sharp")
    assert "the sharpest of 4 tips under 30°" in finding.message


@pytest.mark.parametrize("angle", [29.9, 30.1, 60.0, 150.0])
def test_a_tip_is_sharp_when_its_angle_is_under_the_limit(angle):
    half = math.radians(angle) / 2
    area = Polygon([(0, 0), (100 * math.cos(half), -100 * math.sin(half)),
                    (100 * math.cos(half), 100 * math.sin(half))])  # fmt: skip
    tips = sharp_tips(np.array([area], dtype=object), math.radians(30)).get(0, [])
    tips = [tip for tip in tips if tip.at == (0, 0)]
    assert [math.degrees(tip.angle) for tip in tips] == ([pytest.approx(angle)] * (angle < 30))


def test_a_sharp_corner_of_a_window_is_no_tip_but_the_window_piece_has_one():
    tips = sharp_tips(np.array([box(0, 0, 400, 300) - NEEDLE, NEEDLE], dtype=object), 0.5)
    assert list(tips) == [1]


def test_the_piece_outside_a_notch_between_two_areas_has_its_own_tip():
    """A wedge cut in from the border leaves no tip in the piece, a wedge left standing does."""
    wedge = Polygon([(0, 0), (100, -9), (100, 9)])
    areas = np.array([box(-50, -50, 100, 50) - wedge, wedge], dtype=object)
    assert list(sharp_tips(areas, math.radians(30))) == [1]


def test_a_neck_is_told_with_its_width_and_the_widening_it_needs():
    bone = box(20, 150, 120, 250) | box(120, 198, 200, 202) | box(200, 150, 300, 250)
    (finding,) = found([(bone, "red")])
    assert (finding.code, finding.level) == ("piece-narrow", "warn")
    assert finding.at == pytest.approx((160, 200))
    assert "only 4.0 mm wide" in finding.message
    assert "Widen it by 2.0 mm" in finding.remedy


def test_a_neck_of_the_least_width_holds():
    bone = box(20, 150, 120, 250) | box(120, 197, 200, 203) | box(200, 150, 300, 250)
    assert found([(bone, "red")]) == ()


def test_a_bar_narrower_than_the_least_width_is_narrow_from_end_to_end():
    (finding,) = of_code(found([(box(50, 200, 250, 205), "red")]), "piece-narrow")
    assert finding.at == pytest.approx((150, 202.5))
    assert "only 5.0 mm wide" in finding.message


def test_a_triangle_too_small_for_the_least_width_is_told_by_its_inscribed_circle():
    """Sides of 9: the inscribed circle has a diameter of 9 / sqrt(3) = 5.196."""
    triangle = Polygon([(0, 0), (9, 0), (4.5, 9 * math.sqrt(3) / 2)])
    (place,) = narrow_places(triangle, 6.0, math.radians(30))
    assert place.width == pytest.approx(9 / math.sqrt(3), abs=0.02)


def test_an_arm_is_narrow_however_it_ends():
    body = box(20, 150, 120, 250)
    arm = body | box(120, 198, 180, 202)
    (finding,) = found([(arm, "red")])
    assert finding.code == "piece-narrow"
    assert finding.at == pytest.approx((150, 200))


def test_an_arm_that_tapers_to_a_blunt_end_is_narrow():
    """From 7 wide to 1 wide over 120: nowhere the narrowest between, and no corner is sharp."""
    arm = box(20, 150, 120, 250) | Polygon([(120, 196.5), (240, 199.5), (240, 200.5), (120, 203.5)])
    (finding,) = found([(arm, "red")])
    assert finding.code == "piece-narrow"
    across = 7 - 6 * (finding.at[0] - 120) / 120
    assert f"only {across:.1f} mm wide" in finding.message
    assert 0 < across < 6


def test_a_needle_is_told_as_a_tip_and_not_as_narrow():
    assert codes(found([(NEEDLE, "red")])) == ["tip-sharp"]


def test_square_corners_are_no_arms():
    assert narrow_places(box(0, 0, 100, 100), 6.0, math.radians(30)) == ()


def test_a_narrow_place_beside_hardware_is_left_to_the_hardware_check():
    bolt = Hole("bolt", "round", (200.0, 82.0), 30.0, 30.0, stays=True)
    assert found([(SEA, "blue")], bolt) == ()


def test_a_window_too_near_the_border_leaves_a_narrow_strip():
    window = box(100, 50, 300, 96)
    (finding,) = found([(SEA, "blue"), (window, "red")])
    assert (finding.code, finding.piece) == ("piece-narrow", "body-front B1")
    assert finding.at == pytest.approx((200, 98))


def test_a_tiny_piece_is_told_with_both_areas():
    (finding,) = of_code(found([(Point(200, 200).buffer(8, quad_segs=64), "red")]), "piece-tiny")
    assert (finding.level, finding.piece) == ("warn", "body-front R1")
    assert "2.01 cm²" in finding.message  # 64 pi mm²
    assert "4.00 cm²" in finding.message


def test_a_piece_of_the_least_area_is_not_tiny():
    assert "piece-tiny" not in codes(found([(box(100, 200, 120, 220), "red")]))


def test_a_piece_too_small_for_the_smallest_punch_has_no_tack():
    """A disc of 8 and margins of 3 need 14."""
    small = [(box(100, 200, 113.9, 260), "red")]
    (finding,) = of_code(found(small), "piece-without-tack")
    assert (finding.level, finding.piece) == ("stop", "body-front R1")
    assert "14.0 mm by 14.0 mm" in finding.message
    assert "piece-without-tack" not in codes(found([(box(100, 200, 114.1, 260), "red")]))


def test_a_piece_over_an_open_hole_has_no_tack():
    hole = Hole("button", "round", (200.0, 200.0), 60.0, 60.0)
    dot = [(Point(200, 200).buffer(25), "red")]
    assert "piece-without-tack" in codes(found(dot, hole))
    assert "piece-without-tack" not in codes(found(dot, replace(hole, centre=(100.0, 60.0))))


def test_a_point_too_far_from_every_tack_is_told():
    """A needle 13.9 wide at most takes no tack where it is thin."""
    pan = box(20, 150, 80, 250) | box(80, 195, 380, 207)
    (finding,) = found([(pan, "red")], board=replace(BOARD, least_width=6.0))
    assert (finding.code, finding.level) == ("tack-out-of-reach", "warn")
    assert finding.at[0] == 380


def test_a_face_of_base_coat_alone_needs_no_stencil():
    assert found([]) == ()


def test_the_check_covers_every_face():
    one = stencil([(NEEDLE, "red")], name="front")
    two = stencil([(NEEDLE, "red")], name="back", size=SIZE)
    assert [each.face for each in check(subject(one, two))] == ["body-front", "body-back"]
