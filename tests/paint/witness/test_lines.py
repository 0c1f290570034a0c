r"""Witness lines at straight borders, worked by hand; what closes them.

Numbers below: kerf 0.2, play 0.5, board 0.4 thick, spray 30 degrees off square: shade
0.4 tan 30 = 0.2309 a pass, so two sprayed passes leave 0.5 + 2 * 0.2309 - 0.2 = 0.7619.
"""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from mateline.paint.witness.lines import limits_of, spread_of, witness_lines, worst
from painting import RANK, cut, definition, spread, stripes
from specimens import BOARD

LEAN = math.radians(30)
SHADE = 0.4 / math.sqrt(3)


STRIPES = stripes()


def lines(here, stencil=STRIPES, rank=RANK):
    return witness_lines(stencil, rank, here)


def test_a_kerf_alone_makes_an_overlap_of_its_width():
    assert spread(kerf=0.2).gap("red", "blue") == pytest.approx(-0.2)


def test_play_beyond_the_kerf_is_a_gap():
    assert spread(kerf=0.2, play=0.5).gap("red", "blue") == pytest.approx(0.3)


def test_both_passes_are_shaded():
    found = spread(kerf=0.2, play=0.5, angle=LEAN).gap("red", "blue")
    assert found == pytest.approx(0.5 + 2 * SHADE - 0.2)
    assert found == pytest.approx(0.7619, abs=5e-5)


def test_a_brush_casts_no_shade():
    brushed = spread(angle=LEAN, brushed=frozenset({"blue"}))
    assert brushed.gap("red", "blue") == pytest.approx(SHADE)
    assert brushed.gap("blue", "red") == pytest.approx(SHADE)


def test_bleed_closes_from_both_sides():
    assert spread(play=0.5, bleed=0.1).gap("red", "blue") == pytest.approx(0.3)


def test_only_borders_of_two_painted_colours_count_and_come_in_order_of_painting():
    found = lines(spread(play=0.5), rank={"cream": 0, "green": 1, "blue": 2, "red": 3})
    assert {(line.first, line.second) for line in found} == {
        ("body-front B1", "body-front R1"),
        ("body-front G1", "body-front B1"),
    }


def test_a_border_has_its_length_its_middle_and_its_bare_strip():
    one, other = sorted(lines(spread(play=0.5)), key=lambda line: line.at)
    assert one.length == pytest.approx(60.0)
    assert one.at == pytest.approx((100.0, 30.0))
    assert other.at == pytest.approx((200.0, 30.0))
    assert one.bare == pytest.approx(30.0)


def test_an_overlap_leaves_nothing_bare():
    assert all(line.bare == 0.0 for line in lines(spread(kerf=0.2)))


def test_the_worst_border_is_the_widest_and_then_the_longest():
    stencil = cut(
        [(box(0, 0, 50, 30), "red"), (box(50, 0, 100, 30), "blue"), (box(100, 0, 150, 20), "green")]
    )
    assert worst(lines(spread(play=0.5), stencil)).length == pytest.approx(30.0)
    found = worst(lines(spread(angle=LEAN, brushed=frozenset({"red"})), stencil))
    assert set(found.colours) == {"blue", "green"}
    assert worst(()) is None


def test_the_limits_worked_by_hand():
    # play 0.1 and shade 2 s <= kerf 0.2  ->  s = 0.05, angle = atan(0.05 / 0.4)
    limits = limits_of(lines(here := spread(kerf=0.2, play=0.1)), here)
    assert limits.play == pytest.approx(0.2)
    assert limits.angle == pytest.approx(math.atan(0.125))
    assert limits.kerf == pytest.approx(0.1)
    assert limits.cut_back == 0.0


def test_nothing_closes_what_others_hold_open():
    limits = limits_of(lines(here := spread(kerf=0.2, play=0.5, angle=LEAN)), here)
    assert limits.play is None  # the shade alone is wider than the kerf
    assert limits.angle is None  # the play alone is wider than the kerf
    assert limits.cut_back == pytest.approx(0.7619 / 2, abs=5e-5)
    assert limits.kerf == pytest.approx(0.5 + 2 * SHADE)


def test_brushes_close_at_any_angle():
    here = spread(kerf=0.2, play=0.1, angle=LEAN, brushed=frozenset(RANK))
    assert limits_of(lines(here), here).angle == pytest.approx(math.pi / 2)


def test_the_angle_has_to_close_the_pair_with_the_most_spray():
    # red and blue: one shade; blue and green: two, which may share 0.2 - 0.1
    here = spread(kerf=0.2, play=0.1, brushed=frozenset({"red"}))
    assert limits_of(lines(here), here).angle == pytest.approx(math.atan(0.05 / 0.4))


def test_a_face_whose_colours_do_not_meet_has_no_limits():
    stencil = cut([(box(0, 0, 50, 30), "red"), (box(80, 0, 120, 30), "blue")])
    assert lines(spread(play=0.5), stencil) == ()
    assert limits_of((), spread()) is None


@settings(deadline=None)
@given(
    kerf=st.floats(0, 1),
    play=st.floats(0, 1),
    lean=st.floats(0, 1.2),
    bleed=st.floats(0, 0.2),
    brushed=st.sets(st.sampled_from(["red", "blue", "green"])),
)
def test_every_limit_just_closes_every_border(kerf, play, lean, bleed, brushed):
    told = {"kerf": kerf, "play": play, "angle": lean, "bleed": bleed, "brushed": brushed}
    limits = limits_of(lines(here := spread(**told)), here)

    def widest(**change):
        return max(line.gap for line in lines(spread(**{**told, **change})))

    if limits.play is None:
        assert widest(play=0.0) > 0
    else:
        assert widest(play=limits.play) == pytest.approx(0, abs=1e-9)
    if limits.angle is None:
        assert widest(angle=0.0) > 0
    elif limits.angle < math.pi / 2:
        assert widest(angle=limits.angle) == pytest.approx(0, abs=1e-9)
    assert widest(kerf=limits.kerf) <= 1e-9
    assert widest(kerf=kerf + 2 * limits.cut_back) <= 1e-9


def test_the_definition_says_what_moves_the_edges():
    painting = {"put_back_play": "0.7 mm", "spray_angle_deg": 30.0, "edge_bleed": "0.1 mm"}
    shop = definition(painting, red={"method": "brush"}).shop
    found = spread_of(shop, BOARD)
    assert (found.kerf, found.thickness) == (BOARD.kerf, BOARD.thickness)
    assert (found.play, found.bleed) == pytest.approx((0.7, 0.1))
    assert found.angle == pytest.approx(LEAN)
    assert found.brushed == {"red"}
