"""A change of a text is what differs, does what it says, and can be taken back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mateline.bench.keeping.changes import Change, NotItsTextError, applied, change_of, inverse

FEW = st.text("ab\n", max_size=30)  # so few letters that much is alike


@given(FEW, FEW)
def test_a_change_makes_the_one_text_into_the_other_and_back(old, new):
    change = change_of(old, new)
    assert applied(old, change) == new
    assert applied(new, inverse(change)) == old
    assert bool(change) == (old != new)


@given(FEW, FEW, FEW, FEW)
def test_what_is_alike_at_both_ends_is_no_part_of_it(start, one, other, end):
    change = change_of(start + one + end, start + other + end)
    assert len(change.removed) <= len(one)
    assert len(change.inserted) <= len(other)
    assert not (change.removed and change.inserted and change.removed[0] == change.inserted[0])


def test_one_reading_is_a_few_letters():
    assert change_of('A-B = "52 1/4"\n', 'A-B = "52 3/16"\n') == Change(10, "1/4", "3/16")


def test_a_change_of_another_text_is_not_made():
    with pytest.raises(NotItsTextError):
        applied("abc", Change(1, "x", "y"))
    with pytest.raises(NotItsTextError):
        applied("abc", Change(9, "", "y"))
