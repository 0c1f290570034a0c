"""Trails that cover a graph: Euler, Solutio problematis ad geometriam situs pertinentis (1736)."""

import itertools

import pytest

from mateline.stencil.cutting.euler_trails import lifts, odd_nodes, trails_through

# Land A is the Kneiphof island; two bridges each to B and C, one to D; one each from D to B and C.
KONIGSBERG = [(0, 1), (0, 1), (0, 2), (0, 2), (0, 3), (1, 3), (2, 3)]
HOUSE = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3), (3, 4), (4, 2)]  # St Nicholas' house
PETERSEN = [
    *((at, (at + 1) % 5) for at in range(5)),
    *((at, at + 5) for at in range(5)),
    *((5 + at, 5 + (at + 2) % 5) for at in range(5)),
]
CUBE = [(a, b) for a, b in itertools.combinations(range(8), 2) if (a ^ b).bit_count() == 1]
OCTAHEDRON = [(a, b) for a, b in itertools.combinations(range(6), 2) if a + b != 5]


def complete(count):
    return list(itertools.combinations(range(count), 2))


def grid(wide, high):
    """The grid graph, P_wide x P_high: its nodes on the rim, but for the corners, have degree 3."""
    across = [(wide * y + x, wide * y + x + 1) for y in range(high) for x in range(wide - 1)]
    return across + [(at, at + wide) for at in range(wide * (high - 1))]


@pytest.mark.parametrize(("wide", "high"), [(3, 3), (4, 3), (5, 5), (7, 4)])
def test_a_grid_takes_as_many_trails_as_half_its_rim_without_corners(wide, high):
    """2 (wide - 2) + 2 (high - 2) odd nodes (elementary), so wide + high - 4 trails."""
    edges = grid(wide, high)
    places = [(float(at % wide), float(at // wide)) for at in range(wide * high)]
    found = trails_through(dict(enumerate(edges)), places)
    assert len(found) == wide + high - 4
    used = sorted(border if border >= 0 else ~border for trail in found for border in trail)
    assert used == list(range(len(edges)))


@pytest.mark.parametrize(
    ("edges", "odd", "trails"),
    [
        (KONIGSBERG, 4, 2),  # Euler, sections 20 and 21: all four lands are odd
        (HOUSE, 2, 1),
        (complete(4), 4, 2),
        (complete(5), 0, 1),
        (complete(6), 6, 3),
        (PETERSEN, 10, 5),  # cubic, ten nodes
        (CUBE, 8, 4),
        (OCTAHEDRON, 0, 1),
        ([(0, 0)], 0, 1),  # one circle
        ([(0, 0), (0, 1)], 2, 1),
    ],
)
def test_known_graphs_take_half_as_many_trails_as_they_have_odd_nodes(edges, odd, trails):
    borders = dict(enumerate(edges))
    places = [(float(at * at % 7), float(at * 3 % 5)) for at in range(10)]
    assert len(odd_nodes(borders)) == odd
    assert lifts(borders) == trails
    found = trails_through(borders, places)
    assert len(found) == trails
    used = sorted(border if border >= 0 else ~border for trail in found for border in trail)
    assert used == list(range(len(edges)))
    for trail in found:
        walk = [edges[b] if b >= 0 else edges[~b][::-1] for b in trail]
        assert all(before[1] == after[0] for before, after in itertools.pairwise(walk))
