"""Worn rims lie further out than sound ones; a view is solved by how places of one look scatter."""

import numpy as np
import pytest

from mateline.capture.squaring.adjustment import Manner, Observed, adjusted, started
from mateline.capture.squaring.edge_places import EdgePlaces, alike, none_of
from mateline.capture.squaring.error_map import errors_at, spots_of
from mateline.capture.squaring.outline import outline_of, places_on
from mateline.capture.squaring.sights import Sights
from mateline.capture.squaring.view import View, pixels_of, places_of
from scenes.design import upright

SIZE = (1000, 1300)
VIEW = View(((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0)), (-150.0, 200.0, 700.0), 1800.0,
            (500.0, 650.0), -0.05)  # fmt: skip
PAINT, WOOD = (0.9, 0.85, 0.7), (0.72, 0.55, 0.37)
OUTLINE = outline_of("side", upright(300, 400))


def edges_with(worn, out, seed):
    """Places on every edge, a share of them `worn`: those lie `out` px, and scatter by 0.2 px."""
    chance = np.random.default_rng(seed)
    found = []
    for edge in range(len(OUTLINE)):
        shares = np.linspace(0.05, 0.95, 24)
        there = pixels_of(VIEW, places_on(OUTLINE, OUTLINE.corners, edge, shares))
        way = there[-1] - there[0]
        normals = np.tile(np.array([-way[1], way[0]]) / np.hypot(*way), (24, 1))
        wood = chance.random(24) < worn
        off = np.where(wood, chance.normal(out, 0.2, 24), chance.normal(0, 0.02, 24))
        looks = np.where(wood[:, None], WOOD, PAINT) + chance.normal(0, 0.01, (24, 3))
        found.append(
            EdgePlaces(edge, 24, shares, there + off[:, None] * normals, normals,
                       np.full(24, 0.02), looks)
        )  # fmt: skip
    return tuple(found)


def solved(worn, out, seed):
    """The map's true and expected errors, mm rms."""
    observed = Observed(edges_with(worn, out, seed), Sights(), SIZE)
    first = adjusted(started(VIEW, OUTLINE), OUTLINE, observed)
    view = adjusted(first, OUTLINE, observed, Manner(by_look=True))
    spots = spots_of(OUTLINE, VIEW, SIZE)
    off = places_of(view.view, pixels_of(VIEW, spots)) - spots
    foreseen = errors_at(view.view, view.covariance, spots)
    return np.sqrt((off**2).sum(axis=1).mean()), np.sqrt((foreseen**2).mean())


@pytest.mark.parametrize("worn", [0.3, 0.6])
def test_how_far_out_worn_rims_lie_hardly_moves_the_face(worn):
    """Two thirds of the rim 0.3 px out would make the face 0.2 px wider, were all places alike."""
    errors = np.array([solved(worn, 0.3, seed) for seed in range(8)])
    assert np.sqrt((errors[:, 0] ** 2).mean()) < 0.015
    assert 1 / 1.5 < np.sqrt(((errors[:, 0] / errors[:, 1]) ** 2).mean()) < 1.5


def test_places_of_one_look_are_looked_for_on_all_edges():
    edges = (*edges_with(0.5, 0.0, 1)[:2], none_of(2, 24), edges_with(0.5, 0.0, 2)[3])
    looks = np.vstack([each.looks for each in edges if len(each)])
    wood = looks[:, 2] < 0.5
    found = alike(edges)
    assert found.shape == (72, 32)
    assert (found[:, 0] == np.arange(72)).all()
    assert (wood[found].mean(axis=1)[wood] > 0.7).all()
    assert (np.ptp(found, axis=1) > 24).all()
