"""Sides of an outline, worked on the page."""

import math
from fractions import Fraction

import pytest

from mateline.curves import area, radius
from mateline.tape.arcs.curve import Curve
from mateline.tape.arcs.path import Side, chain_of
from mateline.tape.outline import Corners, given

SQUARE = {"A": (0, 0), "B": (100, 0), "C": (100, 100), "D": (0, 100)}


def outline(**curves):
    named = {tuple(key.split("_")): curve for key, curve in curves.items()}
    corners = Corners.named(SQUARE)
    return given(Corners(corners.corners, corners.points, named), file="", place="")


def test_a_half_circle_stands_on_a_square():
    chain = chain_of(outline(C_D=Curve(rise=Fraction(50))).sides)
    assert area(chain) == pytest.approx(100**2 + math.pi * 50**2 / 2, abs=1e-6)
    assert chain.segments[2].centre == pytest.approx((50, 100), abs=1e-9)


def test_a_hollow_takes_as_much_away():
    sides = outline(C_D=Curve(rise=Fraction(20), hollow=True)).sides
    full = outline(C_D=Curve(rise=Fraction(20))).sides
    assert area(chain_of(sides)) + area(chain_of(full)) == pytest.approx(2 * 100**2, abs=1e-6)


def test_a_round_corner_stands_for_the_corner():
    sides = outline(B=Curve(radius=Fraction(30))).sides
    assert [side.ends for side in sides] == [
        ("A", "B"), ("B", "B"), ("B", "C"), ("C", "D"), ("D", "A")
    ]  # fmt: skip
    assert (sides[1].start, sides[1].to) == ((70.0, 0.0), (100.0, 30.0))
    chain = chain_of(sides)
    assert radius(chain.segments[1]) == pytest.approx(30, abs=1e-5)  # corners have six decimals
    # A square corner loses r^2 (1 - pi / 4).
    assert area(chain) == pytest.approx(100**2 - 30**2 * (1 - math.pi / 4), abs=1e-4)


def test_a_round_at_the_first_corner_starts_the_chain():
    sides = outline(A=Curve(radius=Fraction(30))).sides
    assert (sides[0].ends, sides[0].start, sides[-1].to) == (("A", "A"), (0.0, 30.0), (0.0, 30.0))


def test_a_bulge_is_the_tangent_of_a_quarter_of_the_bend():
    # The bulge of a DXF arc is the tangent of a quarter of its angle (ezdxf's documentation).
    half, quarter = (
        Side(("A", "B"), (0.0, 0.0), (2.0, 0.0), math.tan(share))
        for share in (math.pi / 4, math.pi / 8)
    )
    assert half.bend == pytest.approx(math.pi)
    assert quarter.bend == pytest.approx(math.pi / 2)
