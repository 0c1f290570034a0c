"""Which edges run along a noded chain, against shapely's distances of all to all."""

import math

import numpy as np
import pytest
import shapely
from shapely import Polygon, box

from mateline.pattern.arrangement import _noded, _rings
from mateline.pattern.ring_edges import edges_along, edges_of, sampled_edges, without_twins

NEAR = 1e-9  # of an extent of 400: noding rounds to 1e-13


def crossed(seed):
    """Triangles and boxes that cross each other, two of them with a side in common, in a face."""
    rng = np.random.default_rng(seed)
    turns = np.sort(rng.uniform(0, math.tau, (12, 3)), axis=1)
    way = np.stack([np.cos(turns), np.sin(turns)], axis=-1)
    rings = rng.uniform((90, 70), (310, 230), (12, 1, 2)) + 60 * way
    sides = [box(100, 50, 200, 150), box(200, 50, 300, 150)]
    return np.array([*map(Polygon, rings), *sides, box(0, 0, 400, 300)], dtype=object)


@pytest.mark.parametrize("seed", range(3))
def test_every_edge_that_a_chain_was_cut_from_runs_along_it_and_no_other(seed):
    lines, layer = _rings(crossed(seed))
    edges = edges_of(lines, layer, outside=15)
    chains = _noded(without_twins(lines, edges), 0.0)
    at = sampled_edges(chains)
    rings = shapely.linestrings(edges.ends.reshape(-1, 2, 2))
    first, last = shapely.points(chains.points[at]), shapely.points(chains.points[at + 1])
    off = np.maximum(*(shapely.distance(each[:, None], rings) for each in (first, last)))
    known = {tuple(pair) for pair in np.argwhere(off < NEAR).tolist()}
    chain, edge = edges_along(chains, edges, 0.0)
    assert len(known) > 2 * len(crossed(seed))
    assert set(zip(chain.tolist(), edge.tolist(), strict=True)) == known
