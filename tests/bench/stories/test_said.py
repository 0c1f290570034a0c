"""The page's own arithmetic of lengths against the tape's: the same marks, the same readings."""

from fractions import Fraction

import numpy as np
import pytest

from mateline.definition.lengths import tape_of
from mateline.tape.accuracy import MM
from mateline.tape.reading import parse_length, printed

pytestmark = pytest.mark.browser

INCHES = (("in", "1/16"), ("in", "1/32"), ("ft", '1/8"'), ("ft", "1/8"))
METRIC = (("mm", 1), ("mm", "0.5"), ("cm", "0.1"), ("m", "0.001"))
READ = """async ([lengths, tape]) => {
  const { onMark, reading, word } = await import("/page/said.js");
  return lengths.map((mm) => [reading(mm, tape), word(mm, tape), onMark(mm, tape)]);
}"""
ROUGHLY = """async ([texts, unit]) => {
  const { mmOf } = await import("/page/said.js");
  return texts.map((text) => mmOf(text, { unit }, { board: "3/4", deep: "20" }));
}"""
WRITTEN = {
    "in": [
        *("51 1/2", "51-1/2", '51 1/2"', "5' 3 7/16\"", "5'-3 7/16\"", "5-3 7/16", "5 ft 3 in"),
        *("7/16", "51½", "51 ½", "5\N{PRIME} 3\N{DOUBLE PRIME}", "1308 mm", "130.8 cm", "1.308 m"),
        *("0", "12.5", ".5", "5 feet 3 7/16 inches"),
    ],
    "mm": ["1308", "1308 mm", "130,8 cm", "130.8 cm", "51 1/2 in", "5' 3 7/16\"", "1.5"],
    "ft": ["5", "5.25", "5' 3\"", "5' 3 1/2", '17 1/8"'],
}


@pytest.mark.parametrize(("unit", "graduation"), [*INCHES, *METRIC])
def test_a_length_is_read_at_the_mark_where_the_tape_has_it(visit, unit, graduation):
    tape = tape_of(unit, graduation)
    mark = float(tape.graduation)
    # whole feet, and for metric tapes lengths midway between marks, which a float holds exactly
    lengths = [0, 304.8, 914.4, *np.random.default_rng(16).uniform(0, 3000, 300).tolist()]
    lengths += [mark / 2, 1.5 * mark, 2.5 * mark] if (unit, graduation) in METRIC else []
    told = {"unit": unit, "graduation_mm": mark}
    for mm, (text, word, on) in zip(lengths, visit().evaluate(READ, [lengths, told]), strict=True):
        expected = parse_length(printed(mm, tape), unit)
        assert parse_length(text, unit) == expected, (mm, text)
        assert on == pytest.approx(float(expected), abs=1e-9)
        if unit in {"in", "ft"}:
            assert word == text
        else:
            assert Fraction(str(word)) * MM[unit] == expected


@pytest.mark.parametrize("unit", sorted(WRITTEN))
def test_what_people_write_is_as_long_as_the_tape_says(visit, unit):
    for text, mm in zip(
        WRITTEN[unit], visit().evaluate(ROUGHLY, [WRITTEN[unit], unit]), strict=True
    ):
        assert mm == pytest.approx(float(parse_length(text, unit)), abs=1e-9), text


def test_what_is_no_plain_length_is_left_to_the_server(visit):
    page = visit()
    arithmetic = ["depth - 2*board", "", "A-B", "3 * board", None]
    assert page.evaluate(ROUGHLY, [arithmetic, "in"]) == [None] * 5
    assert page.evaluate(ROUGHLY, [["board", "deep"], "in"]) == pytest.approx([19.05, 508])
