"""Corners close to edges, against shapely's distance of every corner to every edge."""

import numpy as np
import pytest
import shapely

from mateline.pattern.clearance import near_edges

REACH = 3.0


def scattered(seed, middle):
    """Corners and edges round `middle`: most short, some as long as the drawing, some upright."""
    rng = np.random.default_rng(seed)
    starts = middle + rng.uniform(-100, 100, (120, 2))
    way = rng.normal(size=(120, 2)) * rng.choice([0.5, 6.0, 80.0], (120, 1))
    way[:20, 0] = 0.0
    way[20:40, 1] = 0.0
    corners = np.vstack([middle + rng.uniform(-100, 100, (150, 2)), starts[:30]])
    return corners, np.hstack([starts, starts + way])


@pytest.mark.parametrize("middle", [(0, 0), (-900, 400), (300, -2000)])
def test_every_corner_within_reach_of_an_edge_is_found_with_its_foot(middle):
    corners, edges = scattered(1, middle)
    near = near_edges(corners, edges, REACH)
    places, lines = shapely.points(corners), shapely.linestrings(edges.reshape(-1, 2, 2))
    apart = shapely.distance(places[:, None], lines)
    within = {tuple(pair) for pair in np.argwhere((apart > 0) & (apart <= REACH)).tolist()}
    assert len(within) > 50
    assert set(zip(near.corner.tolist(), near.edge.tolist(), strict=True)) == within
    known = apart[near.corner, near.edge]
    # A foot next to an end of its edge is that end: a thousandth aside, a millionth farther.
    assert near.distance == pytest.approx(known, rel=1e-6)
    assert shapely.distance(shapely.points(near.foot), lines[near.edge]).max() < 1e-9
    assert np.hypot(*(corners[near.corner] - near.foot).T) == pytest.approx(near.distance)


def test_a_foot_next_to_an_end_of_its_edge_is_that_end():
    """A corner 2 off: the foot is the end where it lies no farther than 0.002 from it."""
    edge = np.array([[0.0, 0.0, 10.0, 0.0]])
    for x, foot in ((0.0019, 0.0), (0.0021, 0.0021), (9.9979, 9.9979), (9.9981, 10.0)):
        near = near_edges(np.array([[x, 2.0]]), edge, REACH)
        assert near.foot.tolist() == [[foot, 0.0]]


def test_a_corner_on_its_edge_is_not_beside_it_and_one_at_the_reach_is():
    edge = np.array([[0.0, 0.0, 10.0, 0.0]])
    for y, found in ((0.0, 0), (1e-9, 1), (REACH, 1), (REACH * (1 + 1e-12), 0)):
        assert len(near_edges(np.array([[4.0, y]]), edge, REACH).corner) == found
