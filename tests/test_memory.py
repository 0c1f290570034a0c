"""Memory: equal values are recalled, others are not, and it stays bounded."""

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon

from mateline.memory import AFRESH, Memory


@dataclass(frozen=True, slots=True)
class Plank:
    name: str
    width: float


@dataclass(frozen=True, slots=True)
class Slat:
    name: str
    width: float


# Values of which no two are equal, though many print or compare alike: one key each.
UNLIKE = [
    None, False, True, 0, 1, 2, -1, 0.0, -0.0, 1.0, math.inf, "", "0", "1", "None", b"", b"0",
    (), [], {}, frozenset(), (0,), [0], (0, 0), ((0,), 0), (0, (0,)), ("ab", "c"), ("a", "bc"),
    {"a": 1, "b": 2}, {"b": 2, "a": 1}, {"a": 2, "b": 1}, {"a": {"b": 1}},
    frozenset({1}), frozenset({1, 2}), Fraction(1, 2), Fraction(2, 4) + 1, Path("a"), Path("b"),
    np.array([0.0, 1.0]), np.array([[0.0, 1.0]]), np.array([0, 1]), np.array([0.0, -1.0]),
    np.array([Point(0, 0)], dtype=object), np.float64(0.5), np.float32(0.5), np.int64(3),
    Point(0, 0), Point(0, 1), Point(0, 0, 0), shapely.LineString([(0, 0), (0, 1)]),
    shapely.box(0, 0, 1, 1), Polygon([(0, 0), (1, 0), (1, 1), (0, 1)]), Polygon(),
    Plank("a", 1.0), Plank("a", 2.0), Slat("a", 1.0), ("a", 1.0),
]  # fmt: skip


def test_values_that_differ_have_different_keys():
    memory = Memory()
    keys = [memory.key(value) for value in UNLIKE]
    alike = [
        (UNLIKE[i], UNLIKE[j]) for i in range(len(keys)) for j in range(i) if keys[i] == keys[j]
    ]
    assert alike == []


@given(st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(),
    lambda inner: st.lists(inner).map(tuple) | st.dictionaries(st.text(), inner),
    max_leaves=8,
))  # fmt: skip
def test_a_value_made_again_has_the_same_key(value):
    copy = eval(repr(value), {"inf": math.inf})  # noqa: S307  the value is the test's own
    assert Memory().key(value) == Memory().key(copy)


def test_a_stage_is_run_once_for_equal_values_however_they_were_made():
    runs = []

    def widened(plank, by):
        runs.append(plank)
        return replace(plank, width=plank.width + by.sum())

    memory = Memory()
    first = memory.recall(widened, Plank("a", 1.0), np.array([1.0, 2.0]))
    again = memory.recall(widened, Plank(str(b"a", "ascii"), 1.0), np.array([1.0, 2.0]))
    assert first is again
    assert first == Plank("a", 4.0)
    assert len(runs) == memory.ran == 1
    memory.recall(widened, Plank("a", 1.0), np.array([1.0, 2.5]))
    assert len(runs) == 2


def test_two_stages_do_not_share_results():
    memory = Memory()
    assert (memory.recall(math.sin, 1.0), memory.recall(math.cos, 1.0)) == (
        math.sin(1.0), math.cos(1.0)
    )  # fmt: skip


def test_a_result_of_nothing_is_remembered_too():
    runs = []
    memory = Memory()
    for _ in range(2):
        assert memory.recall(runs.append, 1) is None
    assert runs == [1]


def test_what_was_not_asked_for_lately_is_forgotten():
    memory = Memory(turns=2)
    for turn in range(5):
        memory.begin_turn()
        memory.recall(Plank, "kept", 1.0)
        memory.recall(Plank, f"{turn}", 1.0)
    assert len(memory) == 4  # the one asked for each time, and those of this and two turns before
    before = memory.ran
    memory.recall(Plank, "kept", 1.0)
    memory.recall(Plank, "2", 1.0)
    assert memory.ran == before
    memory.recall(Plank, "1", 1.0)
    assert memory.ran == before + 1


def test_keys_of_forgotten_objects_are_forgotten_with_them():
    memory = Memory(turns=1)
    for turn in range(20):
        memory.begin_turn()
        memory.key(Plank(f"{turn}", 1.0))
    assert len(memory._keys) == 2


def test_an_error_is_not_remembered():
    memory, calls = Memory(), []

    def fails(value):
        calls.append(value)
        raise ValueError(value)

    for _ in range(2):
        with pytest.raises(ValueError, match="saw"):
            memory.recall(fails, "saw")
    assert calls == ["saw", "saw"]
    assert len(memory) == 0


def test_a_value_without_a_key_is_a_bug_and_loud():
    with pytest.raises(TypeError, match="type object has no key"):
        Memory().key(object())


def test_afresh_runs_each_time():
    runs = []
    for _ in range(2):
        AFRESH.recall(runs.append, 1)
    assert runs == [1, 1]
