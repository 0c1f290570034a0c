"""Pieces mate in the files too: the same borders, to the last digit written."""

import io
from collections import Counter
from dataclasses import replace
from functools import cache

import ezdxf
import numpy as np
import pytest
import shapely
from shapely import Polygon

from dxf_reading import entity_length
from mateline.borders.refit import refit
from mateline.cabinet.hole import Hole
from mateline.curves import length
from mateline.exports.cut.dxf import stencil_dxf
from mateline.exports.cut.svg import stencil_svg
from mateline.exports.picture.painted import painted_svg
from mateline.stencil.cutting.cut_path import cut_path
from stencils import FRONT, board, painted_by
from svg_reading import Arc, parsed, paths, segments

SIZE = (600.0, 400.0)
BOLT = Hole("bolt", "round", (300.0, 200.0), 24.0, 24.0, stays=True, margin=3.0)


@cache
def lamps():
    """Thirty discs and beams over one another, at random but always the same, with true borders."""
    chance = np.random.default_rng(11)
    shapes = []
    for colour in chance.choice(["sea blue", "sun yellow", "cream"], 30):
        x, y, reach, lean = chance.random(4) * (*SIZE, 60, 6)
        disc = shapely.Point(x, y).buffer(10 + reach, quad_segs=64)
        beam = shapely.affinity.rotate(shapely.box(x, y, x + 300, y + 25), lean * 60, origin=(x, y))
        shapes += [(str(colour), disc), ("sun yellow", beam)]
    stencil = painted_by(board("front", FRONT, SIZE, holes=[BOLT]), shapes)
    return replace(stencil, chains=refit(stencil.pattern, 0.02))


def ways(data):
    """Every segment of path data by its ends, and for an arc its radius, whichever way it runs."""
    return [
        (frozenset({part.start, part.end}), part.radii[0] if isinstance(part, Arc) else None)
        for part in segments(data)
    ]


def test_the_specimen_is_worth_it():
    stencil = lamps()
    assert len(stencil.pieces) > 30
    assert (
        sum(segment.centre is not None for chain in stencil.chains for segment in chain.segments)
        > 30
    )


def test_every_segment_of_a_painted_face_is_a_cut_once_and_a_neighbours_too():
    stencil = lamps()
    painted = Counter(
        way for path in paths(parsed(painted_svg(stencil))) for way in ways(path.get("d"))
    )
    (cut,) = [group for group in parsed(stencil_svg(stencil)) if group.get("id") == "cut"]
    inner, outer = Counter(), Counter()
    order = [at if at >= 0 else ~at for run in cut_path(stencil.pattern).strokes for at in run]
    for path, at in zip(paths(cut), order, strict=True):
        border = stencil.pattern.borders[at]
        (outer if -1 in {border.left, border.right} else inner).update(ways(path.get("d")))
    assert set(inner.values()) == set(outer.values()) == {1}
    assert painted == inner + inner + outer


def test_a_dxf_has_every_border_once_at_its_length():
    stencil = lamps()
    document = ezdxf.read(io.StringIO(stencil_dxf(stencil)))
    assert not document.audit().errors
    cut = document.modelspace().query('*[layer=="CUT"]')
    found = [entity_length(entity) for entity in cut]
    known = [length(chain) for chain in stencil.chains]
    assert sorted(found) == pytest.approx(sorted(known), abs=1e-4)


def test_painted_areas_are_those_of_the_pieces():
    stencil = lamps()
    found = [_area(path.get("d")) for path in paths(parsed(painted_svg(stencil)))]
    for area, region in zip(found, stencil.pattern.regions, strict=True):
        assert area == pytest.approx(region.area.area, abs=0.02 * region.area.length)
    face = Polygon([(0, 0), (SIZE[0], 0), SIZE, (0, SIZE[1])]).area
    assert sum(found) == pytest.approx(face - np.pi * 15**2, abs=0.05)


def _area(data):
    """Green's theorem over lines and arcs as read; y down turns the sign."""
    total = 0.0
    for part in segments(data):
        (ax, ay), (bx, by) = part.start, part.end
        total -= (ax * by - bx * ay) / 2
        if isinstance(part, Arc):
            total -= part.radii[0] ** 2 * (part.turn - np.sin(part.turn)) / 2
    return total
