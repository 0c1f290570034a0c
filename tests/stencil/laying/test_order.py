"""The order of laying, against touching found again from the areas themselves."""

from pathlib import Path

import pytest
import shapely
from shapely import Polygon

from mateline.stencil.laying.order import first_side, laying_order
from mateline.stencil.laying.sides import sides_of
from mateline.stencil.laying.touching import touching
from mateline.survey import surveyed
from stencils import FRONT, board, painted_by

CABINET = Path(__file__).parents[3] / "cabinets" / "harbour-lights"
LEAST = 0.5  # mm of border: what shares less does not touch


@pytest.fixture(scope="module")
def job():
    return surveyed(CABINET)


def ordered(stencil):
    sides = sides_of(stencil.face, (), 0.0)
    return sides, laying_order(stencil, sides, touching(stencil, sides))


def touching_areas(stencil):
    """Which pieces share a border, and which lie on the face's rim, by their areas."""
    areas = [piece.area for piece in stencil.pieces]
    tree = shapely.STRtree(areas)
    beside = {at: set() for at in range(len(areas))}
    for one, other in zip(*tree.query(areas, predicate="intersects").tolist(), strict=True):
        shared = areas[one].boundary.intersection(areas[other].boundary)
        if one != other and shared.length >= LEAST:
            beside[one].add(other)
    rim = shapely.get_exterior_ring(stencil.face.outline).buffer(0.02)
    return beside, [area.boundary.intersection(rim).length >= LEAST for area in areas]


@pytest.mark.parametrize("face", ["body-left", "head-front", "body-top"])
def test_each_next_piece_touches_two_that_lie_or_one_and_an_edge(job, face):
    (stencil,) = (each for each in job.stencils if each.face.name == face)
    _, steps = ordered(stencil)
    beside, on_rim = touching_areas(stencil)
    assert sorted(step.piece for step in steps) == [*range(len(stencil.pieces))]
    along = {step.piece: len(step.sides) for step in steps}
    assert [along[at] > 0 for at in range(len(on_rim))] == on_rim
    lies = set()
    for step in steps:
        assert set(step.against) == beside[step.piece] & lies
        if not step.held and lies:
            # The best there is: of those that touch what lies, none has two.
            left = beside.keys() - lies
            assert all(len(beside[at] & lies) + along[at] < 2 for at in left if beside[at] & lies)
        lies.add(step.piece)


def test_the_first_piece_lies_in_a_corner_of_the_longest_side(job):
    (stencil,) = (each for each in job.stencils if each.face.name == "body-left")
    sides, (first, *_) = ordered(stencil)
    assert first_side(sides) in first.sides
    assert len(first.sides) >= 2


#  0   100  200  300
#  +----+----+----+ 200     four tiles on the floor, a lintel over all, an island in one tile
#  |    lintel    |
#  +----+----+----+ 100
#  | a  | b  | c  |
#  +----+----+----+ 0
def test_a_row_is_laid_along_the_floor_before_what_lies_over_it():
    tiles = [Polygon.from_bounds(at, 0, at + 100, 100) for at in (0, 100, 200)]
    island = Polygon.from_bounds(130, 30, 170, 70)
    stencil = painted_by(
        board("front", FRONT, (300.0, 200.0)),
        [("sea blue", tiles[0]), ("sun yellow", tiles[1]), ("sea blue", tiles[2]),
         ("cream", island)],
    )  # fmt: skip
    _, steps = ordered(stencil)
    middles = [stencil.pieces[step.piece].area.centroid.coords[0] for step in steps]
    assert [pytest.approx(at) for at in middles] == [
        (50, 50), (150, 50), (250, 50), (150, 150), (150, 50)
    ]  # fmt: skip
    assert [step.held for step in steps] == [True] * 4 + [False]
    island_step = steps[-1]
    assert len(island_step.against) == 1
    assert island_step.sides == ()


def test_corners_that_only_meet_do_not_touch():
    # Four squares about the middle: those across from each other share a point.
    squares = [("sea blue", Polygon.from_bounds(0, 0, 100, 100)),
               ("sea blue", Polygon.from_bounds(100, 100, 200, 200))]  # fmt: skip
    stencil = painted_by(board("front", FRONT, (200.0, 200.0)), squares)
    touch = touching(stencil, sides_of(stencil.face, (), 0.0))
    assert [len(each) for each in touch.pieces] == [2] * 4
    assert [sum(each.values()) for each in touch.pieces] == pytest.approx([200] * 4)
    assert [sum(each.values()) for each in touch.sides] == pytest.approx([200] * 4)
