"""Stages that remember: results kept by the values that they were made from.

Stands before every stage and knows none. A stage is a function of plain data; asked again with
equal data it gives what it gave before, so whoever surveys a cabinet after each change does again
only what the change reaches. Nothing is ever invalidated by hand.

    value    what an object holds, however it was made: two of one value have one key
    turn     one survey; what has not been asked for in the last `turns` of them is forgotten

A value's key is a hash of all that it holds, 20 bytes, so that two values which ever meet have one
key only if they are equal. Data must not change once they were handed over: those of the road are
frozen, and their arrays and dictionaries are treated so.
"""

from __future__ import annotations

import struct
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from fractions import Fraction
from functools import singledispatch
from hashlib import blake2b
from pathlib import Path
from typing import TYPE_CHECKING, Any, ParamSpec, Protocol, TypeVar

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

P = ParamSpec("P")
R = TypeVar("R")
K = TypeVar("K")

TURNS = 8  # surveys for which a result is kept without being asked for
SIZE = 20  # bytes of a key


class Stages(Protocol):
    """What runs the stages of a survey."""

    remembers: bool

    def recall(self, stage: Callable[P, R], *given: P.args, **named: P.kwargs) -> R:
        """What `stage` gives for these values."""

    def recall_each(self, stage: Callable[..., R], calls: Sequence[tuple[Any, ...]]) -> list[R]:
        """What `stage` gives for each of `calls`, none of which needs another one's result."""


class Afresh:
    """Runs each stage and remembers nothing: for a single survey."""

    remembers = False

    def recall(self, stage: Callable[P, R], *given: P.args, **named: P.kwargs) -> R:
        """What `stage` gives for these values."""
        return stage(*given, **named)

    def recall_each(self, stage: Callable[..., R], calls: Sequence[tuple[Any, ...]]) -> list[R]:
        """What `stage` gives for each of `calls`."""
        return [stage(*call) for call in calls]


AFRESH = Afresh()


class Memory:
    """Runs a stage only for values that it was not run for lately.

    Bounded: what the last `turns` surveys did not ask for is forgotten. An exception is not
    remembered; the stage is run again. For one thread at a time. `ran` counts the stages run.
    """

    remembers = True

    def __init__(self, turns: int = TURNS) -> None:
        self._turns, self._turn = turns, 0
        self._results: OrderedDict[bytes, tuple[int, Any]] = OrderedDict()
        # Keys of objects by identity; holding the object keeps its id from being used again.
        self._keys: OrderedDict[int, tuple[int, tuple[Any, bytes]]] = OrderedDict()
        self.ran = 0

    def __len__(self) -> int:
        return len(self._results)

    def begin_turn(self) -> None:
        """Start a survey: forget what has not been asked for in the last ones."""
        self._turn += 1
        oldest = self._turn - self._turns
        _forget(self._results, oldest)
        _forget(self._keys, oldest)

    def recall(self, stage: Callable[P, R], *given: P.args, **named: P.kwargs) -> R:
        """What `stage` gives for these values, from memory where it has been asked before.

        Raises TypeError for values of a kind that has no key.
        """
        key = self.key((f"{stage.__module__}.{stage.__qualname__}", given, named))
        found = self._results.get(key)
        result: R = stage(*given, **named) if found is None else found[1]
        self.ran += found is None
        self._results[key] = self._turn, result
        self._results.move_to_end(key)
        return result

    def recall_each(self, stage: Callable[..., R], calls: Sequence[tuple[Any, ...]]) -> list[R]:
        """What `stage` gives for each of `calls`."""
        return [self.recall(stage, *call) for call in calls]

    def key(self, value: Any) -> bytes:
        """The key of a value.

        Raises TypeError for a kind that has none.
        """
        if not is_dataclass(value):
            return _hash(_parts(value, self.key))
        known = self._keys.get(id(value))
        key = _hash(_parts(value, self.key)) if known is None else known[1][1]
        self._keys[id(value)] = self._turn, (value, key)
        self._keys.move_to_end(id(value))
        return key


def _forget(store: OrderedDict[K, tuple[int, Any]], oldest: int) -> None:
    """Drop what was last asked for before the turn `oldest`; the store is in that order."""
    while store and next(iter(store.values()))[0] < oldest:
        store.popitem(last=False)


def _hash(parts: Iterable[bytes]) -> bytes:
    found = blake2b(digest_size=SIZE)
    for part in parts:
        found.update(part)
    return found.digest()


def _marked(kind: str, content: bytes) -> bytes:
    """A content that no other kind or length can be taken for."""
    return struct.pack("<HQ", len(kind), len(content)) + kind.encode() + content


@singledispatch
def _parts(value: Any, key: Callable[[Any], bytes]) -> Iterable[bytes]:
    """What a key is the hash of; `key` gives that of whatever the value holds."""
    if not is_dataclass(value) or isinstance(value, type):
        raise TypeError(f"a value of type {type(value).__name__} has no key")
    yield _marked("object", type(value).__qualname__.encode())
    for field in fields(value):
        yield key(getattr(value, field.name))


@_parts.register(type(None))
@_parts.register(int)  # and bool
@_parts.register(str)
@_parts.register(Fraction)
@_parts.register(date)
@_parts.register(Path)
def _word(value: Any, key: Callable[[Any], bytes]) -> Iterable[bytes]:  # noqa: ARG001
    yield _marked(type(value).__name__, repr(value).encode())


@_parts.register(float)
@_parts.register(np.generic)
def _number(value: Any, key: Callable[[Any], bytes]) -> Iterable[bytes]:  # noqa: ARG001
    array = np.asarray(value)
    yield _marked(f"number {array.dtype.str}", array.tobytes())


@_parts.register(bytes)
def _bytes(value: bytes, key: Callable[[Any], bytes]) -> Iterable[bytes]:  # noqa: ARG001
    yield _marked("bytes", value)


@_parts.register(tuple)
@_parts.register(list)
def _sequence(value: Any, key: Callable[[Any], bytes]) -> Iterable[bytes]:
    yield _marked(type(value).__name__, struct.pack("<q", len(value)))
    yield from map(key, value)


@_parts.register(Mapping)
def _mapping(value: Mapping[Any, Any], key: Callable[[Any], bytes]) -> Iterable[bytes]:
    yield _marked("mapping", struct.pack("<q", len(value)))
    for name, held in value.items():  # their order is part of the value
        yield key(name)
        yield key(held)


@_parts.register(frozenset)
def _set(value: frozenset[Any], key: Callable[[Any], bytes]) -> Iterable[bytes]:
    yield _marked("set", struct.pack("<q", len(value)))
    yield from sorted(map(key, value))


@_parts.register(np.ndarray)
def _array(value: np.ndarray[Any, Any], key: Callable[[Any], bytes]) -> Iterable[bytes]:
    kind = f"array {value.dtype.str} {value.shape}"
    if value.dtype == object:
        yield _marked(kind, b"")
        yield from map(key, value.ravel().tolist())
    else:
        yield _marked(kind, np.ascontiguousarray(value).tobytes())


@_parts.register(shapely.Geometry)
def _geometry(value: shapely.Geometry, key: Callable[[Any], bytes]) -> Iterable[bytes]:  # noqa: ARG001
    yield _marked("geometry", shapely.to_wkb(value))
