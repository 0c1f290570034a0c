"""A set that is turned over: which board lies on the right face, by which name.

left: red, blue, green stripes, 100 each; right is its mirror image, x' = 300 - x, so that each
stripe is number 1 on both; bars() has several of one colour.
"""

from dataclasses import replace

from shapely import box
from shapely.affinity import translate

from mateline.checks.findings import Finding
from mateline.paint.order import Placed
from mateline.paint.passes import passes_of
from mateline.paint.turned_sets import as_laid, as_on_board, in_words, on_board, renamed, sets_of
from paint.test_plan import PAIR
from paint.test_sides import right
from painting import HEIGHT, cut, stripes

ORDER = (Placed("red", ""),)


def bars(*wide, name):
    """Red bars from the left, each as wide as it says, 20 apart."""
    shapes, x = [], 10.0
    for each in wide:
        shapes.append((box(x, 0, x + each, HEIGHT), "red"))
        x += each + 20
    return shapes, cut(shapes, name=name)


def both():
    shapes, left = bars(20, 40, 60, name="left")
    mirrored = [(box(300 - b.bounds[2], 0, 300 - b.bounds[0], HEIGHT), c) for b, c in shapes]
    return left, cut(mirrored, name="right")


def test_a_bar_keeps_the_name_of_its_board():
    # The widest is the third from the left, and the first on the side that it is turned over for.
    (found,) = sets_of(both(), [PAIR], ())
    assert found.on_board == {
        "body-right R1": "body-left R3",
        "body-right R2": "body-left R2",
        "body-right R3": "body-left R1",
        "body-right C1": "body-left C1",
    }
    assert (found.own, found.unused) == ((), ())


def test_passes_say_the_names_on_the_board():
    stencils = both()
    sets = sets_of(stencils, [PAIR], ())
    _, red = as_on_board(passes_of(stencils, ORDER, "cream"), sets)
    left, over = red.faces
    assert (left.turned, over.turned) == (False, True)
    assert set(left.off) == set(over.off) == {f"body-left R{n}" for n in (1, 2, 3)}
    assert over.stays == ("body-left C1",)
    # As on the left side, though the right side's own names go by width the other way round.
    assert over.off == tuple(f"body-left R{n}" for n in (1, 2, 3))
    assert over.short("body-left R2") == "R2"
    assert over.short("body-right R2") == "own R2"


def test_drawings_of_the_right_side_have_the_names_on_the_board():
    left, other = both()
    (found,) = sets_of((left, other), [PAIR], ())
    laid = as_laid(other, found)
    assert [(p.face, p.short) for p in laid.pieces] == [
        ("body-right", name.rsplit(" ", 1)[1])
        for name in (found.on_board[p.id] for p in other.pieces)
    ]


def test_a_piece_that_cannot_be_turned_over_is_cut_and_named_by_its_own_face():
    wrong = Finding("mirror-lettering", "warn", "", "", face="body-left", at=(15.0, 30.0))
    left, other = both()
    (found,) = sets_of((left, other), [PAIR], (wrong,))
    assert (found.own, found.unused) == (("body-right R3",), ("body-left R1",))
    assert "body-left R1" not in found.turn.twins  # so that its back has no name
    (own,) = (piece for piece in as_laid(other, found).pieces if piece.own)
    assert (own.id, own.short) == ("body-right R3", "own R3")


def test_a_side_that_two_left_pieces_lie_on_has_board_of_its_own():
    # The left one has two blues where the right one has a single one, 50 and 50 of its 100.
    parts = [(box(100, 0, 149, HEIGHT), "blue"), (box(151, 0, 200, HEIGHT), "blue")]
    (found,) = sets_of((cut(parts, name="left"), right()), [PAIR], ())
    assert "body-right B1" in found.own
    assert {"body-left B1", "body-left B2"} <= set(found.unused)


def test_a_letter_that_reads_one_way_and_the_board_round_it_are_cut_for_each_side():
    """An L of strokes 20 wide in a red bar: turned over it covers 3 fifths of the other one."""
    foot = [box(20, 20, 40, 80), box(40, 20, 60, 40)]
    letter = foot[0].union(foot[1])
    there = translate(letter, 220)  # where its turned box lies, reading the same way
    bar = box(0, 0, 80, 100)
    left = cut([(bar.difference(letter), "red"), (letter, "blue")], name="left")
    bar = box(220, 0, 300, 100)
    other = cut([(bar.difference(there), "red"), (there, "blue")], name="right")
    (found,) = sets_of((left, other), [PAIR], ())
    assert set(found.own) == {"body-right R1", "body-right B1"}
    assert set(found.unused) == {"body-left R1", "body-left B1"}
    assert found.turn.twins.keys() == {"body-left C1"}


def test_sides_of_base_coat_only_and_pairs_with_a_set_each_share_none():
    assert sets_of((stripes(name="left"), cut([], name="right")), [PAIR], ()) == ()
    assert sets_of(both(), [replace(PAIR, shared=False)], ()) == ()


def test_what_is_found_of_the_right_side_is_told_with_the_names_on_the_board():
    names = on_board(sets_of(both(), [PAIR], ()))
    words = "Pieces body-right R1, body-right R12 and “body-right C1” meet on body-right."
    told = "Pieces body-left R3, body-right R12 and “body-left C1” meet on body-right."
    assert in_words(words, names) == told
    inner = Finding("piece-tiny", "warn", words, "", face="body-right", piece="body-right R1")
    whole = renamed(replace(inner, piece=None, consequences=(inner,)), names)
    assert (whole.message, whole.piece, whole.face) == (told, None, "body-right")
    assert whole.consequences[0].piece == "body-left R3"
