"""Curved boards in pictures: closed bodies of a few facets, near the true ones."""

import math

import numpy as np
import pytest

from curved_boxes import BOWED, HEELS, HOLLOW, ROUNDED, curved
from mateline.cabinet.volume import volume
from mateline.exports.picture.projection import CURVE_FACETS, facets

BOXES = {"bow": (BOWED, ""), "hollow": (HOLLOW, ""), "round": (ROUNDED, HEELS)}


@pytest.mark.parametrize("view", ["side", "plan", "front"])
@pytest.mark.parametrize(
    ("curves", "panels"),
    [(BOWED, ""), (HOLLOW, ""), (ROUNDED, HEELS)],
    ids=["bow", "hollow", "round"],
)
def test_a_curved_board_is_a_closed_body_about_as_large_as_it_is(curves, panels, view):
    cabinet = curved(curves, panels, view=view)
    drawn = facets(cabinet.faces)
    for face in cabinet.faces:
        own = [facet.points for facet in drawn if facet.face == face.name]
        # By the divergence theorem, each facet as a fan from its first corner.
        size = (
            sum(
                float(np.linalg.det(np.array([ring[0], ring[at], ring[at + 1]])))
                for ring in own
                for at in range(1, len(ring) - 1)
            )
            / 6
        )
        assert size == pytest.approx(volume(face.panel), rel=0.03), face.name


def test_a_bow_is_a_few_facets_that_together_are_its_face():
    cabinet = curved()
    face = cabinet.face("box-high")
    drawn = [each for each in facets(cabinet.faces) if each.face == face.name]
    outside = [each for each in drawn if each.kind == "strip"]
    assert len(outside) == CURVE_FACETS
    assert sum(each.area.area for each in outside) == pytest.approx(face.outline.area, rel=1e-9)
    # Lines are drawn at its two straight ends only.
    assert sum(each.kind == "cut" for each in drawn) == 2
    # Neighbouring facets turn by a twelfth of its bend.
    turn = math.acos(float(np.dot(outside[0].outward, outside[1].outward)))
    assert turn == pytest.approx(face.flat.bounds[3] / 520 / CURVE_FACETS, rel=0.05)
