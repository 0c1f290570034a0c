"""The board of a definition: what it says, and what can't be."""

from mateline.definition.board import board_of
from mateline.definition.schema import StencilTable
from rulers import ruler


def board(**words):
    reader = ruler(file="board")
    return board_of(StencilTable(**words), reader), reader.faults.kept


def test_the_tape_over_joins_is_as_wide_as_is_said():
    assert [board()[0].join_tape, board(join_tape="19 mm")[0].join_tape] == [24.0, 19.0]


def test_a_sheet_that_no_two_parts_come_from_is_refused():
    _, (fault,) = board(sheet=("11 mm", "500 mm"))
    assert fault.what == (
        "A sheet of 11.0 mm by 500.0 mm can't be cut into parts of 6.0 mm, the least width."
    )


def test_a_sheet_of_two_least_widths_is_taken():
    found, faults = board(sheet=("12 mm", "500 mm"))
    assert (found.sheet, faults) == ((12.0, 500.0), [])
