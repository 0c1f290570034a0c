"""Whether readings hold an outline, and what to measure next."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis.strategies import integers, lists, sampled_from

from mateline.tape.solving.observations import Distance, Height, Square
from mateline.tape.solving.rigidity import lacking, next_readings, readings_against

CORNERS = tuple("ABCDE")
PAIRS = list(combinations(CORNERS, 2))


def distances(pairs):
    return [Distance(a, b, 1.0, 1.0, f"{a}-{b}") for a, b in pairs]


@pytest.mark.parametrize(("number", "wanted"), [(3, 3), (4, 5), (5, 7), (8, 13)])
def test_n_corners_take_twice_n_less_three_readings(number, wanted):
    assert lacking(CORNERS[:number] if number < 6 else tuple("ABCDEFGH"), []) == wanted


@given(lists(sampled_from(PAIRS), unique=True))
def test_what_is_advised_is_enough(pairs):
    read = distances(pairs)
    wanted = lacking(CORNERS, read)
    if wanted == 0:
        return
    advice = next_readings(CORNERS, read).removeprefix("Measure ").removesuffix(".")
    if " or " in advice or wanted == 1:
        for offer in advice.replace(" or ", ", ").split(", "):
            assert lacking(CORNERS, [*read, *distances([offer.split("-")])]) == 0
    else:
        offers = [offer.split("-") for offer in advice.replace(" and ", ", ").split(", ")]
        assert len(offers) == wanted
        assert lacking(CORNERS, [*read, *distances(offers)]) == 0


@given(integers(0, 4))
def test_heights_and_square_corners_count_as_readings(at):
    corner, before, after = CORNERS[at], CORNERS[at - 1], CORNERS[(at + 1) % 5]
    side = distances([(corner, before)])
    square = Square(corner, before, after, 0.1, "")
    height = Height(CORNERS[at - 2], corner, before, 1.0, 1.0, "")
    assert lacking(CORNERS, [*side, square, height]) == 4


def test_four_square_corners_of_a_board_count_as_three():
    # The angles of a quadrangle sum to 360° whatever it is.
    board = CORNERS[:4]
    squares = [Square(board[i], board[i - 1], board[(i + 1) % 4], 0.1, "") for i in range(4)]
    assert lacking(board, squares) == 2


def test_against_a_motion_the_readings_that_feel_it_are_offered():
    #  C swings sideways over B: only what reaches C from the side feels that.
    points = np.array([(0, 0), (600, 0), (600, 900), (0, 900.0)])
    motion = np.array([(0, 0), (0, 0), (1, 0), (0, 0.0)])
    read = distances([("A", "B"), ("B", "C"), ("D", "A")])
    assert readings_against(motion, points, CORNERS[:4], read) == "Measure C-D or A-C."
