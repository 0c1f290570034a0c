"""Joins that leave a sliver whichever way the sheets are laid, and those that don't."""

from dataclasses import replace

import pytest
from shapely import box

from mateline.checks.joins import check
from mateline.checks.run import findings_of
from mateline.stencil.sheets.joins import grid_for
from specimens import BOARD, SEA, stencil, subject

# The face is 400 by 300: two sheets of 202 by 320 leave lines at 198 to 202 to choose from.
SHEETS = replace(BOARD, sheet=(202.0, 320.0))


def cut(shapes, board=SHEETS):
    made = stencil(shapes)
    return replace(made, grid=grid_for(made.face, made.pattern, made.pieces, board))


def test_a_band_that_every_line_shaves_is_told_with_its_width():
    """A band up to 203: 1 to 5 mm of it are left, and a line at 198 leaves 5."""
    made = cut([(box(150, 50, 203, 250), "red")])
    (finding,) = check(subject(made, board=SHEETS))
    assert (finding.code, finding.level, finding.face) == ("join-sliver", "warn", "body-front")
    assert finding.piece == "body-front R1"
    assert finding.at[0] == pytest.approx(203 - (203 - made.grid.xs[0]) / 2, abs=1e-3)
    assert "6.0 mm holds together" in finding.message
    assert "larger sheet" in finding.remedy


def test_a_part_that_is_too_small_is_told_with_its_area():
    """A block 15 high and 16 wide past the farthest line: 240 to 300 mm², least 400."""
    made = cut([(box(100, 100, 218, 115), "red")])
    (finding,) = check(subject(made, board=SHEETS))
    assert "cm² where 4.00 cm² can be handled" in finding.message


def test_a_line_that_finds_a_border_leaves_nothing():
    assert check(subject(cut([(SEA, "blue"), (box(150, 50, 200, 250), "red")]), board=SHEETS)) == ()


def test_one_sheet_has_no_join():
    assert check(subject(cut([(SEA, "blue")], BOARD), board=BOARD)) == ()


def test_all_checks_tell_of_it():
    made = cut([(box(150, 50, 203, 250), "red")])
    assert "join-sliver" in {each.code for each in findings_of(subject(made, board=SHEETS))}
