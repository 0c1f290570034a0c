"""Instances of ESICUP's nesting problems, through our nester: densities that the papers reach.

"fu": 12 convex shapes on a strip 38 high, quarter turns (Fujita, Akagi and Hirokawa, 1993).
"blaz1", also called shapes2: 7 shapes, 4 of each, on a strip 15 high, half turns (Blazewicz,
Hawryluk and Walkowiak, 1993). Their corners are those of the files fu.json and blaz1.json among
the assets of the library jagua-rs, read in November 2026. Best known densities and lengths:
Elkeran, European Journal of Operational Research 231 (2013), table 2; from memory.
"""

import math
from dataclasses import dataclass

import pytest
from shapely import Polygon

from mateline.stencil.sheets.nesting import HALVES, QUARTERS, nested_on_sheets

SCALE = 100.0  # so that the gap and the outline's tolerance don't count
LONGER = 1.09  # of the best known length: what a few seconds surely reach


@dataclass(frozen=True)
class Instance:
    shapes: list[list[tuple[float, float]]]
    high: float
    long: float  # best known
    density: float  # best known
    turns: tuple[float, ...]


FU = Instance(
    [
        [(0, 0), (10, 0), (10, 10), (0, 10)],
        [(0, 0), (10, 0), (10, 10), (0, 10)],
        [(0, 0), (14, 0), (14, 9), (0, 9)],
        [(0, 0), (14, 0), (7, 7)],
        [(0, 9), (0, 0), (14, 9)],
        [(0, 0), (14, 0), (14, 14), (0, 14)],
        [(0, 0), (10, 4), (10, 9), (0, 9)],
        [(0, 0), (5, 0), (5, 9), (0, 9)],
        [(0, 0), (14, 0), (14, 14)],
        [(0, 0), (10, 0), (10, 10), (0, 14)],
        [(0, 8), (4, 0), (8, 8)],
        [(0, 0), (14, 0), (7, 12)],
    ],
    38,
    30.84,
    0.9241,
    QUARTERS,
)
BLAZ1 = Instance(
    4
    * [
        [(0, 0), (2, -1), (4, 0), (4, 3), (2, 4), (0, 3)],
        [(0, 0), (3, 0), (2, 2), (3, 4), (3, 5), (1, 5), (-1, 3), (-1, 1)],
        [(0, 0), (2, 0), (3, 1), (3, 3), (2, 4), (0, 4), (-1, 3), (-1, 1)],
        [(0, 0), (2, 1), (4, 0), (3, 2), (4, 5), (2, 4), (0, 5), (1, 3)],
        [(0, 0), (5, 0), (5, 5), (4, 5), (3, 3), (2, 2), (0, 1)],
        [(0, 0), (2, 3), (-2, 3)],
        [(0, 0), (2, 0), (2, 2), (0, 2)],
    ],
    15,
    25.84,
    0.8360,
    HALVES,
)
INSTANCES = {"fu": FU, "blaz1": BLAZ1}


@pytest.mark.parametrize("name", INSTANCES)
def test_the_instance_is_the_published_one(name):
    """Area, height, length and density agree, of which the last two come from the papers."""
    it = INSTANCES[name]
    area = sum(Polygon(shape).area for shape in it.shapes)
    assert area / (it.high * it.long) == pytest.approx(it.density, abs=2e-4)


@pytest.mark.parametrize("name", INSTANCES)
def test_all_shapes_fit_a_sheet_that_is_little_longer_than_the_best_known(name):
    it = INSTANCES[name]
    shapes = {
        f"shape {at}": Polygon([(SCALE * x, SCALE * y) for x, y in shape])
        for at, shape in enumerate(it.shapes)
    }
    sheet = (SCALE * it.long * LONGER, SCALE * (it.high + 0.01))
    # The nester goes by the clock: a machine that others use too is given more of it.
    for seconds in (8, 24, 80):
        found = nested_on_sheets(shapes, sheet, gap=0.2, turns=it.turns, seconds=seconds)
        if all(each.sheet == 0 for each in found):
            break
    assert len(found) == len(it.shapes)
    assert {each.sheet for each in found} == {0}
    assert all(
        min(abs(math.remainder(each.turn - turn, math.tau)) for turn in it.turns) < 1e-6
        for each in found
    )
