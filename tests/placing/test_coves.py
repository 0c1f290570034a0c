"""Art on hollow edges: casts against the tests' projector, wraps against developed lengths."""

import itertools
import math

import numpy as np
import pytest
from shapely import box

from coved_boxes import CORNERS, LONG, coved, turn_of
from mateline.drawing.shapes import drawing_of
from mateline.errors import InputError, InputFaultsError
from mateline.placing.art import Landmarks
from mateline.placing.wrap import wraps
from projections import SIDES, Bands, cast, compared


def leaning(random):
    """A random cabinet with a hollow edge, turned on the floor; its sides over or under."""
    rise, lean = random.uniform(-20, 35, 2)
    shape = random.choice(["round", "round", "bevel"])
    more = [f'"deck and front" = {{ round = {random.uniform(3, 14):.2f} }}']
    joints = random.choice(["", '"deck over left"', '"deck over right", "screen over right"'])
    return coved((rise, lean), f"{shape} = {random.uniform(15, 70):.2f}", more, joints,
                 turn=f"{random.uniform(-30, 30):.2f}")  # fmt: skip


@pytest.mark.parametrize("block", range(2))
def test_a_cove_has_at_every_place_the_colour_that_a_projector_casts_there(block):
    compare = 0
    for seed in range(block * 5, block * 5 + 5):
        random = np.random.default_rng(seed)
        try:
            cabinet = leaning(random)
        except (InputError, InputFaultsError):
            continue  # too large for its boards
        side = str(random.choice(list(SIDES)))
        right, wrong = compared(cabinet, Bands(random), side, random, count=200)
        assert not wrong, (seed, side)
        compare += right
    assert compare > 2000


def painted(side, *areas):
    """Areas painted on each face of the square-cornered cabinet, drawn in the view's own frame."""
    marks = [box(-1, -1, 1, 1), box(0, -1, 2, 1)]
    drawing = drawing_of([(area, "red") for area in [*marks, *areas]])
    put = Landmarks((("1", (0.0, 0.0)), ("2", (1.0, 0.0))))
    found = cast(coved((0, 0)), drawing, put, side)
    return {each.face: [shape.area for shape in each.shapes[2:]] for each in found}


def test_what_lies_on_a_cove_is_as_wide_as_its_arc():
    """Seen from the front the deck's half of a cove of 40 mm goes up from 200, at the angle w by
    40 (1 - cos w): to the middle of the turn, 45°. The screen's goes on to 240."""
    heights = [200 + 40 * (1 - math.cos(math.radians(each))) for each in (0, 30, 45, 75, 90)]
    bars = [box(18, low, 282, high) for low, high in itertools.pairwise(heights)]
    found = painted("front", *bars)
    for name, shares in (("box-deck", (30, 15, 0, 0)), ("box-screen", (0, 0, 30, 15))):
        widths = [area.area / LONG for area in found[name]]
        wanted = [40 * math.radians(share) for share in shares if share]
        assert [each for each in widths if each > 0.01] == pytest.approx(wanted, rel=1e-3)


def test_from_above_and_from_the_front_all_of_a_square_cove_is_seen():
    everywhere = box(-2000, -2000, 2000, 2000)
    for side, flat in (("front", "box-screen"), ("top", "box-deck")):
        found = painted(side, everywhere)
        for name in ("box-deck", "box-screen"):
            face = coved((0, 0)).face(name)
            wanted = face.strips[0].area.area + (face.flat.area if name == flat else 0)
            assert found[name][0].area == pytest.approx(wanted, rel=1e-6)


@pytest.mark.parametrize("corner", CORNERS.values(), ids=CORNERS)
@pytest.mark.parametrize("shape", ["round = 40", "bevel = 40"])
def test_a_wrap_measures_along_the_hollow(corner, shape):
    """From 100 short of the sharp corner on the deck to 100 past it on the screen."""
    cabinet, turn = coved(corner, shape), turn_of(corner)
    deck, screen = cabinet.face("box-deck"), cabinet.face("box-screen")
    _, unfolded = wraps([deck, screen])
    tangent = 40 * math.tan(turn / 2) if "round" in shape else 20 / math.cos(turn / 2)
    across = 40 * turn if "round" in shape else 40
    spots = []
    for face in (deck, screen):
        strip = face.strips[0]
        (x, y), (far, _) = strip.score.coords
        up = 1 if strip.area.centroid.y < y else -1  # away from the strip, into the flat
        spots.append(np.array([(x + far) / 2, y + up * (100 - tangent), 1.0]))
    there = unfolded @ spots[1]
    assert math.dist(spots[0][:2], there) == pytest.approx(2 * (100 - tangent) + across, rel=1e-9)
    assert there[0] == pytest.approx(spots[0][0], abs=1e-9)


def test_the_projector_knows_the_square_cove():
    """Its places on the strips are 40 from the axis, which is 40 over the deck and before the
    screen: at y = 260 and z = 240."""
    from projections import surfaces

    for face in (coved((0, 0)).face(name) for name in ("box-deck", "box-screen")):
        strip = surfaces(face)[1]
        places, normals = strip.places(np.array(strip.area.exterior.coords))
        away = places[:, 1:] - (260, 240)
        assert np.hypot(*away.T) == pytest.approx(40, abs=1e-9)
        assert (-away / 40) == pytest.approx(normals[:, 1:], abs=1e-9)
