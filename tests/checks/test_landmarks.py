"""Landmarks that do not fit are told, with how far they are out."""

from dataclasses import replace
from fractions import Fraction

from mateline.checks.findings import Subject
from mateline.checks.landmarks import check
from mateline.placing.placed import PlacedArt
from mateline.tape.accuracy import Tape

ART = PlacedArt(1, "sign.svg", "body-left", ())
TAPE = Tape("mm", Fraction(1), "II")


def found(*art):
    return check(Subject((), None, TAPE, {}, (), (), art))


def test_landmarks_that_fit_are_no_finding():
    assert found(replace(ART, residual=0.04)) == ()


def test_landmarks_a_little_off_are_a_note_and_far_off_a_warning():
    (note,) = found(replace(ART, residual=1.25))
    assert (note.code, note.level, note.face) == ("landmark-off", "note", "body-left")
    assert "1.2 mm" in note.message
    (warn,) = found(replace(ART, residual=4.0))
    assert warn.level == "warn"


def test_a_mirrored_copy_says_it_once():
    art = replace(ART, residual=4.0)
    assert len(found(art, replace(art, face="body-right", mirrored=True))) == 1
