r"""Holes against pieces: the fault planted, and its clean twin.

The face is 400 x 300, sea (blue) up to y = 100 and cream above; the least width is 6.
"""

import math

import pytest
from shapely import Point, box

from mateline.cabinet.hole import Hole
from mateline.checks.hardware import check
from specimens import SEA, codes, stencil, subject


def bolt(x, y, across=30.0, *, stays=True, name="bolt", margin=0.0):
    return Hole(name, "round", (x, y), across, across, stays=stays, margin=margin)


def bar(x, y, length, width, name="bar"):
    return Hole(name, "rectangle", (x, y), length, width, stays=True)


def found(shapes, *holes):
    return check(subject(stencil(shapes, *holes)))


def test_a_hole_well_inside_a_piece_is_no_finding():
    assert found([(SEA, "blue")], bolt(200, 50)) == ()


def test_a_bar_across_a_band_splits_it_and_names_both_places():
    band = box(0, 100, 400, 140)
    (finding,) = found([(band, "blue")], bar(250, 120, 10, 60))
    assert (finding.code, finding.level) == ("hole-splits-piece", "stop")
    assert finding.hardware == "bar"
    assert finding.piece == "body-front B1"
    assert band.contains(Point(finding.at))
    assert abs(finding.at[0] - 250) <= 5
    assert "150 mm from its edge with" in finding.message  # the nearest upright edge, at x = 400
    assert "into 2 loose parts" in finding.message
    assert "145.0 mm by 40.0 mm" in finding.message
    assert "6.0 mm" in finding.remedy


def test_a_bar_that_reaches_only_half_across_does_not_split():
    assert found([(box(0, 100, 400, 140), "blue")], bar(250, 120, 10, 20)) == ()


def test_two_holes_that_run_into_one_another_split_together_and_are_named_together():
    band = box(0, 100, 400, 140)
    holes = (bolt(200, 108, 24, name="low"), bolt(200, 131, 24, name="high"))
    (finding,) = found([(band, "blue")], *holes)
    assert finding.code == "hole-splits-piece"
    assert "“low” and “high” in place cut" in finding.message


def test_two_separate_cuts_of_a_ring_are_told_of_both():
    ring = Point(200, 150).buffer(80) - Point(200, 150).buffer(50)
    cuts = (bar(200, 215, 10, 40, name="top"), bar(200, 85, 10, 40, name="bottom"))
    findings = [each for each in found([(ring, "blue")], *cuts) if "split" in each.code]
    assert {each.hardware for each in findings} == {"top", "bottom"}


def test_one_cut_of_a_ring_leaves_it_in_one_part():
    ring = Point(200, 150).buffer(80) - Point(200, 150).buffer(50)
    assert "hole-splits-piece" not in codes(found([(ring, "blue")], bar(200, 215, 10, 40)))


def test_a_piece_inside_the_margin_of_a_bolt_is_swallowed():
    dot = Point(200, 200).buffer(12)
    shapes = [(SEA, "blue"), (dot, "red")]
    (finding,) = found(shapes, bolt(200, 200, 20, margin=3))
    assert (finding.code, finding.level, finding.piece) == ("hole-swallows-piece", "stop", None)
    assert dot.contains(Point(finding.at))
    assert "“bolt”" in finding.message
    assert found(shapes, bolt(200, 250, 20, margin=3)) == ()


@pytest.mark.parametrize(("y", "width"), [(82.0, 3.0), (19.5, 4.5)])
def test_a_strip_between_a_hole_and_a_border_is_measured_exactly(y, width):
    """A bolt of 30 in a sea 100 deep leaves min(y, 100 - y) - 15."""
    (finding,) = found([(SEA, "blue")], bolt(200, y))
    assert (finding.code, finding.level) == ("hole-thins-piece", "warn")
    assert f"only {width} mm wide" in finding.message
    assert f"{6 - width} mm farther apart" in finding.remedy
    assert finding.at[0] == pytest.approx(200, abs=0.6)  # a facet of the bolt's circle
    assert finding.at[1] == pytest.approx(100 - width / 2 if y > 50 else width / 2, abs=0.005)


def test_a_strip_as_wide_as_the_least_width_holds():
    assert found([(SEA, "blue")], bolt(200, 79)) == ()


def test_a_strip_between_two_holes_is_told_once_with_both_names():
    (finding,) = found([(SEA, "blue")], bolt(200, 50, name="a"), bolt(234, 50, name="b"))
    assert finding.code == "hole-thins-piece"
    assert "between “a” and “b”" in finding.message
    assert "only 4.0 mm wide" in finding.message
    assert finding.at == pytest.approx((217, 50), abs=0.6)


def test_a_hole_across_a_border_makes_no_neck_where_it_crosses():
    assert found([(SEA, "blue")], bolt(200, 100)) == ()


def test_narrowness_that_was_there_before_is_not_blamed_on_the_hole():
    dumbbell = box(20, 20, 180, 80) | box(180, 48, 220, 52) | box(220, 20, 380, 80)
    assert found([(dumbbell, "blue")], bolt(100, 50)) == ()


def test_a_crescent_that_is_nowhere_wide_enough_is_thin():
    """A disc of 60 less a bolt of 56.2 pushed to its edge: 3.9 wide at the most."""
    disc = Point(200, 200).buffer(30, quad_segs=64)
    findings = found([(disc, "red")], bolt(198, 200, 56.2))
    thin = [each for each in findings if each.code == "hole-thins-piece"]
    assert any(each.piece == "body-front R1" for each in thin)


def test_a_border_over_an_open_hole_says_how_far_to_move_it():
    (finding,) = found([(SEA, "blue")], bolt(120, 103, stays=False))
    assert (finding.code, finding.level) == ("border-over-hole", "warn")
    assert finding.at == pytest.approx((120, 100), abs=1e-6)
    assert "cream and blue" in finding.message
    assert "12.0 mm" in finding.remedy  # the bolt reaches 15 below its centre at 103


def test_an_open_hole_inside_one_piece_is_no_finding():
    assert found([(SEA, "blue")], bolt(120, 120.001, stays=False, across=40)) == ()


def test_an_open_hole_touching_a_border_is_no_finding():
    hole = Hole("slot", "rectangle", (120.0, 110.0), 40.0, 20.0)
    assert found([(SEA, "blue")], hole) == ()


def test_a_face_of_base_coat_alone_has_no_stencil_to_spoil():
    assert found([], bolt(200, 17)) == ()


def test_a_turned_bar_is_measured_where_it_is():
    """A square of 20 on its corner reaches 10 sqrt(2) down: 16 - 14.142 = 1.858."""
    hole = Hole("bar", "rectangle", (200.0, 16.0), 20.0, 20.0, turn=math.pi / 4, stays=True)
    (finding,) = found([(SEA, "blue")], hole)
    assert "only 1.9 mm wide" in finding.message
    assert finding.at == pytest.approx((200, 0.929), abs=1e-3)
