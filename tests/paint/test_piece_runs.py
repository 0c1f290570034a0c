"""Pieces in few words."""

import pytest

from mateline.paint.piece_runs import runs_said


def test_numbers_that_follow_one_another_are_one_run():
    names = [f"G{number}" for number in range(1, 13)]
    assert runs_said([("body-left", [*names, "G15"])]) == "body-left G1\u2013G12, G15"


def test_two_are_both_named_and_order_is_by_number():
    assert runs_said([("top", ["R10", "R2", "R9"]), ("front", ["R1"])]) == (
        "top R2, R9, R10; front R1"
    )


def test_letters_do_not_run_into_one_another():
    assert runs_said([("top", ["B2", "A1", "A2", "A3"])]) == "top A1\u2013A3, B2"


def test_what_is_no_name_of_a_piece_is_our_fault():
    with pytest.raises(ValueError, match="is no name"):
        runs_said([("top", ["G"])])
