"""What is spelled as TOML is read as it was."""

import tomllib
from datetime import date, datetime, time, timedelta, timezone
from math import isnan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mateline.bench.keeping.toml.literals import key, plain, value, value_like

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
LEAF = (
    st.integers(-(2**63), 2**63 - 1) | st.floats(allow_nan=False) | st.booleans() | TEXT
    | st.dates() | st.times().map(lambda t: t.replace(fold=0)) | st.datetimes()
)  # fmt: skip
VALUE = st.recursive(
    LEAF, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXT, inner, max_size=3)
)


@given(VALUE)
def test_a_value_is_read_as_it_was(given_value):
    assert tomllib.loads(f"x = {value(given_value)}") == {"x": given_value}
    assert plain(given_value) == given_value


@given(TEXT)
def test_a_key_is_read_as_it_was(name):
    assert tomllib.loads(f"{key(name)} = 1") == {name: 1}


@pytest.mark.parametrize("spelled", ["'a'", '"a"', '"""a\nb"""', "3", "'''a'''"])
@given(text=TEXT)
def test_a_text_in_the_place_of_another_is_read_as_it_was(spelled, text):
    assert tomllib.loads(f"x = {value_like(spelled, text)}") == {"x": text}


def test_numbers_that_are_none_are_spelled():
    assert [value(float(each)) for each in ("inf", "-inf", "nan")] == ["inf", "-inf", "nan"]
    assert isnan(tomllib.loads(f"x = {value(float('nan'))}")["x"])


@pytest.mark.parametrize(("literal", "read"), [
    ("2027-04-05", date(2027, 4, 5)), ("10:00:00", time(10)), ("0x1F", 31), ('"a # b"', "a # b"),
    ("2027-04-05T10:00:00+01:00", datetime(2027, 4, 5, 10, tzinfo=timezone(timedelta(hours=1)))),
    ("[1, 2]", [1, 2]),
])  # fmt: skip
def test_a_literal_is_what_toml_reads_in_it(literal, read):
    assert plain({"$toml": literal}) == read
    assert plain([{"a": {"$toml": literal}}]) == [{"a": read}]
    assert value([{"$toml": literal}]) == f"[{literal}]"
