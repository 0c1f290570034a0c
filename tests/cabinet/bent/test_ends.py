"""Ends of boards that are seen along a curve: one each, as large as they are."""

import math

import pytest

from boxes import faults_of
from curved_boxes import curved

RADIUS = 520.0
BEND = 2 * math.asin(200 / RADIUS)


def ends(cabinet, board, owner):
    return [
        end for end in cabinet.ends if (end.board, end.owner) == (f"box-{board}", f"box-{owner}")
    ]


def test_the_end_of_a_side_along_a_bow_is_one_strip():
    cabinet = curved(more='joints = ["high over near", "high over far"]')
    (end,) = ends(cabinet, "left", "high")
    assert end.size == pytest.approx(RADIUS * BEND * 18, abs=1e-6)
    assert end.finish == "base"
    # On the face of the bent board it is the strip beyond its rim, 18 mm wide.
    assert end.on_owner.area == pytest.approx(RADIUS * BEND * 18, abs=1e-6)


def test_the_end_of_a_bent_board_is_a_ring_in_its_sides_plane():
    cabinet = curved(more='joints = ["high over left", "near over high", "far over high"]')
    (end,) = ends(cabinet, "high", "left")
    # Between planes 18 mm inside of both its corners, under two circles: see test_prism.
    under, inside = (
        182 * math.sqrt(r**2 - 182**2) + r**2 * math.asin(182 / r) for r in (RADIUS, RADIUS - 18)
    )
    assert end.size == pytest.approx(under - inside, rel=1e-6)


def test_the_end_of_a_bent_board_over_a_flat_one_lies_in_its_plane():
    cabinet = curved(more='joints = ["high over near", "high over far"]')
    (end,) = ends(cabinet, "high", "near")
    # From (0, 500) straight down to the circle of 502 about (200, 20), 264 wide.
    drop = 500 - (20 + math.sqrt(502**2 - 200**2))
    assert end.size == pytest.approx(drop * 264, abs=1e-6)
    assert end.on_owner.area == pytest.approx(drop * 264, abs=1e-6)


def test_no_art_is_carried_round_a_curve():
    for pair in ("left and high", "far and high", "near and high"):
        text = f'[carcase.edges]\n"{pair}" = {{ end = "art" }}'
        assert "no art runs on over it" in " ".join(
            faults_of(lambda text=text: curved(panels=text))
        )
    (end,) = ends(curved(more='ends = "art"'), "left", "high")
    assert end.finish == "base"
