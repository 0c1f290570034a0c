from fractions import Fraction

import pytest

from mateline.checks.findings import Finding
from mateline.exports.findings_table import counted, findings_table
from mateline.tape.accuracy import Tape

TAPE = Tape("in", Fraction(254, 160), "HB44")
NOTE = Finding("outline-unchecked", "note", "No reading checks it.", "Measure a diagonal.")
STOP = Finding(
    "hole-splits-piece",
    "stop",
    "The launch-rod hole cuts this piece in two, so half of it would drop out of the board.",
    "Move the hole, or add a bridge of the neighbouring colour at least a finger wide.",
    face="body-front",
    piece="body-front B1",
    hardware="launch rod",
    at=(317.5, 76.2),
)


def test_what_stops_the_work_comes_first():
    text = findings_table([NOTE, STOP], TAPE, 80)
    assert text.index(STOP.code) < text.index(NOTE.code)
    assert text.endswith("1 stop, 1 note.\n")


def test_a_place_is_written_as_the_tape_is_read():
    first = findings_table([STOP], TAPE, 100).splitlines()[2]
    assert first == ('hole-splits-piece · body-front B1 · launch rod · 12 1/2" across, 3" up')


@pytest.mark.parametrize("width", [40, 60, 100])
def test_lines_keep_to_the_terminals_width(width):
    text = findings_table([NOTE, STOP], TAPE, width)
    assert max(map(len, text.splitlines())) <= width
    assert STOP.remedy in " ".join(text.split())


def test_nothing_found_is_said():
    assert findings_table([], TAPE, 80) == "No findings.\n"


def test_counts_are_words():
    assert counted([STOP, STOP, NOTE]) == "2 stops, 1 note."
