"""Tapes and what they refuse."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis.strategies import floats, sampled_from

from mateline.tape.accuracy import ACCURACY_CLASSES, LONGEST, Tape, deviation, limit


@pytest.mark.parametrize(
    ("given_tape", "said"),
    [
        (("furlong", Fraction(1), "II"), "unit is one of"),
        (("mm", Fraction(1), "IV"), "accuracy class is one of"),
        (("mm", Fraction(0), "II"), "more than 0 mm"),
    ],
)
def test_a_tape_that_cannot_be_is_refused(given_tape, said):
    with pytest.raises(ValueError, match=said):
        Tape(*given_tape)


@pytest.mark.parametrize("length", [-1, float(LONGEST) + 1])
def test_a_length_no_tape_has_is_refused(length):
    with pytest.raises(ValueError, match="a tape reads 0 to"):
        limit(length, Tape("mm", Fraction(1), "II"))


def test_float_dust_over_a_whole_metre_is_still_that_metre():
    tape = Tape("mm", Fraction(1), "II")
    assert limit(2000 * (1 + 1e-15), tape) == limit(2000, tape)


@given(
    one=floats(1, float(LONGEST)),
    two=floats(1, float(LONGEST)),
    accuracy=sampled_from(ACCURACY_CLASSES),
)
def test_a_longer_reading_is_never_surer(one, two, accuracy):
    tape = Tape("mm", Fraction(1), accuracy)
    short, long = sorted((one, two))
    assert deviation(short, tape) <= deviation(long, tape)


@given(length=floats(1, float(LONGEST)), accuracy=sampled_from(ACCURACY_CLASSES))
def test_a_finer_graduation_is_surer(length, accuracy):
    fine, coarse = (Tape("mm", Fraction(step), accuracy) for step in ("0.5", "2"))
    assert deviation(length, fine) < deviation(length, coarse)
