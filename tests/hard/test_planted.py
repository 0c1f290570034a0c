"""Faults of known place and size are planted in a drawing, and all are listed once and mended.

Each cell of a face gets one pair of shapes, turned anyhow:

    gap       +---+ +---+    a strip of nothing between two shapes
    sliver    +---|=|---+    a strip of one colour inside another
    overlap   +---[ ]---+    the upper shape is the one seen: nothing to mend
    doubled   the same shape twice, or nearly
    wide      the same faults, wider than the tolerance: they are meant
"""

import math

import numpy as np
import pytest
import shapely
from shapely import box

from mateline.drawing.shapes import Shape
from mateline.pattern.pattern import Tiling, pattern_of, tiling
from mateline.pattern.repair import repaired

FACE = box(0, 0, 400, 300)
COLOURS = ("#ff0000", "#0000ff", "#00ff00", "#ffcc00")
WHITE = "#ffffff"
TOL = 0.02  # mm
PITCH = 2.0**-44 * 512  # mm: of the finest grid, for a face of 400
NARROW = (1e-6, 0.001, 0.005, 0.01, 0.019)  # mm
WIDE = (0.0202, 0.025, 0.05, 0.2)  # mm


def pair(kind, wide, high, width):
    """Two areas, the second on top, and the fault between them: its area, length and width."""
    left, right = box(-wide, -high, 0, high), box(width, -high, wide, high)
    whole = box(-wide, -high, wide, high)
    match kind:
        case "gap":
            return left, right, (box(0, -high, width, high), 2 * high, width)
        case "sliver":
            strip = box(0, -high / 2, width, high / 2)
            return whole, strip, (strip, high, width)
        case "overlap":
            return left, box(-width, -high, wide, high), None
        case "doubled":
            return whole, box(-wide + width / 2, -high, wide, high), (whole, 0.0, 0.0)


def planted(seed):
    """Shapes, the faults to be mended, and those that are meant, each with its kind."""
    rng = np.random.default_rng(seed)
    shapes, faults, meant = [], [], []
    for x in range(35, 400, 66):
        for y in range(40, 300, 73):
            kind = str(rng.choice(["gap", "sliver", "overlap", "doubled"]))
            narrow = bool(rng.random() < 0.6)
            width = float(rng.choice(NARROW if narrow else WIDE))
            turn = rng.uniform(0, math.pi)

            def put(area, x=x, y=y, turn=turn):
                area = shapely.affinity.rotate(area, turn, (0, 0), use_radians=True)
                return shapely.affinity.translate(area, x, y)

            sizes = rng.uniform(8, 15), rng.uniform(10, 20)
            lower, upper, fault = pair(kind, *sizes, width if kind != "doubled" else 2 * width)
            colours = rng.permutation(COLOURS)
            shapes += [Shape(put(lower), str(colours[0]), "lower"),
                       Shape(put(upper), str(colours[1]), "upper")]  # fmt: skip
            if fault is not None:
                area, long, wide = fault
                area = put(area)
                if kind == "doubled":  # of these the box is told
                    low_x, low_y, high_x, high_y = area.bounds
                    wide, long = sorted((high_x - low_x, high_y - low_y))
                (faults if narrow else meant).append((kind, area, long, wide))
    return shapes, faults, meant


@pytest.mark.parametrize("seed", range(24))
def test_each_planted_fault_is_listed_once_with_its_place_and_size(seed):
    shapes, faults, _ = planted(seed)
    pattern, repairs = repaired(shapes, FACE, TOL, base=WHITE)
    assert tiling(pattern, FACE) == Tiling(0.0, 0.0, 0)
    left = list(repairs)
    for kind, area, long, wide in faults:
        place = area.buffer(TOL)
        own = [one for one in left if one.kind == kind and place.covers(shapely.Point(one.at))]
        assert len(own) == 1, (kind, long, wide, own)
        assert own[0].size[0] == pytest.approx(long, abs=3 * TOL)
        assert own[0].size[1] == pytest.approx(wide, rel=0.02, abs=TOL if kind == "doubled" else 0)
        left.remove(own[0])
    assert left == []  # and nothing else is listed


@pytest.mark.parametrize("seed", range(24))
def test_only_what_is_in_a_planted_fault_changes_its_colour(seed):
    shapes, faults, meant = planted(seed)
    before = pattern_of(shapes, FACE, base=WHITE)
    after, _ = repaired(shapes, FACE, TOL, base=WHITE)
    moved = 0.0
    rims = [area.boundary if kind == "doubled" else area for kind, area, _, _ in faults]
    near = shapely.union_all(rims).buffer(1.5 * TOL)
    for colour in (*COLOURS, WHITE):
        was, now = (
            shapely.union_all([one.area for one in pattern.regions if one.colour == colour])
            for pattern in (before, after)
        )
        changed = was.symmetric_difference(now)
        moved += changed.area / 2  # what one colour loses another one wins
        # Twins of edges are laid together on a grid, which moves any corner by half its pitch.
        assert changed.difference(near).area < PITCH * was.length
    allowed = sum(
        area.length * TOL if kind == "doubled" else long * wide for kind, area, long, wide in faults
    )
    assert moved <= allowed * 1.02 + 1e-9
    for kind, area, _, _ in meant:
        if kind != "doubled":
            middle = area.centroid
            colours = [
                {one.colour for one in pattern.regions if one.area.contains(middle)}
                for pattern in (before, after)
            ]
            assert colours[0] == colours[1]
            assert len(colours[0]) == 1
