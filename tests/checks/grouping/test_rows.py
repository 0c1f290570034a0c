"""A row of hardware that does the same to one piece at each hole is one finding."""

from dataclasses import replace

from shapely import box

from mateline.cabinet.hole import Hole
from mateline.checks.findings import Finding
from mateline.checks.grouping.rows import rows
from mateline.checks.run import findings_of
from specimens import SEA, codes, stencil, subject

PIN = Finding("hole-thins-piece", "warn", "Only 3 mm wide beside “pin 1”.", "Move it.",
              face="body-front", piece="body-front B1", hardware="pin 1",
              at=(10.0, 20.0))  # fmt: skip


def pins(count):
    return tuple(replace(PIN, hardware=f"pin {at}", at=(10.0 * at, 20.0)) for at in range(1, count))


def test_six_pins_along_one_border_are_one_finding():
    first, *others = pins(7)
    (one,) = rows((first, *others))
    assert one.hardware == "pin 1"
    assert one.consequences == tuple(others)
    assert one.remedy == PIN.remedy
    others = "“pin 2”, “pin 3”, “pin 4”, “pin 5” and 1 more"
    assert one.message == f"{PIN.message} It is the same at {others} of that row."


def test_other_pieces_codes_faces_and_names_are_findings_of_their_own():
    others = (
        replace(PIN, hardware="pin 2", piece="body-front B2"),
        replace(PIN, hardware="pin 2", code="hole-splits-piece"),
        replace(PIN, hardware="pin 2", face="body-back", piece="body-back B1"),
        replace(PIN, hardware="bolt 2"),
        replace(PIN, hardware="pin"),
        replace(PIN, hardware="pin 2", piece=None),
    )
    assert rows((PIN, *others)) == (PIN, *others)


def test_a_real_row_is_found_so():
    """Three pins of 10 mm, their margins 4 mm from the border at 100, where 6 mm hold together."""
    holes = [Hole(f"pin {at}", "round", (100.0 * at, 90.0), 10.0, 10.0, stays=True, margin=1.0)
             for at in (1, 2, 3)]  # fmt: skip
    (one,) = findings_of(subject(stencil([(SEA, "blue"), (box(0, 100, 400, 300), "red")], *holes)))
    assert codes((one, *one.consequences)) == ["hole-thins-piece"] * 3
    assert one.hardware == "pin 1"
