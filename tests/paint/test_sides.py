r"""Both sides: one set turned over against two, and pieces that can't be turned over.

left 300 wide: red, blue, green stripes; right is its mirror image, x' = 300 - x.
"""

from dataclasses import replace

import numpy as np
import pytest
from shapely import box

from mateline.cabinet.hole import Hole
from mateline.checks.findings import Finding, MirrorPair
from mateline.checks.mirror.sides import check
from mateline.paint.order import Placed
from mateline.paint.passes import passes_of
from mateline.paint.sides import sides_of, whole_of
from mateline.stencil.board import Punch, Tack
from painting import COLOURS, HEIGHT, cut, definition, stripes
from specimens import BOARD, subject

ORDER = tuple(Placed(colour, "") for colour in ("red", "blue", "green"))
MIRROR = np.array([[-1.0, 0.0, 300.0], [0.0, 1.0, 0.0]])
PAIR = MirrorPair("body-left", "body-right", MIRROR, shared=True)
TACK = Tack((0.0, 0.0), Punch(8.0, 8.0, round=True))


def tacked(stencil, count=2):
    """Every piece held by `count` tacks."""
    pieces = tuple(replace(piece, tacks=(TACK,) * count) for piece in stencil.pieces)
    return replace(stencil, pieces=pieces)


def right(*holes):
    thirds = [box(100 * at, 0, 100 * at + 100, HEIGHT) for at in range(3)]
    colours = ("green", "blue", "red")
    return cut(list(zip(thirds, colours, strict=True)), *holes, name="right")


def told(left=None, other=None, findings=(), pair=PAIR, painting=None):
    stencils = (tacked(left or stripes(name="left")), tacked(other or right()))
    passes = passes_of(stencils, ORDER, "cream")
    shop = definition(painting).shop
    return sides_of(stencils, passes, [pair], findings, BOARD, shop)


def test_one_set_takes_half_the_board_and_twice_the_passes():
    (sides,) = told()
    assert sides.one_set.board == pytest.approx(300 * 100)
    assert sides.two_sets.board == pytest.approx(2 * 300 * 100)
    assert (sides.one_set.passes, sides.two_sets.passes) == (6, 3)
    assert sides.one_set.days > sides.two_sets.days


def test_tacks_are_counted_each_time_they_are_taped():
    # 4 pieces of 2 tacks: laid, 8. Red and blue go back (4 tacks), green is the last.
    (sides,) = told()
    assert (sides.one_set.taped, sides.two_sets.taped) == (24, 24)
    assert sides.one_set.retaped == 24 - 8  # only 8 holes to cover a first time
    assert sides.two_sets.retaped == 24 - 16


def test_sheets_are_a_lower_bound_by_area():
    small = replace(BOARD, sheet=(100.0, 200.0))
    stencils = (stripes(name="left"), right())
    passes = passes_of(stencils, ORDER, "cream")
    (sides,) = sides_of(stencils, passes, [PAIR], (), small, definition().shop)
    assert (sides.one_set.sheets, sides.two_sets.sheets) == (2, 3)


def test_days_are_of_the_whole_cabinet():
    (sides,) = told(painting={"minutes_a_piece": 0, "minutes_a_face": 1})
    # Twelve hours to dry from 09:00: each pass a day. Base, three passes, and board off on the
    # morning after; one set does three more passes.
    assert (sides.two_sets.days, sides.one_set.days) == (5, 8)


def test_all_pairs_turned_over_are_compared_with_all_cut_twice():
    stencils = [tacked(each) for each in (stripes(name="left"), right())]
    more = [
        replace(each, face=replace(each.face, name=each.face.name.replace("body", "head")))
        for each in stencils
    ]
    head = replace(PAIR, left="head-left", right="head-right")
    every = [*stencils, *more]
    shop = definition({"minutes_a_piece": 0, "minutes_a_face": 1}).shop
    passes = passes_of(every, ORDER, "cream")
    found = sides_of(every, passes, [PAIR, head], (), BOARD, shop)
    # Each pass is a day, and board comes off on the morning after the last: base, three passes,
    # three more of the second round. With two sets of one pair the other one still takes its own.
    assert [(each.one_set.days, each.two_sets.days) for each in found] == [(8, 5), (8, 5)]
    assert [each.only_this_twice for each in found] == [8, 8]
    whole = whole_of(found, every, BOARD)
    assert (whole.one_set.days, whole.two_sets.days) == (8, 5)
    assert (whole.one_set.passes, whole.two_sets.passes) == (6, 3)
    assert (whole.one_set.taped, whole.two_sets.taped) == (48, 48)  # 24 a pair, as above
    assert whole.two_sets.board == pytest.approx(2 * whole.one_set.board)
    assert whole.one_set.board == pytest.approx(2 * 300 * 100)


def test_a_pair_that_is_not_meant_to_share_is_not_compared():
    assert told(pair=replace(PAIR, shared=False)) == ()


def test_a_pair_without_a_piece_to_lift_is_not_compared():
    assert told(cut([], name="left"), cut([], name="right")) == ()


def test_hardware_that_only_the_right_has_blocks_the_piece_over_it():
    lock = Hole("lock", "round", (250.0, 30.0), 20.0, 20.0, stays=True, margin=1.0)
    left, other = stripes(name="left"), right(lock)
    findings = check(subject(left, other, pairs=(PAIR,)))
    (sides,) = told(left, other, findings)
    assert {each.why.code for each in sides.blocked} == {"mirror-extra"}
    assert {each.piece for each in sides.blocked} == {"body-left R1"}  # x 0 to 100, turned over
    assert {each.extra for each in sides.blocked} == {("body-right R1",)}
    red = next(piece.area.area for piece in other.pieces if piece.id == "body-right R1")
    assert sides.one_set.board == pytest.approx(300 * 100 + red)


def test_hardware_that_only_the_left_has_blocks_the_piece_with_its_cut_out():
    lock = Hole("lock", "round", (50.0, 30.0), 20.0, 20.0, stays=True, margin=1.0)
    left, other = stripes(lock, name="left"), right()
    findings = check(subject(left, other, pairs=(PAIR,)))
    (sides,) = told(left, other, findings)
    assert [(each.piece, each.extra, each.why.code) for each in sides.blocked] == [
        ("body-left R1", ("body-right R1",), "mirror-missing")
    ]


def test_a_vent_that_cuts_the_piece_in_two_is_named_by_its_piece():
    vent = Hole("vent", "rectangle", (250.0, 30.0), 20.0, 80.0, stays=True, margin=1.0)
    left, other = stripes(name="left"), right(vent)
    findings = check(subject(left, other, pairs=(PAIR,)))
    (sides,) = told(left, other, findings)
    broken = [each for each in sides.blocked if each.why.code == "mirror-breaks-piece"]
    assert [each.piece for each in broken] == ["body-left R1"]
    assert set(broken[0].extra) <= {piece.id for piece in other.pieces}
    assert all(" R" in piece for piece in broken[0].extra)


def test_notes_and_findings_about_other_things_block_nothing():
    left, other = stripes(name="left"), right()
    note = Finding("mirror-missing", "note", "", "", face="body-right", at=(250.0, 30.0))
    narrow = Finding("piece-narrow", "warn", "", "", face="body-right", at=(250.0, 30.0))
    nowhere = Finding("mirror-outline", "warn", "", "", face="body-right")
    elsewhere = Finding("mirror-size", "warn", "", "", face="head-right", at=(250.0, 30.0))
    (sides,) = told(left, other, (note, narrow, nowhere, elsewhere))
    assert sides.blocked == ()


def test_lettering_on_the_left_is_found_on_the_left():
    finding = Finding("mirror-lettering", "warn", "", "", face="body-left", at=(50.0, 30.0))
    (sides,) = told(findings=(finding,))
    assert [(each.piece, each.extra) for each in sides.blocked] == [
        ("body-left R1", ("body-right R1",))
    ]


def test_small_pieces_of_the_right_that_a_large_one_covers_are_all_cut():
    # The left piece, 300 x 60, comes to lie over two pieces of 1 % of it each.
    left = cut([(box(0, 0, 300, HEIGHT), "red")], name="left")
    other = cut([(box(20, 20, 32, 35), "red"), (box(200, 20, 212, 35), "red")], name="right")
    finding = Finding("mirror-lettering", "warn", "", "", face="body-left", at=(50.0, 30.0))
    (sides,) = told(left, other, (finding,))
    assert sides.blocked[0].extra == ("body-right R1", "body-right R2")


def test_an_outline_that_runs_past_the_set_blocks_the_nearest_piece():
    finding = Finding("mirror-outline", "warn", "", "", face="body-right", at=(305.0, 30.0))
    (sides,) = told(findings=(finding,))
    assert [each.piece for each in sides.blocked] == ["body-left R1"]


def test_where_the_right_has_no_such_colour_the_piece_at_the_place_is_cut():
    finding = Finding("mirror-lettering", "warn", "", "", face="body-left", at=(50.0, 30.0))
    other = cut([(box(0, 0, 300, HEIGHT), "blue")], name="right")
    (sides,) = told(other=other, findings=(finding,))
    assert sides.blocked[0].extra == ("body-right B1",)
    assert COLOURS.base == "cream"
