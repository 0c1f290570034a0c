"""Casts against a projector of the tests' own, on random cabinets."""

import math

import numpy as np
import pytest
import shapely
from shapely import Polygon, box

from boxes import built, square
from mateline.cabinet.cabinet import Cabinet
from mateline.curves import FACET
from mateline.drawing.shapes import drawing_of
from mateline.errors import InputError, InputFaultsError
from mateline.placing.art import Anchored, Landmarks
from projections import SIDES, Bands, cast, compared


def upright(random):
    """A box with a sloped or stepped outline, random joints, bevels and rounds."""
    view = random.choice(["side", "plan", "front"])
    corners = {"A": (0, 0), "B": (400, 0), "C": (400, 500), "D": (150, 500), "E": (0, 300)}
    moved = {name: random.uniform(-40, 40, 2) + at for name, at in corners.items()}
    points = "\n".join(f"{name} = [{x:.3f}, {y:.3f}]" for name, (x, y) in moved.items())
    ends = {"side": ("left", "right"), "plan": ("bottom", "top"), "front": ("front", "back")}[view]
    boards = dict(zip("pqrst", ("A-B", "B-C", "C-D", "D-E", "E-A"), strict=True))
    panels = "\n".join(f'{name} = {{ edge = "{edge}" }}' for name, edge in boards.items())
    pairs = [(end, board) for end in ends for board in boards]
    pairs += list(zip("pqrst", "qrstp", strict=True))
    shaped, joints = [], []
    for first, second in pairs:
        kind = random.choice(["plain", "bevel", "lean", "round", "round"])
        size = random.uniform(3, 14)
        words = {
            "bevel": f"bevel = {size:.2f}",
            "lean": f"bevel = {size:.2f}, angle = {random.uniform(20, 70):.1f}",
            "round": f"round = {size:.2f}",
        }
        if kind in words and random.random() < 0.6:
            shaped.append(f'"{first} and {second}" = {{ {words[kind]} }}')
        joint = random.choice(["", f"{first} over {second}", f"{second} over {first}"])
        if joint and len(first) == 1:
            joints.append(f'"{joint}"')
    return f"""
[[carcase]]
name = "box"
view = "{view}"
corners = ["A", "B", "C", "D", "E"]
width = {random.uniform(200, 400):.2f}
board = 18
joints = [{", ".join(joints)}]
at = {{ x = 0, y = 0, z = 0, turn = {random.uniform(-30, 30):.2f} }}
[carcase.edges]
{chr(10).join(shaped)}
[carcase.outline.points]
{points}
[carcase.panels]
{panels}
"""


@pytest.mark.parametrize("block", range(4))
def test_a_face_has_at_every_place_the_colour_that_a_projector_casts_there(block):
    """Random uprights with random bevels, rounds and joints; each place on its own."""
    compare = 0
    for seed in range(block * 6, block * 6 + 6):
        random = np.random.default_rng(seed)
        try:
            cabinet = built(upright(random))
        except (InputError, InputFaultsError):
            continue  # a bevel that its corner has no room for
        side = str(random.choice(list(SIDES)))
        right, wrong = compared(cabinet, Bands(random), side, random, count=200)
        assert not wrong, (seed, side)
        compare += right
    assert compare > 4000


# The left side lies over the front, so it owns what is taken off their edge; it is 500 high.
EDGE = 'edges = {{ "left and front" = {{ {} }} }}'
EVERYWHERE = box(-1000, -1000, 1000, 1000)


def painted(more, side, *areas):
    """Areas painted on each face, by what is drawn in the view's own frame."""
    marks = [box(-1, -1, 1, 1), box(0, -1, 2, 1)]  # two landmarks, under all else
    drawing = drawing_of([(area, "red") for area in [*marks, *areas]])
    put = Landmarks((("1", (0.0, 0.0)), ("2", (1.0, 0.0))))
    return {
        each.face: [shape.area for shape in each.shapes[2:]]
        for each in cast(square(more), drawing, put, side)
    }


@pytest.mark.parametrize(("bevel", "strip"), [("bevel = 10", 10.0), ("bevel = 8, angle = 60", 8.0)])
def test_a_bevel_of_a_side_that_is_edge_on_is_all_that_is_painted_of_it(bevel, strip):
    found = painted(EDGE.format(bevel), "front", EVERYWHERE)
    (area,) = found["box-left"]
    assert area.area == pytest.approx(strip * 500)
    assert set(found) == {"box-left", "box-front"}


def test_without_a_bevel_a_side_that_is_edge_on_gets_nothing():
    assert set(painted("", "front", EVERYWHERE)) == {"box-front"}


def test_a_round_is_painted_from_either_side_as_far_as_it_turns():
    # A quarter of a round of 12 mm: 12 pi / 2 of true width, 500 high, looks to both sides.
    for side in ("front", "left"):
        (area,) = painted(EDGE.format("round = 12"), side, EVERYWHERE)["box-left"]
        flat = 500 * (400 - 12) if side == "left" else 0
        assert area.area == pytest.approx(500 * 12 * math.pi / 2 + flat, rel=1e-6)
    for side in ("right", "back", "top"):
        assert "box-left" not in painted(EDGE.format("round = 12"), side, EVERYWHERE)


def test_what_lies_on_a_round_is_as_wide_as_its_arc():
    # Seen from the front the round takes x from 0 to 12; x is 12 (1 - sin psi), where psi is how
    # far the place is turned away from the viewer. So 0 to 6 is psi from 90° down to 30°.
    bars = [box(0, 100, 6, 200), box(6, 100, 12, 200)]
    near, far = painted(EDGE.format("round = 12"), "front", *bars)["box-left"]
    assert near.area == pytest.approx(100 * 12 * math.pi / 3, rel=1e-6)
    assert far.area == pytest.approx(100 * 12 * math.pi / 6, rel=1e-6)
    # On the left side the front is at large x: 388 is the fold, and the arc ends 6 pi further.
    assert near.bounds == pytest.approx((388, 100, 388 + 4 * math.pi, 200))
    assert far.bounds == pytest.approx((388 + 4 * math.pi, 100, 388 + 6 * math.pi, 200))


def test_a_slanted_line_bends_on_a_round_within_a_facets_deviation():
    # The line x = 0.1 y: at the angle psi from the viewer it is 120 (1 - sin psi) high.
    wedge = Polygon([(0, 0), (12, 120), (12, 0)])
    (area,) = painted(EDGE.format("round = 12"), "front", wedge)["box-left"]
    (rim,) = shapely.get_parts(area.boundary)
    psi = np.linspace(0, math.pi / 2, 2000)  # from the left side's fold on, that is 90° off
    curve = np.column_stack([388 + 12 * psi, 120 * (1 - np.cos(psi))])
    assert shapely.distance(shapely.points(curve), rim).max() < FACET
    # Under the curve: the integral of 12 * 120 (1 - cos psi) over a quarter turn.
    assert area.area == pytest.approx(12 * 120 * (math.pi / 2 - 1), abs=FACET * 122)


def test_a_drawing_that_runs_over_folds_stays_in_one_piece():
    band = box(-50, 100, 400, 140)
    for shape in ("bevel = 10", "round = 12"):
        found = painted(f'joints = ["left mitre front"]\n{EDGE.format(shape)}', "front", band)
        for areas in found.values():
            assert len(areas[0].geoms) == 1


def test_a_face_that_is_named_and_looks_another_way_is_refused():
    drawing = drawing_of([(box(0, 0, 10, 10), "red")])
    with pytest.raises(InputError, match="No part of box-back looks to the front"):
        cast(square(), drawing, Anchored(), "front", ("box-front", "box-back"))
    with pytest.raises(InputError, match="No part of box-left looks up"):
        cast(square(), drawing, Anchored(), "top", ("box-left",))


def test_a_cast_that_no_face_looks_at_is_refused():
    lid = square().faces[0]
    cabinet = Cabinet((lid,), {}, {})
    drawing = drawing_of([(box(0, 0, 10, 10), "red")])
    with pytest.raises(InputError, match="No face looks to the back"):
        cast(cabinet, drawing, Anchored(), "back")


def test_the_box_of_a_cast_is_all_that_is_seen():
    # From the front: x from the round's far end, 0, to where the right board's end starts, 282.
    drawing = drawing_of([(box(0, 0, 6, 100), "red")])
    put = Anchored(anchor="lower-left", to="lower-left")
    found = cast(square(EDGE.format("round = 12")), drawing, put, "front")
    (area,) = (each.shapes[0].area for each in found if each.face == "box-left")
    assert area.bounds == pytest.approx((388, 0, 388 + 4 * math.pi, 100))
    put = Anchored(anchor="lower-right", to="lower-right")
    found = cast(square(EDGE.format("round = 12")), drawing, put, "front")
    (area,) = (each.shapes[0].area for each in found if each.face == "box-front")
    assert area.bounds == pytest.approx((258, 0, 264, 100))


def test_the_box_of_a_round_on_its_own_is_as_long_as_its_edge():
    # Seen from the front the left side is its round alone, 500 high.
    drawing = drawing_of([(box(0, 0, 6, 100), "red")])
    put = Anchored(anchor="upper-left", to="upper-left")
    (found,) = cast(square(EDGE.format("round = 12")), drawing, put, "front", ("box-left",))
    assert found.shapes[0].area.bounds == pytest.approx((388, 400, 388 + 4 * math.pi, 500))


WEDGE = """
[[carcase]]
name = "box"
view = "side"
corners = ["A", "B", "C"]
width = 300
board = 18
joints = ["bottom over slope"]
edges = {{ "bottom and slope" = {{ round = 8 }} }}
at = {{ x = 0, y = 0, z = 0, turn = {turn} }}
[carcase.outline.points]
A = [0, 0]
B = [400, 0]
C = [400, 400]
[carcase.panels]
bottom = {{ edge = "A-B" }}
back = {{ edge = "B-C" }}
slope = {{ edge = "C-A" }}
"""


@pytest.mark.parametrize("turn", [5, -5])
def test_a_round_that_turns_past_a_right_angle_shows_its_far_end(turn):
    # The bottom's round turns by 135°, from straight down up to the slope, which rises by 45° and
    # the turn: from above its last 90° less that are seen, between the sides of 18 mm.
    drawing = drawing_of([(EVERYWHERE, "red")])
    found = cast(built(WEDGE.format(turn=turn)), drawing, Anchored("centre", "centre"), "top")
    (area,) = (each.shapes[0].area for each in found if each.face == "box-bottom")
    seen = math.radians(90 - (45 + turn))
    assert area.area == pytest.approx(8 * seen * (300 - 2 * 18), rel=1e-6)
