"""Designs put on another cabinet than they were drawn for: its left side is 400 by 500.

The design is 404 by 492, and its upper right corner is out of square by 8 mm, 6 to the left and
5.3 down.
"""

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, box

from boxes import square
from mateline.checks.findings import Subject
from mateline.checks.landmarks import check, warped
from mateline.drawing.shapes import drawing_of
from mateline.errors import Faults, InputError
from mateline.placing.art import Anchored, Art, Cast, Landmarks, Mirrored, OnFaces, Wrapped
from mateline.placing.place import placed
from mateline.tape.accuracy import Tape

CABINET = square("")
FACE = CABINET.face("box-left").outline
OUT_OF_SQUARE = Polygon([(0, 0), (404, 0), (398, 486.7), (0, 492)])
DISC = Point(210, 240).buffer(60, 48)
UPPER = box(0, 246, 404, 492)


def tiled(outline=OUT_OF_SQUARE):
    """Two halves, with a disc in their middle that is cut by the line between them."""
    high, low = outline.intersection(UPPER), outline.difference(UPPER)
    areas = [low.difference(DISC), high.difference(DISC), DISC]
    return drawing_of([(area, "#ff0000") for area in areas], "sign")


def put(drawing, art, unit="mm"):
    faults = Faults("cabinet.toml")
    arts = art if isinstance(art, list) else [art]
    found = placed(arts, CABINET, {"sign": drawing}, faults, unit=unit)
    faults.settle()
    return found


def on(how):
    return Art("sign", OnFaces(("box-left",)), how)


CORNERS = on(Anchored(fit="corners"))


def areas(art):
    return [shape.area for shape in art.shapes]


def test_a_design_comes_to_the_corners_of_the_face_and_tiles_it():
    (art,) = put(tiled(), CORNERS)
    found = areas(art)
    assert shapely.is_valid(found).all()
    together = shapely.union_all(found)
    assert shapely.symmetric_difference(together, FACE).area < 1e-9
    assert shapely.area(found).sum() == pytest.approx(400 * 500, abs=1e-9)  # no overlap
    corners = shapely.get_coordinates(shapely.simplify(together, 1e-9).exterior)
    assert {tuple(each) for each in corners.tolist()} == {(0, 0), (400, 0), (400, 500), (0, 500)}


def test_its_disc_is_one_still():
    (art,) = put(tiled(), CORNERS)
    ring = shapely.get_coordinates(art.shapes[2].area)[:-1]
    middle = shapely.minimum_bounding_circle(art.shapes[2].area).centroid
    # The centre from three points, by the perpendicular bisectors.
    a, b, c = ring[[0, 60, 120]]
    centre = np.linalg.solve(2 * np.array([b - a, c - a]), [b @ b - a @ a, c @ c - a @ a])
    reach = np.hypot(*(ring - centre).T)
    assert np.ptp(reach) < 1e-9
    assert (middle.x, middle.y) == pytest.approx(tuple(centre), abs=0.1)
    # The face is 0.990 times as wide and 1.016 times as high; a corner that goes out by 6 and 5
    # stretches the middle by about 1.01 each way.
    assert 60 * 0.99 < reach[0] < 60 * 1.016 * 1.01


def test_what_is_drawn_to_measure_but_for_its_size_is_as_by_fit_face():
    """400 by 500 at four fifths: a scale alone, circles too."""
    small = [(shapely.affinity.scale(area, 0.8, 0.8, origin=(0, 0)), "#ff0000")
             for area in (FACE, box(0, 0, 400, 200), Point(150, 300).buffer(80))]  # fmt: skip
    drawing = drawing_of(small, "sign")
    (bent,), (plain,) = put(drawing, CORNERS), put(drawing, on(Anchored(fit="face")))
    one, other = shapely.get_coordinates(areas(bent)), shapely.get_coordinates(areas(plain))
    assert np.abs(one - other).max() < 1e-9
    assert bent.warped.moved == pytest.approx(0, abs=1e-9)
    assert bent.enlarged == pytest.approx(1.25)


def test_straight_borders_are_as_by_fit_face_where_the_design_is_square():
    """404 by 492 without the fault: each way by its own, all straight."""
    drawing = drawing_of([(box(0, 0, 404, 492), "#ff0000"), (box(50, 60, 300, 200), "#ff0000")])
    drawing = replace(drawing, file="sign")
    (bent,), (plain,) = put(drawing, CORNERS), put(drawing, on(Anchored(fit="face")))
    one, other = shapely.get_coordinates(areas(bent)), shapely.get_coordinates(areas(plain))
    assert np.abs(one - other).max() < 1e-9
    assert bent.warped.moved == pytest.approx(0, abs=1e-9)
    assert bent.warped.scales == pytest.approx((400 / 404, 500 / 492))
    ((code, level, _, message),) = told((bent,))  # circles are carried by the mean of the two
    assert (code, level) == ("art-warped", "note")
    assert "0.990 times as wide and 1.016 times as high, its circles" in message


def test_it_is_mirrored_as_it_lies():
    arts = [CORNERS, Art("", Mirrored("box-left", ("box-right",)))]
    left, right = put(tiled(), arts)
    assert right.mirrored
    there = shapely.get_coordinates(areas(left)) * (-1, 1) + (400, 0)
    assert shapely.get_coordinates(areas(right)) == pytest.approx(there, abs=1e-9)


MARKS = [(60, 60), (340, 60), (340, 430), (60, 430)]  # middles of discs, from the lower left


def marked(more=()):
    """The design with its discs, and landmarks of which nothing is drawn (y down)."""
    discs = [(Point(place).buffer(15), "#ff0000") for place in MARKS]
    drawing = drawing_of([(box(0, 0, 404, 492), "#ff0000"), *discs], "sign")
    return replace(drawing, landmarks={**drawing.landmarks, **dict(more)})


def landmarks(*points, **more):
    names = [str(at) for at in range(2, 2 + len(points))]
    return on(Landmarks(tuple(zip(names, points, strict=True)), **more))


BENT = [(60, 60), (340, 60), (334, 435), (60, 430)]


def test_a_design_is_bent_to_meet_its_landmarks():
    (art,) = put(marked(), landmarks(*BENT, warp=True))
    middles = [(shape.area.centroid.x, shape.area.centroid.y) for shape in art.shapes[1:]]
    assert middles == [pytest.approx(point, abs=1e-9) for point in BENT]
    assert art.warped.to == "landmarks"
    (plain,) = put(marked(), landmarks(*BENT))
    assert plain.warped is None
    off = [math.dist((s.area.centroid.x, s.area.centroid.y), p)
           for s, p in zip(plain.shapes[1:], BENT, strict=True)]  # fmt: skip
    assert art.warped.moved == pytest.approx(max(off))


def test_a_landmark_that_is_ignored_bends_nothing():
    marks = landmarks(*BENT, (0, 0), warp=True, ignored=("6",))
    drawing = marked({"6": (200.0, 200.0)})
    (art,) = put(drawing, marks)
    (same,) = put(drawing, landmarks(*BENT, warp=True))
    assert areas(art) == areas(same)


HALVES = drawing_of([(box(0, 0, 400, 200), "#ff0000"), (box(0, 210, 400, 500), "#ff0000")], "sign")
CUT = drawing_of([(Polygon([(0, 0), (400, 0), (400, 450), (350, 500), (0, 500)]), "red")], "sign")


@pytest.mark.parametrize(
    ("drawing", "art", "words"),
    [
        (HALVES, CORNERS, ["fit", "lie in 2 parts", "Put a background under them"]),
        (CUT, CORNERS, ["The corner of sign 400.0 mm from the left and 450.0 mm from below has no",
                        "corner of box-left within 25.0 mm. The corner of sign 350.0 mm",
                        "box-left 400.0 mm from the left and 500.0 mm from below has no corner"]),
        (marked(), replace(CORNERS, only=("2", "3"), leave_out=("2",)), ["has no corner of sign"]),
        (marked(), landmarks(*BENT[:3], warp=True), ["3 landmarks say too little", "Give 4"]),
        (marked({"6": (200.0, 246.0), "7": (205.0, 246.0)}),
         landmarks(*BENT, (208, 246), (196, 246), warp=True), ["sign would be folded"]),
        (marked(), replace(CORNERS, where=Cast("left")), ["put on by cast can't be fitted to"]),
        (marked(), replace(CORNERS, where=Wrapped((("box-left", None),))), ["by wrap can't be"]),
        (marked(), replace(landmarks(*BENT, warp=True), where=Cast("left")), ["can't be bent"]),
    ],
)  # fmt: skip
def test_what_can_not_be_bent_is_refused_in_words(drawing, art, words):
    with pytest.raises(InputError) as error:
        put(drawing, art)
    for each in words:
        assert each in str(error.value)


def test_landmarks_in_a_line_are_refused():
    line = {str(at): (50.0 * at, 60.0 * at) for at in range(2, 6)}
    marks = landmarks((100, 380), (150, 320), (200, 260), (250, 202), warp=True)
    with pytest.raises(InputError, match="lie in a line"):
        put(marked(line), marks)


def test_a_refusal_says_lengths_in_the_tapes_unit():
    with pytest.raises(InputError) as error:
        put(CUT, CORNERS, unit="in")
    # 400, 450 and 25 mm
    assert '15 3/4" from the left and 17 23/32" from below' in str(error.value)
    assert 'within 63/64"' in str(error.value)


def told(art, unit="mm"):
    """What the checks of landmarks and of warped art say."""
    here = Subject((), None, Tape(unit, Fraction(1), "II"), {}, (), (), art)
    found = (*check(here), *warped(here))
    return [(each.code, each.level, each.at, each.message) for each in found]


def test_how_far_it_was_bent_is_a_note():
    art = put(tiled(), [CORNERS, Art("", Mirrored("box-left", ("box-right",)))])
    ((code, level, at, message),) = told(art)
    assert (code, level, at) == ("art-warped", "note", (400, 500))
    # (398, 486.7) of 404 by 492, on 400 by 500: 6 * 400 / 404 and 5.3 * 500 / 492 off
    assert math.hypot(6 * 400 / 404, 5.3 * 500 / 492) == pytest.approx(8.02, abs=0.01)
    assert "bent by 8.0 mm at most." in message
    assert "meets the corners of box-left" in message


def test_more_than_half_an_inch_is_a_warning():
    leaning = Polygon([(0, 0), (400, 0), (400, 500), (0, 487.2)])
    ((code, level, at, message),) = told(put(drawing_of([(leaning, "#ff0000")], "sign"), CORNERS))
    assert (code, level, at) == ("art-warped", "warn", (0, 500))
    assert "bent by 12.8 mm at most. That is more than 12.7 mm" in message
    leaning = Polygon([(0, 0), (400, 0), (400, 500), (0, 487.4)])
    ((_, level, *_),) = told(put(drawing_of([(leaning, "#ff0000")], "sign"), CORNERS))
    assert level == "note"


def test_what_needs_no_bending_is_not_told():
    assert told(put(drawing_of([(box(0, 0, 200, 250), "#ff0000")], "sign"), CORNERS)) == []


def test_landmarks_that_are_met_are_told_as_a_bend_alone():
    ((code, level, _, message),) = told(put(marked(), landmarks(*BENT, warp=True)))
    assert (code, level) == ("art-warped", "note")
    assert "its landmarks on box-left" in message
    ((code, level, *_),) = told(put(marked(), landmarks(*BENT)))
    assert (code, level) == ("landmark-off", "stop")  # as ever, without the word


def test_a_landmark_off_by_more_than_half_an_inch_stops_and_bends_nothing():
    wrong = [*BENT[:2], (340, 460), BENT[3], (200, 246)]
    drawing = marked({"6": (200.0, 246.0)})
    art = put(drawing, landmarks(*wrong, warp=True))
    ((code, level, at, message),) = told(art)
    assert (code, level, at) == ("landmark-off", "stop", (340, 460))
    assert "The landmark 4 of sign on box-left is" in message
    assert areas(art[0]) == areas(put(drawing, landmarks(*wrong))[0])
