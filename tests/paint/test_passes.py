"""Passes: what comes off, stays and goes back; every place is painted exactly once."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from mateline.cabinet.hole import Hole
from mateline.paint.order import Placed
from mateline.paint.passes import painted_once, passes_of
from painting import PAINTS, cut, jumble, stripes

ORDER = tuple(Placed(colour, "") for colour in PAINTS if colour != "cream")
BOLT = Hole("bolt", "round", (100.0, 30.0), 12.0, 12.0, stays=True, margin=2.0)


def planned(*stencils):
    return passes_of(stencils, ORDER, "cream")


def on(passes, order):
    (there,) = passes[order].faces
    return there


def test_the_base_coat_is_pass_0_on_the_whole_face_with_no_board():
    base = planned(stripes())[0]
    assert (base.order, base.colour, base.area) == (0, "cream", pytest.approx(300.0 * 100.0))
    assert on([base], 0).off == on([base], 0).stays == ()


def test_one_colour_comes_off_and_all_others_stay():
    red = on(planned(stripes()), 1)
    assert red.off == red.back == ("body-front R1",)
    assert set(red.stays) == {"body-front B1", "body-front G1", "body-front C1"}


def test_nothing_goes_back_after_the_last_pass_of_a_face():
    passes = planned(stripes(), cut([(box(0, 0, 50, 50), "red")], name="top"))
    assert on([passes[3]], 0).back == ()
    assert [there.back for there in passes[1].faces] == [("body-front R1",), ()]


def test_pieces_of_the_base_coat_are_never_lifted():
    for each in planned(stripes()):
        assert not any("C" in piece for there in each.faces for piece in there.off)


def test_the_area_of_a_pass_is_that_of_its_colour_on_all_faces():
    passes = planned(stripes(), stripes(name="top"))
    assert [each.area for each in passes[1:]] == [pytest.approx(2 * 100.0 * 60.0)] * 3


def test_every_place_is_painted_once_round_hardware_that_stays():
    stencil = stripes(BOLT)
    assert painted_once(stencil, planned(stencil)).holds


def test_a_piece_that_no_pass_lifts_is_found_with_its_area():
    stencil = stripes()
    passes = planned(stencil)
    there = replace(on(passes, 2), off=())
    proof = painted_once(stencil, (*passes[:2], replace(passes[2], faces=(there,)), passes[3]))
    assert not proof.holds
    assert proof.bare == pytest.approx(6000.0)


def test_a_piece_lifted_twice_is_found_with_its_area_and_name():
    stencil = stripes()
    passes = planned(stencil)
    there = replace(on(passes, 2), off=("body-front B1", "body-front R1"))
    proof = painted_once(stencil, (*passes[:2], replace(passes[2], faces=(there,)), passes[3]))
    assert not proof.holds
    assert proof.twice == pytest.approx(6000.0)
    assert proof.wrong == ("body-front R1",)


def test_a_lifted_piece_of_base_colour_is_found():
    stencil = stripes()
    passes = planned(stencil)
    there = replace(on(passes, 1), off=("body-front R1", "body-front C1"))
    proof = painted_once(stencil, (passes[0], replace(passes[1], faces=(there,)), *passes[2:]))
    assert proof.lifted == ("body-front C1",)
    assert not proof.holds


def test_a_piece_that_was_moved_is_found_by_its_edges():
    stencil = stripes()
    red = next(piece for piece in stencil.pieces if piece.colour == "red")
    moved = replace(red, area=box(0.5, 0, 100.5, 60))
    pieces = tuple(moved if piece is red else piece for piece in stencil.pieces)
    proof = painted_once(replace(stencil, pieces=pieces), planned(stencil))
    assert proof.bare == pytest.approx(0.5 * 60)
    assert proof.twice == pytest.approx(0.5 * 60)
    assert proof.loose > 0


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_random_patterns_are_painted_once(seed):
    stencil = jumble(seed)
    assert painted_once(stencil, planned(stencil)).holds
