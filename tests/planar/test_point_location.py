"""What faces a place from its left, worked on the page."""

import itertools

import numpy as np
import pytest

from mateline.planar.chains import Chains
from mateline.planar.point_location import half_edges_left_of, winding_numbers

HAIR = 2.0**-52  # of 1: the next number
#  1 |     |\   p      the second line leans from a hair right of the first one to its upper end: at
#    |     | |         any height it is the nearer one, by less than numbers can tell
#  0 o     o-o
FAR = [(0, 0), (0, 1)]
UPRIGHT = [(1, 0), (1, 1)]
LEANING = [(1 + HAIR, 0), (1, 1)]


def chains(*lines):
    offsets = np.cumsum([0, *(len(line) for line in lines)])
    return Chains(np.vstack(lines).astype(float), offsets)


@pytest.mark.parametrize("order", list(itertools.permutations([FAR, UPRIGHT, LEANING])))
@pytest.mark.parametrize("down", [False, True])
@pytest.mark.parametrize("height", [0.25, 0.5, 0.75])
def test_the_nearest_of_edges_that_numbers_cannot_tell_apart_faces_a_place(order, down, height):
    lines = [line[::-1] if down else line for line in order]
    (half,) = half_edges_left_of(chains(*lines), np.array([(2.0, height)]))
    assert half == 2 * order.index(LEANING) + (not down)  # walked down it has the place on its left


def test_rings_wind_around_the_places_within_them():
    square = [(0, 0), (4, 0), (4, 4), (0, 4), (0, 0)]
    inner = [(1, 1), (1, 3), (3, 3), (3, 1), (1, 1)]  # clockwise
    places = np.array([(2.0, 2.0), (0.5, 2.0), (5.0, 2.0), (-1.0, 2.0), (2.0, 0.5)])
    assert winding_numbers(chains(square), places).tolist() == [1, 1, 0, 0, 1]
    assert winding_numbers(chains(square, square), places).tolist() == [2, 2, 0, 0, 2]
    assert winding_numbers(chains(square, inner), places).tolist() == [0, 1, 0, 0, 1]
