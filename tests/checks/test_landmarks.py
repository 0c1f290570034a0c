"""Landmarks that contradict each other stop the job, and the one that is wrong is named.

The square is 100 mm as it is drawn; landmarks a to d are its corners, from the lower left on.
"""

from dataclasses import replace
from fractions import Fraction

import pytest

from mateline.checks.findings import Subject
from mateline.checks.landmarks import check
from mateline.placing.agreement import Landmark
from mateline.placing.placed import PlacedArt
from mateline.tape.accuracy import Tape

TAPE = Tape("mm", Fraction(1), "II")
DRAWN = {"a": (0.0, 0.0), "b": (100.0, 0.0), "c": (100.0, 100.0), "d": (0.0, 100.0)}


def art(points, ignored=(), deviation=0.5):
    marks = tuple(
        Landmark(name, DRAWN[name], at, deviation, ignored=name in ignored)
        for name, at in points.items()
    )
    return PlacedArt(1, "sign.svg", "body-left", (), landmarks=marks)


def scaled(times, **moved):
    """Points of the square put down at (200, 300), `times` its size, but for those given."""
    return {name: (200 + times * x, 300 + times * y) for name, (x, y) in DRAWN.items()} | moved


def found(*arts, tape=TAPE):
    return check(Subject((), None, tape, {}, (), (), arts))


def test_landmarks_that_fit_are_no_finding():
    assert found(art(scaled(0.8))) == ()


def test_landmarks_that_are_off_by_what_the_tape_explains_are_a_note():
    (note,) = found(art(scaled(0.8, c=(282, 380))))
    assert (note.code, note.level, note.face) == ("landmark-off", "note", "body-left")
    # Two complex numbers are fitted to four corners, so half of what one is off stays with it.
    assert "the worst, c, is 1.0 mm from its point" in note.message


def test_a_landmark_that_the_others_contradict_is_named_and_stops():
    (stop,) = found(art(scaled(0.8, c=(310, 380))))
    assert (stop.code, stop.level, stop.at) == ("landmark-off", "stop", (310, 380))
    assert "The landmark c of sign.svg on body-left is 30.0 mm from where the others" in (
        stop.message
    )
    assert "make the drawing 0.800 times its size; with this one it comes out 0.8" in stop.message
    assert 'ignored_landmarks = ["c"]' in stop.remedy


def test_how_far_it_is_off_is_said_in_the_users_unit():
    (stop,) = found(art(scaled(0.8, c=(305.4, 380))), tape=Tape("in", Fraction(127, 80), "II"))
    assert 'is 1" from where' in stop.message


def test_it_is_left_out_only_when_the_definition_says_so():
    (note,) = found(art(scaled(0.8, c=(310, 380)), ignored=("c",)))
    assert (note.code, note.level) == ("landmark-ignored", "note")
    assert "the others put it 30.0 mm from its point, so it stays out" in note.message
    (note,) = found(art(scaled(0.8), ignored=("c",)))
    assert "0.0 mm from its point, which is within what the tape explains" in note.message


def test_swapped_landmarks_stop_and_are_named():
    (stop,) = found(art(scaled(0.8, b=(280, 380), c=(280, 300))))
    assert (stop.code, stop.level) == ("landmarks-swapped", "stop")
    assert "b and c look swapped" in stop.message


def test_points_taken_from_the_wrong_edge_stop():
    lopsided = {"a": (0.0, 0.0), "b": (100.0, 0.0), "c": (80.0, 40.0), "d": (0.0, 90.0)}
    marks = tuple(Landmark(n, at, (500 - at[0], at[1]), 0.5) for n, at in lopsided.items())
    (stop,) = found(replace(art({}), landmarks=marks))
    assert (stop.code, stop.level) == ("landmarks-contradict", "stop")
    assert "would agree on a drawing that is mirrored" in stop.message


def test_three_say_that_they_cannot_tell_which():
    points = scaled(0.8, c=(280, 411))
    del points["d"]
    (stop,) = found(art(points))
    assert (stop.code, stop.level) == ("landmarks-contradict", "stop")
    assert "which one they can't tell: it may be a by " in stop.message
    assert ", or b by " in stop.message
    assert ", or c by 31.0 mm" in stop.message


def test_the_drawings_own_size_tells_which_of_three():
    points = scaled(1.0, c=(300, 431))
    del points["d"]
    (stop,) = found(art(points))
    assert (stop.code, stop.level) == ("landmark-off", "stop")
    assert "c of sign.svg" in stop.message
    assert "the other two leave it as large as it was drawn" in stop.message


def test_many_that_are_wrong_are_told_without_a_name():
    (stop,) = found(art({"a": (0, 0), "b": (90, 40), "c": (20, 160), "d": (70, 75)}))
    assert (stop.code, stop.level) == ("landmarks-contradict", "stop")
    assert "more are wrong" in stop.message


def test_two_landmarks_at_the_drawings_own_size_are_no_finding():
    assert found(art({"a": (200, 300), "c": (300, 401)})) == ()


def test_two_landmarks_at_another_size_say_that_nothing_checks_them():
    (note,) = found(art({"a": (200, 300), "c": (280, 380)}))
    assert (note.code, note.level) == ("landmarks-unchecked", "note")
    assert "113.1 mm apart there and 141.4 mm in the drawing" in note.message
    assert "comes out 0.800 times its size" in note.message


def test_two_that_turn_the_drawing_on_its_head_look_swapped():
    (warn,) = found(art({"a": (300, 400), "c": (200, 300)}))
    assert (warn.code, warn.level) == ("landmarks-swapped", "warn")
    assert "a and c look swapped" in warn.message


def test_a_mirrored_copy_says_it_once():
    one = art(scaled(0.8, c=(310, 380)))
    assert len(found(one, replace(one, face="body-right", mirrored=True))) == 1


@pytest.mark.parametrize(("cast", "at"), [(False, (310, 380)), (True, None)])
def test_the_points_of_a_cast_are_no_places_on_its_face(cast, at):
    (stop,) = found(replace(art(scaled(0.8, c=(310, 380))), cast=cast))
    assert stop.at == at
