"""What tapes are allowed to be out by, against the published tables.

Directive 2014/32/EU, Annex X (MI-008), chapter I, tables 1 and 2; NIST Handbook 44, section 5.52
(metal tapes) and section 10.3 (how an indication between graduations is read).
"""

import math
from fractions import Fraction

import pytest

from mateline.tape.accuracy import MM, Tape, deviation, limit
from mateline.tape.reading import parse_length, printed

METRES = (1000, 2000, 3000, 5000, 8000)


def eu(accuracy: str, *, from_hook: bool = False) -> Tape:
    return Tape("mm", Fraction(1), accuracy, from_hook)


US = Tape("in", Fraction(127, 80), "HB44")


def test_eu_class_1():
    allowed = [limit(length, eu("I")) for length in METRES]
    assert allowed == pytest.approx([0.2, 0.3, 0.4, 0.6, 0.9], abs=1e-12)


def test_eu_class_2():
    allowed = [limit(length, eu("II")) for length in METRES]
    assert allowed == pytest.approx([0.5, 0.7, 0.9, 1.3, 1.9], abs=1e-12)


def test_eu_class_3():
    allowed = [limit(length, eu("III")) for length in METRES]
    assert allowed == pytest.approx([1.0, 1.4, 1.8, 2.6, 3.8], abs=1e-12)


def test_eu_classes_at_2_m_from_the_hook():
    allowed = [limit(2000, eu(each, from_hook=True)) for each in ("I", "II", "III")]
    assert allowed == pytest.approx([0.4, 0.9, 1.7], abs=1e-12)


def test_eu_classes_at_5_m_from_the_hook():
    allowed = [limit(5000, eu(each, from_hook=True)) for each in ("I", "II", "III")]
    assert allowed == pytest.approx([0.7, 1.5, 2.9], abs=1e-12)


def test_eu_length_is_rounded_up_to_the_next_whole_metre():
    assert limit(2000, eu("II")) == pytest.approx(0.7)
    assert limit(2001, eu("II")) == pytest.approx(0.9)


def test_handbook_44_metal_tapes():
    feet = (6, 7, 30, 31, 55, 56, 80, 81, 100)
    inches = (1 / 32, 1 / 16, 1 / 16, 1 / 8, 1 / 8, 3 / 16, 3 / 16, 1 / 4, 1 / 4)
    allowed = [limit(number * MM["ft"], US) / 25.4 for number in feet]
    assert allowed == pytest.approx(inches, abs=1e-12)


def test_handbook_44_midway_reads_the_even_graduation():
    assert printed(parse_length('10 1/32"', "in"), US) == '10"'
    assert printed(parse_length('10 3/32"', "in"), US) == '10 1/8"'


def test_a_graduation_of_1_mm_is_read_to_0_289_mm():
    """JCGM 100:2008 (GUM), 4.3.7 and F.2.2.1: q / sqrt(12)."""
    spread = deviation(2000, eu("II"))
    assert math.sqrt(spread**2 - (0.7 / math.sqrt(3)) ** 2) == pytest.approx(0.28868, abs=1e-5)


def test_a_graduation_of_a_sixteenth_is_read_to_0_458_mm():
    spread = deviation(MM["ft"], US)
    rest = spread**2 - (25.4 / 32 / math.sqrt(3)) ** 2
    assert math.sqrt(rest) == pytest.approx(0.45827, abs=1e-5)


def test_a_limit_of_0_7_mm_is_a_deviation_of_0_404_mm():
    """JCGM 100:2008 (GUM), 4.3.7: a / sqrt(3)."""
    spread = deviation(2000, eu("II"))
    assert math.sqrt(spread**2 - 1 / 12) == pytest.approx(0.404, abs=5e-4)
