"""What to measure next, against solving again with that reading in hand."""

import math
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest

from blundered import INCH, OUTLINES, SIXTEENTHS, Measured
from figures import BOARD, ELL, HOUSE, outline, read, sides
from mateline.tape.next_reading import _is_across, _wood
from mateline.tape.readings import Readings
from mateline.tape.report import as_json, sentences
from mateline.tape.solving.adjustment import fitted
from mateline.tape.solving.approximate import Form
from mateline.tape.solving.observations import Distance

ELEVEN = OUTLINES["eleven corners"]


def misread(measured, pair, inches, *more):
    """The outline with one reading wrong, and `more` pairs read rightly."""
    wider = replace(measured, pairs=(*measured.pairs, *more))
    lengths = wider.lengths()
    lengths[tuple(pair)] += inches * INCH
    return wider.solved(lengths)


@pytest.mark.parametrize("pair", ["AB", "EF", "KA", "BJ"])
def test_the_reading_that_is_named_decides_at_once_and_a_d_never_does(pair):
    """An inch wrong in eleven corners with 23 readings. A-D is the first pair not read."""
    tied = misread(ELEVEN, pair, 1.0)
    assert tied.verdict == "cannot-tell"
    assert tied.advice.done == tied.advice.wanted
    decided = misread(ELEVEN, pair, 1.0, "".join(tied.advice.corners))
    assert decided.verdict == "suspect"
    assert decided.suspect.label == "-".join(pair)
    still = misread(ELEVEN, pair, 1.0, "AD")
    assert [each.label for each in still.candidates] == [each.label for each in tied.candidates]


def test_what_it_would_read_is_told_for_each_of_the_doubted():
    tied = misread(ELEVEN, "AB", 1.0)
    foretold = dict(zip((each.label for each in tied.candidates), tied.advice.lengths, strict=True))
    true = math.dist(*(ELEVEN.corners[name] for name in tied.advice.corners))
    assert foretold["A-B"] == pytest.approx(true, abs=0.01)  # A-B is the one that is wrong
    assert abs(foretold["B-C"] - true) > INCH / 2
    data = as_json(tied)["measure_next"]
    assert data["label"] == tied.advice.label
    assert data["expected"] == foretold


def test_a_line_is_across_where_a_tape_can_lie_on_the_wood():
    #  F---E
    #  |   |      C-F and B-E pass over the hollow beside D
    #  |   D---C
    #  A-------B
    solution = fitted(
        Form(tuple(ELL), frozenset("D")),
        [Distance(a, b, float(length), 1.0, a + b) for (a, b), length in
         read(ELL, combinations(ELL, 2)).items()],
        (), "mm",
    ).solution  # fmt: skip
    wood = _wood(solution)
    across = {a + b for a, b in combinations(ELL, 2) if _is_across(wood, (a, b), tuple(ELL))}
    outside = {"CE", "CF", "BE", "BF"}
    assert across == {a + b for a, b in combinations(ELL, 2)} - outside


def test_where_no_distance_would_tell_the_doubted_are_read_again():
    lengths = read(BOARD, [*sides(BOARD), "AC", "BD"]) | {("A", "C"): Fraction(1100)}
    found = outline(Readings(tuple(BOARD), lengths))
    assert found.advice is None
    assert as_json(found)["measure_next"] is None


def test_an_unchecked_outline_asks_for_the_distance_that_checks_most():
    """Counted by solving again with each distance that is not read yet."""
    found = outline(Readings(tuple(HOUSE), read(HOUSE, [*sides(HOUSE), "AC", "AD"])))
    assert found.verdict == "unchecked"
    every = {}
    for extra in ("BD", "BE", "CE"):
        more = outline(Readings(tuple(HOUSE), read(HOUSE, [*sides(HOUSE), "AC", "AD", extra])))
        every[extra] = sum(each.share > 0.01 for each in more.closures) - 1  # not the new one
    most = max(every.values())
    assert found.advice.done == most == every["".join(found.advice.corners)]
    assert found.advice.wanted == 7
    assert not found.advice.side
    assert any(
        f"best {found.advice.label}: it checks" in each for each in sentences(found, SIXTEENTHS)
    )


def test_a_side_that_nobody_read_is_called_one():
    square = Measured(BOARD, ("AB", "BC", "CD", "AC", "BD"))
    found = square.solved(square.lengths())
    assert (found.advice.label, found.advice.side) == ("A-D", True)
