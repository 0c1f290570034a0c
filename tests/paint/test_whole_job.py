"""What to cut, buy and do, reckoned by hand on stripes 300 by 100 (see painting.py)."""

from dataclasses import replace
from fractions import Fraction

import pytest
from shapely import box

from mateline.cabinet.hole import Hole
from mateline.paint.plan import Painting, plan_of
from mateline.paint.whole_job import Stated, whole_job
from mateline.stencil.board import Punch, Tack
from mateline.tape.accuracy import Tape
from paint.test_plan import PAIR
from paint.test_sides import right
from painting import cut, definition, stripes
from specimens import BOARD

METRIC = Tape("mm", Fraction(1), "II")
SMALL = replace(BOARD, sheet=(305.0, 210.0), tape_margin=5.0)
LOCK = Hole("lock", "round", (150.0, 50.0), 20.0, 20.0, stays=True, margin=1.0)
TACK = Tack((0.0, 0.0), Punch(30.0, 8.0))


def tacked(stencil):
    pieces = tuple(replace(piece, tacks=(TACK, TACK)) for piece in stencil.pieces)
    return replace(stencil, pieces=pieces)


def told(*stencils, pairs=(), **more):
    stated = definition({"minutes_a_piece": 0, "minutes_a_face": 1})
    plan = plan_of(stencils, Painting(stated.shop, SMALL, stated.colours), (), pairs)
    from mateline.paint.turned_sets import as_laid

    over = {each.right: each for each in plan.sets}
    laid = [as_laid(s, over[s.face.name]) if s.face.name in over else s for s in stencils]
    return whole_job(laid, plan, Stated(SMALL, METRIC, **more)), plan


@pytest.fixture(scope="module")
def both():
    stencils = (tacked(stripes(name="left")), tacked(right()), cut([], LOCK, name="back"))
    found, _ = told(*stencils, pairs=(PAIR,))
    return found


def said(facts):
    return {fact.what: fact.said for fact in facts}


def test_the_job_in_numbers(both):
    numbers = said(both.numbers)
    assert numbers["Faces to paint"] == "3; 1 face with base coat only"
    assert numbers["Stencils to cut"] == "1"
    assert numbers["Pieces of board"] == "4"
    # 8 tacks on each side; two of the three colours go back, 4 tacks a side.
    assert numbers["Tape tacks"] == "16 when all is laid, 8 again as pieces go back"
    assert numbers["Passes"] == "base coat and 6: 3, then 3 with sets turned over"
    # A day a pass, and the board off on the morning after: see test_sides.
    assert numbers["Working days"] == "8 (8 from first to last at the earliest)"
    assert numbers["Whole boards"] == "1"


def test_what_to_buy(both):
    buy = said(both.buy)
    assert buy["Stencil board"] == "1 sheet of 305 mm x 210 mm"
    # 24 times 30 and 5 on either side: 960 mm, of which a third goes back.
    assert buy["Painter's tape for tacks"] == (
        "1 m, at least 18 mm wide: 1 m to lay all, 1 m as pieces go back"
    )
    assert buy["Masking paper"].startswith("for 0.0 m²")  # 300 by 100
    assert {what for what in buy if what.startswith("Paint: ")} == {
        f"Paint: {name} ({name})" for name in ("cream", "red", "blue", "green")
    }


def test_faces_that_are_cut_and_that_are_not(both):
    assert [(each.face, each.pieces, each.tacks, each.note) for each in both.cut] == [
        ("body-left", 4, 8, "also for body-right, turned over")
    ]
    assert [(each.face, each.why, each.mask) for each in both.uncut] == [
        ("body-right", "the set of body-left, turned over, does it", ()),
        ("body-back", "cream only: sprayed whole", ("lock",)),
    ]


def test_both_faces_lie_on_one_sheet_where_it_has_room():
    # 300 by 100 twice, 5 apart: 205 of 210.
    found, _ = told(stripes(name="left"), right())
    assert [each.parts for each in found.boards] == [
        ("body-left, 300 mm x 100 mm", "body-right, 300 mm x 100 mm")
    ]


def test_steps_are_in_the_order_of_the_work(both):
    steps = list(both.steps)
    heads = [
        "Buy", "Cut the stencils: body-left.", "Letter the backs", "Tape over the hardware",
        "Spray the base coat", "Cover what is done", "Lay and tape the board on body-left.",
        "Pass 1:", "Pass 2:", "Pass 3:", "Take all board off body-left.",
        "Turn the set of body-left over", "Pass 1, turned over:", "Pass 2, turned over:",
        "Pass 3, turned over:", "Take all board off body-right.", "Take the tape off",
    ]  # fmt: skip
    assert [step[: len(head)] for step, head in zip(steps, heads, strict=True)] == heads
    assert "body-back: lock." in steps[3]


def test_what_stops_comes_first_and_two_sets_say_how_to_make_one():
    found, _ = told(stripes(name="left"), right(), twice=True, stops=2)
    assert found.steps[0] == "Mend what stops the work: 2 findings say stop."
    assert found.sets.startswith("Two sets: each side has its own.")
    alone, _ = told(stripes(name="left"))
    assert alone.sets == ""


def test_a_cabinet_of_one_colour_needs_paint_and_no_board():
    found, _ = told(cut([]))
    assert (found.cut, found.boards) == ((), ())
    assert [fact.what for fact in found.buy] == ["Paint: cream (cream)"]


def test_board_for_pieces_of_its_own_is_on_the_list():
    # The right side has a red piece that no left one is.
    other = cut([(box(0, 0, 300, 60), "blue"), (box(20, 70, 60, 95), "red")], name="right")
    found, plan = told(stripes(name="left"), other, pairs=(PAIR,))
    (turned,) = plan.sets
    assert "body-right R1" in turned.own
    parts = [part for sheet in found.boards for part in sheet.parts]
    assert "body-right R1, 40 mm x 25 mm" in parts
    (_, extra) = found.cut
    assert extra.note.startswith("only ")
    assert "body-right R1" in extra.note
