"""The sketch of an outline as a carpenter has it on paper: corner letters, lengths, the front.

Stands beside legend. Plain data, so that the book on a screen and the one for the wall show the
same. y is down, mm; the outline's upper left is (0, 0).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from mateline.curves import flattened
from mateline.products import norm
from mateline.tape.arcs.path import chain_of
from mateline.tape.reading import printed
from mateline.tape.report import side_name

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.tape.accuracy import Tape
    from mateline.tape.arcs.path import Side
    from mateline.tape.outline import Outline
    from mateline.tape.sureness import View

    Points = NDArray[np.float64]

FINE = 0.2  # mm: how far the sketch may leave a curve
# Sizes in the sketch, as shares of its longer side.
LETTER, LENGTH, LEAST = 0.06, 0.042, 0.026  # height of a corner's letter, of a length
AWAY, BESIDE = 0.055, 0.034  # from a corner to its letter, from a side to its length
EDGE = 0.12  # room about the outline
SIGN = 0.55  # no unit: width of a sign, as a share of its height
# What is written along the four sides of the sketch: left, right, below, above.
AROUND: dict[View | None, tuple[str, str, str, str]] = {
    "side": ("front", "back", "bottom", ""),
    "plan": ("left", "right", "front", "back"),
    "front": ("left", "right", "bottom", ""),
    None: ("", "", "", ""),
}


@dataclass(frozen=True, slots=True)
class Lettering:
    """Words centred at a place and turned clockwise by `turn_deg`; `size` is their height."""

    kind: Literal["corner", "length", "way"]
    words: str
    at: Point
    size: float
    turn_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Sketch:
    """The outline's `ring`, all that is lettered, the box round it (left, top, width, height), and
    the lengths in words.
    """

    ring: tuple[Point, ...]
    letters: tuple[Lettering, ...]
    box: tuple[float, float, float, float]
    told: str


def sketch_of(outline: Outline, tape: Tape, view: View | None) -> Sketch:
    """The outline as solved: corner letters, the length of each side, and what is where."""
    walk = outline.points
    if outline.arcs:
        walk = flattened(chain_of(outline.sides), FINE)[:-1]
    low, high = walk.min(axis=0), walk.max(axis=0)
    width, height = (high - low).tolist()
    long = max(width, height)

    def seen(points: Points) -> Points:
        return np.column_stack([points[:, 0] - low[0], high[1] - points[:, 1]])

    edge = EDGE * long
    lengths = [(side, printed(_along(side), tape)) for side in outline.sides]
    return Sketch(
        tuple((x, y) for x, y in seen(walk).tolist()),
        (
            *_corners(outline, seen(outline.points), long),
            *_lengths(lengths, seen, long),
            *_around(view, (width, height), long),
        ),
        (-2 * edge, -edge, width + 4 * edge, height + 2.6 * edge),
        "; ".join(f"{side_name(side.ends)} {words}" for side, words in lengths),
    )


def _corners(outline: Outline, spots: Points, long: float) -> Iterator[Lettering]:
    """Each corner's letter, outside it where its two sides point away from."""
    before, after = np.roll(spots, 1, axis=0), np.roll(spots, -1, axis=0)
    turns = np.sign(np.cross(spots - before, after - spots))
    for corner, spot, one, two, turn in zip(
        outline.corners, spots, before, after, turns, strict=True
    ):
        away = _unit(spot - one) + _unit(spot - two)
        away = away * (1.0 if turn <= 0 else -1.0)  # y is down here: a usual corner turns so
        x, y = spot + _unit(away) * AWAY * long
        yield Lettering("corner", corner, (float(x), float(y)), LETTER * long)


def _along(side: Side) -> float:
    """How long a side is, mm; a curved one as a tape lies on it."""
    chord = math.dist(side.start, side.to)
    bend = abs(side.bend)
    return chord * bend / 2 / math.sin(bend / 2) if bend else chord


def _lengths(
    lengths: Sequence[tuple[Side, str]], seen: Callable[[Points], Points], long: float
) -> Iterator[Lettering]:
    """Each side's length inside of it, or outside where it would lie on another's."""
    placed: list[Lettering] = []
    for side, words in lengths:
        inside, outside = (_length(side, seen, long, words, way) for way in (1, -1))
        placed.append(outside if any(_over(inside, each) for each in placed) else inside)
    yield from placed


def _over(one: Lettering, other: Lettering) -> bool:
    """Whether signs of one come nearer to signs of the other than both are high together."""
    apart = _signs(one)[:, None] - _signs(other)[None]
    nearest: float = np.min(np.hypot(apart[..., 0], apart[..., 1]))
    return nearest < (one.size + other.size) / 2


def _signs(letters: Lettering) -> Points:
    """The middles of its signs, (n, 2)."""
    count, turn = len(letters.words), math.radians(letters.turn_deg)
    along = SIGN * letters.size * (np.arange(count) - (count - 1) / 2)
    middles: Points = letters.at + np.outer(along, (math.cos(turn), math.sin(turn)))
    return middles


def _length(
    side: Side, seen: Callable[[Points], Points], long: float, words: str, way: int
) -> Lettering:
    """A side's length, written along it on the inside, or on the outside where `way` is -1."""
    (start, to) = seen(np.array([side.start, side.to]))
    run = to - start
    size = min(LENGTH, max(LEAST, 1.15 * norm(run) / long / len(words))) * long
    inward = _unit(np.array([run[1], -run[0]]))  # counter-clockwise, with y down
    bulge = side.bulge * norm(run) / 2  # how far the middle of a curve lies outside its chord
    x, y = (start + to) / 2 + inward * (way * BESIDE * long - bulge)
    turn = math.degrees(math.atan2(run[1], run[0]))
    turn = (turn + 90.5) % 180 - 90.5  # never upside down; upright lines are read from the right
    return Lettering("length", words, (float(x), float(y)), size, turn)


def _around(view: View | None, size: tuple[float, float], long: float) -> Iterator[Lettering]:
    """What lies on each side of the outline."""
    width, height = size
    off, letters = 1.35 * EDGE * long, LENGTH * long
    left, right, below, above = AROUND[view]
    places = (
        (left, (-off, height / 2), -90),
        (right, (width + off, height / 2), 90),
        (below, (width / 2, height + off), 0),
        (above, (width / 2, -off / 2), 0),
    )
    for words, at, turn in places:
        if words:
            yield Lettering("way", words, at, letters, turn)


def _unit(vector: Points) -> Points:
    long: Points = vector / max(norm(vector), 1e-9)
    return long
