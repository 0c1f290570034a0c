r"""Drawings on faces, on a box 300 wide, 400 deep and 500 high.

    back                left: x runs from back (0) to front (400)
+----------+ 500        front: 264 wide between the sides, x from left to right
|          |
+----------+ 0
"""

import math
from dataclasses import replace

import pytest
from shapely import Point, box

from boxes import square
from mateline.definition.art import art_of
from mateline.definition.schema import ArtTable
from mateline.drawing.shapes import Drawing, Shape
from mateline.errors import InputError, InputFaultsError
from mateline.placing.place import placed
from mateline.placing.placed import letterings
from mateline.placing.wrap import UnreachableError, wraps
from rulers import ruler

# 200 by 100 mm in units of 1 mm, y down: a bar along its bottom and a mark at its upper left.
DRAWING = Drawing(
    "sign.svg",
    (0.0, 0.0, 200.0, 100.0),
    (1.0, 0.0, 0.0, -1.0, 0.0, 100.0),
    (Shape(box(0, 80, 200, 100), "cream", "bar"), Shape(box(0, 0, 10, 10), "cream", "mark")),
    (),
    {"bar": (0,), "mark": (1,)},
    {"bar": (100.0, 90.0), "mark": (5.0, 5.0), "sail": (60.0, 20.0)},
)


def put(*art, more=""):
    reader = ruler()
    cabinet = square(more)
    wanted = art_of(tuple(ArtTable(**each) for each in art), reader)
    found = placed(wanted, cabinet, {"sign.svg": DRAWING}, reader.faults)
    reader.faults.settle()
    return {each.face: [s.area.bounds for s in each.shapes] for each in found}, found, cabinet


def on(**more):
    return {"drawing": "sign.svg", "on": "box-left", **more}


def test_a_drawing_lies_true_size_in_the_lower_left_corner():
    faces, _, _ = put(on())
    assert faces["box-left"] == [pytest.approx((0, 0, 200, 20)), pytest.approx((0, 90, 10, 100))]


def test_an_anchor_comes_to_a_point_of_the_face_moved_by_the_offset():
    faces, _, _ = put(on(anchor="centre", to="upper-right", offset=(-100, "-50")))
    assert faces["box-left"][0] == pytest.approx((200, 400, 400, 420))


def test_a_turn_is_counter_clockwise_about_the_anchor():
    faces, _, _ = put(on(to="centre", turn=90.0))
    assert faces["box-left"][0] == pytest.approx((180, 250, 200, 450))


@pytest.mark.parametrize(
    ("fit", "size"), [("width", (400, 40)), ("height", (1000, 100)), ("cover", (1000, 100))]
)
def test_a_fit_scales_to_the_face(fit, size):
    faces, _, _ = put(on(fit=fit))
    assert faces["box-left"][0][2:] == pytest.approx(size)


def test_a_drawing_is_fitted_to_the_face_each_way_by_its_own():
    """200 by 100 on a face of 400 by 500: twice as wide and five times as high, with all that is
    in it; its anchor and what else is said of it count as ever."""
    faces, found, _ = put(on(fit="face"))
    assert faces["box-left"] == [pytest.approx((0, 0, 400, 100)), pytest.approx((0, 450, 20, 500))]
    assert found[0].page.bounds == pytest.approx((0, 0, 400, 500))
    faces, found, _ = put(on(fit="face", anchor="centre", to="centre", turn=90.0, scale=0.5))
    assert found[0].page.bounds == pytest.approx((75, 150, 325, 350))
    assert faces["box-left"][0] == pytest.approx((275, 150, 325, 350))  # the bar is at its right


def test_a_drawings_box_is_known_on_its_face_and_mirrored_with_it():
    _, found, _ = put(on(offset=(10, 20)), {"mirror": "box-left", "onto": ["box-right"]})
    boxes = {each.face: each.page.bounds for each in found}
    assert boxes["box-left"] == pytest.approx((10, 20, 210, 120))
    assert boxes["box-right"] == pytest.approx((190, 20, 390, 120))
    _, found, _ = put({"drawing": "sign.svg", "cast": "front"})
    assert {each.page for each in found} == {None}


def test_landmarks_bring_elements_to_points_of_the_face():
    # bar (100, 10 up) to (300, 60); mark (5, 95 up) to (300 - 2*95... twice the size, unturned
    faces, found, _ = put(on(landmarks={"bar": (300, 60), "mark": (110, 230)}))
    assert faces["box-left"][0] == pytest.approx((100, 40, 500, 80))
    assert [each.element for each in found[0].landmarks] == ["bar", "mark"]


def test_a_landmark_that_is_ignored_places_nothing():
    marks = {"bar": (300, 60), "mark": (110, 230), "sail": (0, 0)}
    faces, found, _ = put(on(landmarks=marks, ignored_landmarks=("sail",)))
    assert faces["box-left"][0] == pytest.approx((100, 40, 500, 80))
    assert [each.ignored for each in found[0].landmarks] == [False, False, True]


def test_landmarks_are_told_once_an_entry():
    marks = {"bar": (300, 60), "mark": (110, 230)}
    _, found, _ = put({**on(landmarks=marks), "on": ("box-left", "box-right")})
    assert [len(each.landmarks) for each in found] == [2, 0]


def test_a_wrap_runs_on_over_the_corner_with_lengths_kept():
    wrap = {"drawing": "sign.svg", "wrap": ("box-left", "box-front"), "offset": (350, 0)}
    faces, _, cabinet = put(wrap)
    # 50 mm lie on the left side, 18 mm pass its end, and the rest starts the front
    assert faces["box-left"][0] == pytest.approx((350, 0, 550, 20))
    assert faces["box-front"][0] == pytest.approx((350 - 418, 0, 550 - 418, 20))
    assert cabinet.face("box-front").outline.bounds[2] == pytest.approx(264)


@pytest.mark.parametrize(
    ("more", "beyond"),
    [
        ("", 18.0),  # the left board's end is seen
        ('joints = ["left mitre front"]', 0.0),
        ('edges = { "left and front" = { bevel = 10 } }', 10 + 18 - 20 / math.sqrt(2)),
        ('edges = { "left and front" = { round = 12 } }', 12 * math.pi / 2 + 18 - 24),
    ],
)
def test_the_way_round_a_corner_is_that_of_a_tape_laid_round_it(more, beyond):
    cabinet = square(more)
    left, front = cabinet.face("box-left"), cabinet.face("box-front")
    _, matrix = wraps((left, front))
    start = matrix @ [0, 0, 1]
    # the tape: from the back, 400 mm to the sharp edge, then the way round as above
    assert start == pytest.approx((400 + beyond, 0), abs=1e-9)


def test_four_sides_wrap_round_to_where_they_started():
    faces = [square().face(f"box-{name}") for name in ("left", "front", "right", "back")]
    last = wraps(faces)[-1] @ [faces[-1].outline.bounds[2], 0, 1]
    # left 400, end 18, front 264, end 18, right 400, then behind it end 18 and back 264
    assert last == pytest.approx((400 + 18 + 264 + 18 + 400 + 18 + 264, 0), abs=1e-9)


def test_a_face_can_unfold_off_one_that_is_named():
    faces = [square().face(f"box-{name}") for name in ("left", "front", "right", "back")]
    last = wraps(faces, (None, None, None, "box-left"))[-1]
    assert last @ [faces[-1].outline.bounds[2], 0, 1] == pytest.approx((-18, 0), abs=1e-9)


def test_a_face_that_meets_none_is_refused():
    faces = [square().face(f"box-{name}") for name in ("left", "right")]
    with pytest.raises(UnreachableError, match="box-right"):
        wraps(faces)


def test_a_cast_reaches_all_that_looks_that_way_and_nothing_else():
    cast = {"drawing": "sign.svg", "cast": "front", "fit": "width"}
    faces, _, cabinet = put(cast, more='edges = { "left and front" = { bevel = 10 } }')
    assert set(faces) == {"box-left", "box-front"}  # the left side's bevel looks forward too
    # The view is 300 - 18 wide (the right board's end is no face), less the bevel's foot
    assert cabinet.face("box-front").outline.bounds[2] == pytest.approx(264)
    x, _, far, _ = faces["box-front"][0]
    assert far - x == pytest.approx(300 - 18 - 0, abs=15)


def test_a_mirror_reflects_over_the_middle_plane():
    faces, found, cabinet = put(on(), {"mirror": "box-left", "onto": ("box-right",)})
    x0, y0, x1, y1 = faces["box-left"][0]
    assert faces["box-right"][0] == pytest.approx((400 - x1, y0, 400 - x0, y1))
    assert [each.mirrored for each in found] == [False, True]
    left, right = cabinet.face("box-left"), cabinet.face("box-right")
    there = left.cells[0].lift @ [10, 95, 1]
    back = right.cells[0].lift @ [400 - 10, 95, 1]
    assert there + back == pytest.approx((300, 2 * there[1], 2 * there[2]))


def test_mirrored_lettering_reads_backwards():
    _, found, cabinet = put(
        on(reads_one_way=("mark",)), {"mirror": "box-left", "onto": ("box-right",)}
    )
    left, right = letterings(found, {"sign.svg": DRAWING}, cabinet.faces)
    assert (left.face, left.backwards) == ("box-left", False)
    assert (right.face, right.backwards) == ("box-right", True)
    assert Point(right.at).distance(Point(395, 95)) < 1e-9


def test_a_mirror_can_leave_elements_out():
    faces, _, _ = put(on(), {"mirror": "box-left", "onto": ("box-right",), "leave_out": ("mark",)})
    assert len(faces["box-right"]) == 1


def test_a_mirror_takes_only_what_its_own_face_shows():
    # The mark falls on the front, round the corner from the side that is mirrored.
    wrap = {"drawing": "sign.svg", "wrap": ("box-right", "box-front"), "offset": (-150, 0)}
    faces, _, _ = put(wrap, {"mirror": "box-right", "onto": ("box-left",)})
    assert len(faces["box-right"]) == 2
    assert faces["box-left"] == [pytest.approx((400 - 50, 0, 400 + 150, 20))]


@pytest.mark.parametrize(
    ("art", "words"),
    [
        ({"drawing": "sign.svg"}, "in no ways where it goes"),
        (on(cast="front"), "in 2 ways where it goes"),
        ({"on": "box-left"}, "names no drawing"),
        (on(on="box-lid"), "no face “box-lid”"),
        (on(only=("boat",)), "no element of sign.svg “boat”"),
        (on(landmarks={"bar": (1, 1)}), "One landmark fixes no size"),
        (on(landmarks={"bar": (1, 1), "boat": (2, 2)}), "no element of sign.svg “boat”"),
        (on(landmarks={"bar": (1, 1), "mark": (1, 1)}), "leave the drawing no size"),
        (
            on(landmarks={"bar": (1, 1), "mark": (2, 2)}, ignored_landmarks=("mark",)),
            "One landmark fixes no size",
        ),
        (
            on(landmarks={"bar": (1, 1), "mark": (2, 2)}, ignored_landmarks=("sail",)),
            "no landmark “sail”",
        ),
        (on(ignored_landmarks=("mark",)), "no landmarks to ignore"),
        ({"drawing": "sign.svg", "wrap": ("box-left", "box-right")}, "touches none of the faces"),
        ({"mirror": "box-left"}, "mirrored onto nothing"),
        ({"mirror": "box-left", "onto": ("box-top",)}, "does not face box-left"),
        ({"mirror": "box-left", "onto": ("box-right",), "leave_out": ("x",)}, "no element on"),
    ],
)
def test_art_that_cannot_be_placed_is_told(art, words):
    with pytest.raises((InputError, InputFaultsError)) as caught:
        put(on(), art) if "mirror" in art else put(art)
    assert words in str(caught.value)


def test_a_drawing_is_enlarged_by_its_scale_whatever_its_own_units_are():
    reader = ruler()
    half = replace(DRAWING, to_mm=(0.5, 0.0, 0.0, -0.5, 0.0, 50.0))
    wanted = art_of((ArtTable(**on(scale=3)),), reader)
    (found,) = placed(wanted, square(), {"sign.svg": half}, reader.faults)
    assert found.shapes[0].area.bounds == pytest.approx((0, 0, 300, 30))
    assert found.enlarged == pytest.approx(3)
