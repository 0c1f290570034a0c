"""What a higher shape covers is left out before noding, and nothing seen changes."""

import math

import numpy as np
import pytest
import shapely
from shapely import Polygon, box

from mateline.drawing.shapes import Shape
from mateline.errors import InputError
from mateline.pattern import occlusion as hidden
from mateline.pattern.pattern import Tiling, pattern_of, tiling
from mateline.planar.chains import Chains

FACE = box(0, 0, 400, 300)
COLOURS = ("#000001", "#000002", "#000003", "#000004")


def heap(count, seed):
    """Boxes, discs and frames at random, many deep."""
    rng = np.random.default_rng(seed)
    shapes = []
    for at in range(count):
        x, y = rng.uniform((-50, -50), (400, 300))
        turn = np.linspace(0, math.tau, int(rng.integers(5, 80)), endpoint=False)
        reach = rng.uniform(5, 120)
        area = (
            box(round(x, -1), round(y, -1), round(x, -1) + 60, round(y, -1) + 90),
            Polygon(np.column_stack([x + reach * np.cos(turn), y + reach * np.sin(turn)])),
            box(x, y, x + 200, y + 150).difference(box(x + 20, y + 20, x + 150, y + 130)),
        )[at % 3]
        shapes.append(Shape(area, COLOURS[int(rng.integers(4))], "shape"))
    return shapes


@pytest.mark.parametrize("seed", range(6))
def test_leaving_out_what_is_hidden_changes_no_region(monkeypatch, seed):
    shapes = heap(150, seed)
    made = pattern_of(shapes, FACE, base="#ffffff")
    monkeypatch.setattr(hidden, "FEW", len(shapes) + 1)
    whole = pattern_of(shapes, FACE, base="#ffffff")
    assert tiling(made, FACE) == Tiling(0.0, 0.0, 0)
    assert len(made.regions) == len(whole.regions)
    for one, other in zip(made.regions, whole.regions, strict=True):
        assert (one.colour, one.sources) == (other.colour, other.sources)
        assert shapely.symmetric_difference(one.area, other.area).area < 1e-6


def test_of_a_stack_only_the_top_and_what_sticks_out_is_noded():
    stack = [box(100, 100, 200, 200 + step) for step in range(hidden.FEW, 0, -1)]
    layers = np.array([*stack, box(90, 90, 210, 290), FACE], dtype=object)
    corners = shapely.get_coordinates(layers)
    rings = Chains(corners, np.arange(0, len(corners) + 1, 5))
    lines, layer = hidden.without_occluded(rings, np.arange(1, len(layers) + 1), layers)
    assert sorted(layer.tolist()) == [len(layers) - 1, len(layers)]
    long = [shapely.LineString(part).length for part in np.split(lines.points, lines.offsets[1:-1])]
    assert sum(long) == pytest.approx(1400 + 2 * (120 + 200))


def test_too_many_crossings_are_refused_and_not_begun():
    rng = np.random.default_rng(5)
    turn = np.linspace(0, math.tau, 64, endpoint=False)
    ring = np.column_stack([np.cos(turn), np.sin(turn)])
    frames = [
        Shape(Polygon(100 * ring + at, [99 * ring + at]), COLOURS[0], "frame")
        for at in rng.uniform((120, 120), (280, 180), (3000, 2))
    ]
    with pytest.raises(InputError, match="Too many of its 3000 shapes lie across each other"):
        pattern_of(frames, FACE, base="#ffffff")
