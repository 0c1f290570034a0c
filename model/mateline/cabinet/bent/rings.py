"""Curved sides of an outline in facets, and the boards that stand on them.

Stands after panel, before carcase.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import accumulate, groupby
from typing import TYPE_CHECKING

import numpy as np

from mateline.cabinet.panel import CURVED, Bend, Frame, Run, vector
from mateline.curves import facet_count
from mateline.planar.offsets import Curved, spread

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.cabinet.panel import Panel
    from mateline.curves import Point
    from mateline.tape.arcs.path import Side


def label(ends: tuple[str, ...]) -> str:
    """`A-B` for a side, `C` for a round corner."""
    return "-".join(dict.fromkeys(ends))


def ring_of(
    sides: Sequence[Side], edges: list[str], thickest: float
) -> list[tuple[Point, str | None, str]]:
    """The corners of an outline with those of its facets: where, the name, and the board beyond."""
    ring: list[tuple[Point, str | None, str]] = []
    for at, (side, beyond) in enumerate(zip(sides, edges, strict=True)):
        rounded = side.ends[0] == side.ends[1] or sides[at - 1].ends[0] == sides[at - 1].ends[1]
        corner = None if rounded else side.ends[0]
        spots = spread(walked(side), facets_of(side, thickest))
        ring += [(spot, None if step else corner, beyond) for step, spot in enumerate(spots)]
    return ring


def facets_of(side: Side, thickest: float) -> int:
    """How many facets a side has; moved in by a board, a hollow arc grows."""
    if side.centre is None:
        return 1
    reach = math.dist(side.start, side.centre) + (thickest if side.bulge < 0 else 0.0)
    return facet_count(reach, side.bend)


def runs_of(sides: Sequence[Side], neighbours: list[str]) -> tuple[Run, ...]:
    """The curved sides of an outline; `neighbours` tell how many facets each has."""
    if all(side.centre is None for side in sides):
        return ()
    counts = [len(list(group)) for _, group in groupby(neighbours)]
    starts = [0, *accumulate(counts)]
    return tuple(
        Run(starts[at], counts[at], side.centre, side.bulge > 0)
        for at, side in enumerate(sides)
        if side.centre is not None
    )


def turned_round(runs: tuple[Run, ...], count: int) -> tuple[Run, ...]:
    """Runs of a ring of `count` edges that is walked the other way from the same corner."""
    return tuple(replace(run, first=count - run.first - run.count) for run in reversed(runs))


def walked(side: Side) -> Curved:
    """The side of an outline as one of a board."""
    return Curved(side.start, side.to, side.centre, side.bulge > 0)


def bent(panel: Panel, side: Side) -> Panel:
    """A board that stands on a curved side: as long as its outside, touching its first corner."""
    (x, y), frame = panel.outline[1], panel.frame
    upright = abs(y) > abs(x)
    chord = y if upright else x
    way = np.array(frame.along_y if upright else frame.along_x)
    radius = math.dist(side.start, side.to) / 2 / math.sin(side.bend / 2)
    stretch = radius * side.bend / abs(chord)
    half = math.copysign(side.bend / 2, side.bend * chord)
    turned = vector(math.cos(half) * way + math.sin(half) * np.array(frame.outward))
    along = (frame.along_x, turned) if upright else (turned, frame.along_y)
    return replace(
        panel,
        frame=Frame(frame.corner, *along),
        outline=tuple((x, y * stretch) if upright else (x * stretch, y) for x, y in panel.outline),
        bend=Bend(radius, upright),
    )


def in_facets(panel: Panel, count: int) -> Panel:
    """A bent board with its two curved edges in `count` equal parts, for what is made of facets.

    The first part of an edge has all the holes in it.
    """
    outline: list[Point] = []
    edges, runs = [], []
    for at, edge in enumerate(panel.edges):
        start, end = panel.outline[at], panel.outline[(at + 1) % len(panel.outline)]
        many = count if at in CURVED else 1
        if many > 1:
            runs.append(Run(len(outline), many, None))
        outline += spread(Curved(start, end), many)
        edges += [edge, *[replace(edge, bores=())] * (many - 1)]
    return replace(
        panel,
        outline=tuple(outline),
        edges=tuple(edges),
        corners=(None,) * len(outline),
        runs=tuple(runs),
    )
