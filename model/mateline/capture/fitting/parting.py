"""Courses parted where only a stretch of them has to go back to its places.

Stands in fitting after steps, before network. A stripe whose label is torn at one end would be
drawn from pixel to pixel all around. Parted at two of its places, it keeps its lines elsewhere; in
the end the parts are one border again, of the course's own number.

    Parted    a network with more courses and nodes, and which of them are parts of which
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline import curves
from mateline.capture.fitting.courses import RING, Course, Network
from mateline.capture.fitting.steps import LINES, ROUGH, Step
from mateline.capture.traced import TracedBorder, expected_error
from mateline.curves import Chain

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.capture.fitting.steps import Faulty, Spans
    from mateline.capture.traced import TracedRegion

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

MARGIN = 6  # places beside a stretch at fault that go with it
LEAST = 12  # places of a part that is worth to be one
AROUND = 4.0  # mm around where it crosses something that a course goes back in
MET = 1e-3  # mm: stretches so near one another are one


@dataclass(frozen=True, slots=True)
class Parted:
    """`parts` has the courses of `network` that each course of the first one is now, in order; a
    ring's begin where it was parted. The first one had `nodes`; those after them are where.
    """

    network: Network
    parts: tuple[tuple[int, ...], ...]
    nodes: int

    def back(self, borders: Sequence[TracedBorder]) -> tuple[TracedBorder, ...]:
        """The borders of the first network's courses."""
        return tuple(
            borders[own[0]] if len(own) == 1
            else _one(tuple(borders[at] for at in own), self.nodes)
            for own in self.parts
        )  # fmt: skip

    def firsts(self, numbers: Iterable[int]) -> tuple[int, ...]:
        """Which of the first network's courses have any of these parts."""
        asked = set(numbers)
        return tuple(at for at, own in enumerate(self.parts) if asked & set(own))


def whole(network: Network) -> Parted:
    """No course parted."""
    return Parted(network, tuple((at,) for at in range(len(network.courses))), len(network.nodes))


def parted_where_rough(
    now: Parted,
    steps: dict[int, Step],
    wrong: Faulty,
    spans: Mapping[int, Spans],
    spots: Mapping[int, Floats],
) -> Parted:
    """Courses that went back to their places in this round, for a fault of some of their segments,
    parted there, near `spots` (k, 2) if it is known where: only these go back, what is left stays a
    step before. Sets the steps of all parts.
    """
    for number, segments in wrong.items():
        if steps[number].whole != ROUGH or not segments or number not in spans:
            continue
        own = [spans[number][at] for at in sorted(segments)]
        places = now.network.courses[number].places
        found = parted(now, number, *_run(_near(own, places, spots.get(number))))
        if found is None:
            continue
        now, kept = found
        step = steps[number]
        for at, (part, of) in enumerate(kept.items()):
            leave = None if step.leave is None else replace(step.leave, where=step.leave.where[of])
            steps[part] = Step(step.near[of], ROUGH if at == 0 else LINES, leave)
    return now


def _near(spans: Spans, places: Floats, spots: Floats | None) -> Spans:
    """What of the spans is near a spot, or all of them."""
    if spots is None:
        return spans
    at = np.concatenate([np.arange(first, last) for first, last in spans]) % len(places)
    away = shapely.distance(shapely.points(places[at]), shapely.multipoints(spots))
    close: Spans = [(int(each), int(each)) for each in np.unique(at[np.round(away, 6) <= AROUND])]
    return close or spans


def _run(spans: Spans) -> tuple[int, int]:
    """The first of what spans (first, last) in a row cover together; the others are found at fault
    by themselves, if they still are.
    """
    first, last = spans[0]
    for low, high in spans[1:]:
        if low > last + 2 * MARGIN:
            break
        last = max(last, high)
    return first, last


def parted(
    now: Parted, number: int, first: int, last: int
) -> tuple[Parted, dict[int, Ints]] | None:
    """Course `number` parted so that its places from `first` to `last` and some beside them are a
    course of their own; and which of its places each of its parts has, that one first. None where
    hardly anything would be left.
    """
    course = now.network.courses[number]
    if course.path is None:
        return None
    pieces = (_ring_pieces if course.ring else _line_pieces)(
        course.places, course.path, first - MARGIN, last + MARGIN
    )
    if sum(len(each.of) for each in pieces[1:]) < LEAST:
        return None
    return _with(now, number, pieces)


def _line_pieces(places: Floats, path: Floats, low: int, high: int) -> list[_Piece]:
    """The stretch of a course from place `low` to `high`, and what is before and after it, where
    that is worth to be a part; nothing where none is.
    """
    count = len(places)
    start = places[low] if low >= LEAST else None
    end = places[high] if count - high > LEAST else None
    one = 0 if start is None else _nearest(path, start)
    other = len(path) - 1 if end is None else _nearest(path, end)
    if one >= other:
        return []
    within = np.arange(0 if start is None else low + 1, count if end is None else high)
    pieces = [_piece(within, path[one : other + 1], (start, end))]
    if start is not None:
        pieces.append(_piece(np.arange(low), path[: one + 1], (None, start)))
    if end is not None:
        pieces.append(_piece(np.arange(high + 1, count), path[other:], (end, None)))
    return pieces


def _ring_pieces(places: Floats, path: Floats, low: int, high: int) -> list[_Piece]:
    """The stretch of a ring from place `low` to `high`, which may be beyond its ends, and the rest;
    nothing where that is hardly any.
    """
    count = len(places)
    if high - low + 1 > count - LEAST:
        return []
    start, end = places[low % count], places[high % count]
    if (path[0] == path[-1]).all():
        path = path[:-1]
    path = np.roll(path, -_nearest(path, start), axis=0)
    path = np.vstack([path, path[:1]])
    at = _nearest(path, end)
    if not 0 < at < len(path) - 1:
        return []
    middle = _piece(np.arange(low + 1, high) % count, path[: at + 1], (start, end))
    rest = np.arange(high + 1, low + count) % count
    return [middle, _piece(rest, path[at:], (end, start))]


@dataclass(frozen=True, slots=True, eq=False)
class _Piece:
    """A part of a course: which `of` its places, the path along them, and the new nodes at its
    ends, None for the old.
    """

    of: Ints
    path: Floats
    ends: tuple[Floats | None, Floats | None]


def _piece(of: Ints, path: Floats, ends: tuple[Floats | None, Floats | None]) -> _Piece:
    """The part with these places, along a part of a path; at a new node that has a vertex less, for
    it may lie behind the node.
    """
    start, end = ends
    inner = path[(start is not None) : len(path) - (end is not None)]
    before, after = (np.zeros((0, 2)) if each is None else each[None] for each in ends)
    return _Piece(of, np.vstack([before, inner, after]), ends)


def _nearest(path: Floats, spot: Floats) -> int:
    return int(np.argmin(np.round(np.hypot(*(path - spot).T), 9)))


def _with(now: Parted, number: int, pieces: list[_Piece]) -> tuple[Parted, dict[int, Ints]]:
    """The network with course `number` in parts, and which of its places each has; the first piece
    is the one in the middle.
    """
    network = now.network
    course, courses = network.courses[number], list(network.courses)
    nodes = [*network.nodes]
    numbered: dict[bytes, int] = {}

    def node(spot: Floats | None, old: int) -> int:
        if spot is None:
            return old
        if spot.tobytes() not in numbered:
            numbered[spot.tobytes()] = len(nodes)
            nodes.append(spot)
        return numbered[spot.tobytes()]

    def placed(piece: _Piece) -> Course:
        return Course(
            node(piece.ends[0], course.start), node(piece.ends[1], course.end), course.left,
            course.right, course.places[piece.of], course.errors[piece.of],
            course.sound[piece.of], piece.path,
        )  # fmt: skip

    own = len(courses)
    order: list[int] = []
    kept: dict[int, Ints] = {}
    for there, piece in zip((own, number, own + 1), pieces, strict=False):
        courses[there : there + 1] = [placed(piece)]  # in place of the course, or behind the last
        kept[there] = piece.of
        before = not course.ring and piece.ends[0] is None
        order = [there, *order] if before else [*order, there]
    made = Network(np.array(nodes), tuple(courses), _walked(network, number, order), network.slack)
    parts = tuple(
        tuple(each for old in known for each in (order if old == number else (old,)))
        for known in now.parts
    )
    return replace(now, network=made, parts=parts), kept


def _walked(network: Network, number: int, order: list[int]) -> tuple[TracedRegion, ...]:
    """The regions, around the parts in place of the course."""
    back = [~at for at in reversed(order)]
    return tuple(
        replace(region, loops=tuple(
            tuple(
                each for old in loop
                for each in (order if old == number else back if old == ~number else (old,))
            )
            for loop in region.loops
        ))
        for region in network.regions
    )  # fmt: skip


def _one(parts: tuple[TracedBorder, ...], nodes: int) -> TracedBorder:
    """Borders end to end as one; a ring, if it begins at none of the first `nodes`."""
    segments = tuple(segment for each in parts for segment in each.chain.segments)
    guessed: list[tuple[float, float]] = []
    along = 0.0
    for each in parts:
        for begin, end in each.guessed:
            joins = bool(guessed) and begin == 0.0 and abs(guessed[-1][1] - along) < MET
            before = guessed.pop()[0] if joins else round(along + begin, 3)
            guessed.append((before, round(along + end, 3)))
        along += curves.length(each.chain)
    error = expected_error(parts) or max(each.error for each in parts)
    first, last = parts[0], parts[-1]
    closed = first.start >= nodes
    return TracedBorder(
        Chain(first.chain.start, segments),
        RING if closed else first.start, RING if closed else last.end,
        first.left, first.right, tuple(guessed), round(error, 6),
    )  # fmt: skip
