from dataclasses import replace
from fractions import Fraction

import pytest

from mateline.checks.findings import Finding, Settled
from mateline.exports.findings_table import counted, findings_table, numbered
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


def test_findings_are_numbered_from_the_first_that_stops():
    lines = findings_table([NOTE, STOP], TAPE, 100).splitlines()
    assert "2 outline-unchecked" in lines
    assert any(line.startswith("1 hole-splits-piece · ") for line in lines)
    assert numbered([NOTE, STOP, NOTE]) == {1: 1, 0: 2, 2: 3}


def test_a_place_is_written_as_the_tape_is_read():
    first = findings_table([STOP], TAPE, 100).splitlines()[2]
    assert first == (
        '1 hole-splits-piece · body-front B1 · launch rod · 12 1/2" across, 3" up on the stencil'
    )


def test_a_piece_of_another_faces_set_is_told_with_the_face_that_it_lies_on():
    turned = replace(STOP, face="body-right", piece="body-left B1")
    first = findings_table([turned], TAPE, 120).splitlines()[2]
    assert "· body-left B1, turned over on body-right · launch rod ·" in first


@pytest.mark.parametrize("width", [40, 60, 100])
def test_lines_keep_to_the_terminals_width(width):
    text = findings_table([NOTE, STOP], TAPE, width)
    assert max(map(len, text.splitlines())) <= width
    assert STOP.remedy in " ".join(text.split())


def test_nothing_found_is_said():
    assert findings_table([], TAPE, 80) == "No findings.\n"


def test_counts_are_words():
    assert counted([STOP, STOP, NOTE]) == "2 stops, 1 note."


def test_what_is_settled_comes_last_with_its_reason_and_is_counted_apart():
    text = findings_table([NOTE], TAPE, 80, [Settled(STOP, "Half of it is meant to drop out.")])
    assert text.index(NOTE.code) < text.index("Settled: meant to be so") < text.index(STOP.code)
    assert "hole-splits-piece (stop) · body-front B1 · launch rod" in text
    assert "  Because: Half of it is meant to drop out." in text
    assert STOP.remedy not in " ".join(text.split())  # nothing is to be done
    assert text.endswith("1 note; 1 settled.\n")


def test_nothing_left_but_what_is_settled_is_said():
    assert counted([], [Settled(STOP, "Meant.")]) == "No findings; 1 settled."


def test_what_comes_of_a_finding_is_counted_and_named():
    one = replace(STOP, code="piece-narrow", level="warn", consequences=())
    two = replace(one, piece="body-front B2")
    tip = replace(one, code="tip-sharp", piece=None, hardware=None)
    one, two = (replace(each, hardware=None) for each in (one, two))
    said = "With it: 2 piece-narrow (body-front B1, body-front B2), 1 tip-sharp (body-front)"
    text = findings_table([replace(STOP, consequences=(one, two, tip))], TAPE, 100)
    assert said in " ".join(text.split())
    assert text.endswith("1 stop.\n")


def test_what_else_is_wrong_with_one_piece_is_said_in_full():
    tiny = replace(STOP, code="piece-tiny", level="warn", message="Piece B1 is tiny.")
    text = findings_table([replace(STOP, consequences=(tiny,))], TAPE, 100)
    assert "  With it: piece-tiny: Piece B1 is tiny." in text


def test_a_row_of_hardware_is_named():
    two, three = (replace(STOP, hardware=f"pin {at}") for at in (2, 3))
    text = findings_table([replace(STOP, hardware="pin 1", consequences=(two, three))], TAPE, 100)
    assert "  With it: 2 hole-splits-piece (pin 2, pin 3)" in text
