"""Meshes of curved boards: closed, with their vertices on the true cylinder."""

import numpy as np
import pytest

from curved_boxes import BOWED, HEELS, HOLLOW, ROUNDED, board, curved
from mateline.cabinet.volume import volume
from mateline.exports.solid.indexed_mesh import indexed
from mateline.exports.solid.net import SEEN
from mateline.exports.solid.skin import skin

WOOD = "#d8b98a"


def size_of(skin):
    a, b, c = np.moveaxis(skin.triangles, 1, 0)
    return float((a * np.cross(b, c)).sum()) / 6


BOXES = {"bow": (BOWED, ""), "hollow": (HOLLOW, ""), "round": (ROUNDED, HEELS)}


@pytest.mark.parametrize("view", ["side", "plan", "front"])
@pytest.mark.parametrize(
    ("curves", "panels"),
    [(BOWED, ""), (HOLLOW, ""), (ROUNDED, HEELS)],
    ids=["bow", "hollow", "round"],
)
def test_every_board_is_closed_and_as_large_as_its_facets_allow(curves, panels, view):
    for face in curved(curves, panels, view=view).faces:
        made = skin(face.panel, (), WOOD)
        indexed(made)  # which refuses what is not closed
        # A ring in facets of the angle a is a share a^2 / 6 = 4 d / 3 R smaller, where its facets
        # leave it by d; what flat boards end in is 0.005 mm off their outlines at most.
        bend = face.panel.bend
        share = 4 * SEEN / (3 * abs(bend.radius)) if bend else 0.0
        slack = 0.005 * face.outline.length * 18
        assert abs(size_of(made) - volume(face.panel)) < share * volume(face.panel) + slack


def test_vertices_lie_on_the_two_cylinders():
    panel = board(curved(view="plan", curves="A-B = { rise = 40 }"), "low")
    made = skin(panel, (), WOOD)
    # About (200, 480), as the middle of the front is 40 before the chord and the radius is 520.
    away = np.unique(np.round(np.hypot(*(made.triangles.reshape(-1, 3)[:, :2] - (200, 480)).T), 6))
    assert away == pytest.approx([502, 520], abs=1e-5)
