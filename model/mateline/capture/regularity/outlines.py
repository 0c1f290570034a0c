"""What was traced as a frame that can be adjusted again, and back.

Stands first in regularity. Instead of the picture's places there are `PLACES` on each segment,
with errors that give the segment the error that its border is expected to have: a line through n
places of error s leaves s sqrt(2 / n) at them. Guessed stretches have none.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline import curves
from mateline.capture.fitting.adjustment import DECIMALS, Measured
from mateline.capture.fitting.courses import OUTSIDE
from mateline.capture.fitting.frame import Frame
from mateline.capture.fitting.rim import Rim, rim_of
from mateline.capture.traced import Traced
from mateline.curves import Chain, Segment

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.capture.traced import TracedBorder
    from mateline.curves import Point

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

PLACES = 12  # on a segment
LEAST = 0.003  # mm: no border is surer
HIDDEN = 1.0  # mm: the error of a segment that no paint shows
FLATTEST = 1 / 1900  # half the turn of the flattest arc, as in borders
STRAIGHT = 1e-9  # no unit: sine of a turn of the outline that is none


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """`traced` as a frame: the first vertices are its nodes. `segments` are those of each border
    but the rims; `rims` the nodes on the outline; `errors` (s,) each segment's own, mm.
    """

    traced: Traced
    frame: Frame
    measured: Measured
    segments: Mapping[int, tuple[int, ...]]
    rims: Ints
    rim: Rim
    errors: Floats


def drawn(traced: Traced) -> Drawn:
    """The frame of what was traced."""
    at: list[Point] = list(traced.nodes)
    table: list[tuple[int, int, float, bool]] = []
    own: dict[int, tuple[int, ...]] = {}
    places, errors, of, each_error = [], [], [], []
    for number, border in enumerate(traced.borders):
        if OUTSIDE in {border.left, border.right}:
            continue
        segments = []
        ends = _vertices(border, at)
        along, before = 0.0, border.chain.start
        for tail, head, segment in zip(ends, ends[1:], border.chain.segments, strict=False):
            row = len(table)
            size = curves.length(Chain(before, (segment,)))
            table.append(
                (tail, head, curves.sweep(before, segment) / 2, segment.centre is not None)
            )
            spots, error = _spots(border, before, segment, along)
            places.append(spots)
            errors.append(np.full(len(spots), error * np.sqrt(len(spots) / 2)))
            each_error.append(error)
            of.append(np.full(len(spots), row, dtype=np.int64))
            segments.append(row)
            along, before = along + size, segment.to
        own[number] = tuple(segments)
    frame = Frame(
        np.array(at, dtype=np.float64).reshape(-1, 2),
        np.array([each[0] for each in table], dtype=np.int64),
        np.array([each[1] for each in table], dtype=np.int64),
        np.array([each[2] for each in table], dtype=np.float64),
        np.array([each[3] for each in table], dtype=bool),
    )
    measured = Measured(
        np.concatenate([np.zeros((0, 2)), *places]),
        np.concatenate([np.zeros(0), *errors]),
        np.concatenate([np.zeros(0, dtype=np.int64), *of]),
    )
    rims = {
        node for border in traced.borders
        if OUTSIDE in {border.left, border.right} and border.start >= 0
        for node in (border.start, border.end)
    }  # fmt: skip
    return Drawn(
        traced, frame, measured, own, np.array(sorted(rims), dtype=np.int64),
        rim_of(_outline(traced)), np.array(each_error, dtype=np.float64),
    )  # fmt: skip


def redrawn(own: Drawn, frame: Frame, circles: Mapping[int, tuple[Point, float]]) -> Traced:
    """What was traced, with the vertices and turns of another frame. `circles` are rings that are
    one circle: its centre and radius.
    """
    at = np.round(frame.at, DECIMALS)
    feet = {}
    for node in own.rims.tolist():
        x, y = frame.at[node].tolist()
        _, number, share = own.rim.foot((x, y))
        feet[node] = (number, share)
        at[node] = own.rim.place(number, share)
    borders = []
    for number, border in enumerate(own.traced.borders):
        if number in circles:
            chain = curves.circle(*circles[number])
            left = frame.turn[own.segments[number][0]] > 0
            chain = chain if left else curves.backwards(chain)
        elif number in own.segments:
            chain = _chain(own.segments[number], frame, at)
        elif border.start < 0:
            chain = border.chain
        elif border.right == OUTSIDE:
            chain = own.rim.between(feet[border.start], feet[border.end])
        else:
            chain = curves.backwards(own.rim.between(feet[border.end], feet[border.start]))
        borders.append(replace(border, chain=chain))
    nodes = tuple((x, y) for x, y in at[: len(own.traced.nodes)].tolist())
    return Traced(nodes, tuple(borders), own.traced.regions)


def _vertices(border: TracedBorder, at: list[Point]) -> list[int]:
    """Vertices of a border in order; those that are no nodes are added."""
    inner = [each.to for each in border.chain.segments[:-1]]
    if border.start < 0:
        inner = [border.chain.start, *inner]
    first = len(at)
    at.extend(inner)
    fresh = list(range(first, len(at)))
    if border.start < 0:
        return [*fresh, first]
    return [border.start, *fresh, border.end]


def _spots(
    border: TracedBorder, before: Point, segment: Segment, along: float
) -> tuple[Floats, float]:
    """Places on a segment where paint shows it, and its expected error."""
    share = (np.arange(PLACES) + 0.5) / PLACES
    a, b = np.array(before), np.array(segment.to)
    if segment.centre is None:
        spots = a + share[:, None] * (b - a)
        size = float(np.hypot(*(b - a)))
    else:
        centre, turn = np.array(segment.centre), curves.sweep(before, segment)
        first = np.arctan2(*(a - centre)[::-1])
        reach = curves.radius(segment)
        angle = first + share * turn
        spots = centre + reach * np.column_stack([np.cos(angle), np.sin(angle)])
        size = reach * abs(turn)
    seen = np.ones(PLACES, dtype=bool)
    for low, high in border.guessed:
        seen &= (along + share * size < low) | (along + share * size > high)
    if seen.sum() < 3:
        return spots, HIDDEN
    return spots[seen], max(border.error, LEAST)


def _chain(segments: Sequence[int], frame: Frame, at: Floats) -> Chain:
    x, y = at[frame.tail[segments[0]]].tolist()
    start = before = (x, y)
    made = []
    for segment in segments:
        x, y = at[frame.head[segment]].tolist()
        turn = float(frame.turn[segment])
        if (x, y) == before:
            continue
        if not frame.round[segment] or abs(turn) < FLATTEST:
            made.append(Segment((x, y)))
        else:
            half = np.array([x - before[0], y - before[1]]) / 2
            share = float(np.cos(turn) / np.sin(turn))
            cx = before[0] + half[0] - share * half[1]
            cy = before[1] + half[1] + share * half[0]
            made.append(Segment((x, y), (float(cx), float(cy)), turn > 0))
        before = (x, y)
    return Chain(start, tuple(made))


def _outline(traced: Traced) -> Chain:
    """The rims end to end, without the nodes that no corner is at."""
    rims = {}
    for border in traced.borders:
        if border.right == OUTSIDE:
            rims[border.start] = (border.end, border.chain)
        elif border.left == OUTSIDE:
            rims[border.end] = (border.start, curves.backwards(border.chain))
    at = min(rims)
    segments: list[Segment] = []
    start = rims[at][1].start
    for _ in range(len(rims)):
        at, chain = rims[at]
        segments.extend(chain.segments)
    merged: list[Segment] = []
    before = start
    for segment in segments:
        if merged and _goes_on(start if len(merged) == 1 else merged[-2].to, merged[-1], segment):
            merged[-1] = segment
        else:
            merged.append(segment)
        before = segment.to
    if before != start:
        raise ValueError("the rims do not close")
    return Chain(start, tuple(merged))


def _goes_on(at: Point, one: Segment, other: Segment) -> bool:
    """Whether a line of the outline goes on in the next one."""
    if one.centre is not None or other.centre is not None:
        return one.centre is not None and one.centre == other.centre
    a, b = np.subtract(one.to, at), np.subtract(other.to, one.to)
    across = abs(float(a[0] * b[1] - a[1] * b[0]))
    return across <= STRAIGHT * float(np.hypot(*a) * np.hypot(*b)) and float((a * b).sum()) > 0
