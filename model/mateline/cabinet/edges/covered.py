r"""What covers part of a face, so that nobody paints it: another carcase, or a moulding.

Stands before ends. A carcase that shares a wall with another one has no board of its own there; all
of the wall that lies behind it is covered. A moulding covers a strip along an edge of the face.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from shapely import Polygon

from mateline.cabinet.panel import edge_axes, edge_length, moved_in
from mateline.products import product

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import NDArray

    from mateline.cabinet.panel import Panel
    from mateline.cabinet.specification import Moulding
    from mateline.errors import Faults

    Array = NDArray[np.float64]
    Covered = dict[str, tuple[Polygon, ...]]

AGAINST = 1.0  # mm: how far two boards that stand against each other may be apart
OPPOSED = 1e-3  # no unit: how far their normals may differ
WIDER = 1.0  # mm: how much longer than the face a moulding is taken to be


@dataclass(frozen=True, slots=True)
class SharedWall:
    """A board that a carcase lacks since the face `wall` of another one stands in its place.

    `corners` (n, 3) are the board's own, counter-clockwise from outside, cabinet frame, mm.
    """

    board: str
    carcase: str
    wall: str
    corners: Array
    place: str


def behind_walls(
    shared: Iterable[SharedWall], panels: Mapping[str, Panel], faults: Faults
) -> Covered:
    """What of each face another carcase stands against, in its panel's frame."""
    found: Covered = {}
    for each in shared:
        panel = panels.get(each.wall)
        where = f"{each.place}, shared"
        others = [name for name, wall in panels.items() if wall.carcase != each.carcase]
        if panel is None or panel.carcase == each.carcase:
            faults.unknown(where, each.wall, "face of another carcase", others)
            continue
        away = _apart(each.corners, panel)
        if away > AGAINST:
            faults.add(
                where,
                f"{each.wall} does not stand in the place of {each.board}: "
                + (
                    f"{faults.said(away)} lie between the two."
                    if math.isfinite(away)
                    else "the two don't look the opposite ways."
                ),
                "Check where the two carcases stand, or give this one a board of its own.",
            )
            continue
        frame = panel.frame
        axes = np.array([frame.along_x, frame.along_y])
        laid = product(each.corners - np.array(frame.corner), axes.T)
        found[each.wall] = (*found.get(each.wall, ()), Polygon(laid))
    return found


def _apart(corners: Array, panel: Panel) -> float:
    """How far a board's corners are from the outside of a panel that it faces, mm; else far."""
    outward = np.array(panel.frame.outward)
    normal = np.cross(corners, np.roll(corners, -1, axis=0)).sum(axis=0)
    along = float(product(normal, outward)) / float(product(normal, normal)) ** 0.5
    if along > OPPOSED - 1:
        return float("inf")
    return float(np.abs(product(corners - np.array(panel.frame.corner), outward)).max())


def behind_mouldings(
    mouldings: Iterable[Moulding], panels: Mapping[str, Panel], faults: Faults
) -> Covered:
    """What of each panel's face mouldings cover, by the panel's name and in its frame."""
    found: Covered = {}
    for each in mouldings:
        for name, width in each.covers:
            other = each.boards[1] if name == each.boards[0] else each.boards[0]
            panel = panels.get(name)
            where = f"{each.place}, moulding"
            edges = [] if panel is None else [edge.neighbour for edge in panel.edges]
            if panel is None or name not in each.boards or other not in edges:
                faults.unknown(where, name, "board that meets here", each.boards)
                continue
            index = edges.index(other)
            if panel.edges[index].strips:
                what = "A moulding lies on a square edge, and this one has a bevel or a round."
                faults.add(where, what, "Remove one of the two.")
                continue
            starts = panel.edges[index].section.start[0]
            if width <= starts:
                what = (
                    f"It covers nothing of {name}, which starts {faults.said(starts)} from there."
                )
                faults.add(where, what, "Give its width from the sharp edge, or take it out.")
                continue
            found[name] = (*found.get(name, ()), _strip(panel, index, width))
    return found


def _strip(panel: Panel, index: int, width: float) -> Polygon:
    """All of the net within `width` of a sharp edge, and a bit beyond the edge and its ends."""
    count = len(panel.edges)
    start, along, inward = edge_axes(panel, index)
    size = edge_length(panel, index)
    insets = [width if at == index else 0.0 for at in range(count)]
    inner = moved_in(panel.outline, insets)[[index, (index + 1) % count]]
    low, high = (float(product(spot - start, along)) for spot in inner)
    beside = (index - 1, (index + 1) % count)
    less, more = (
        0.0 if _bends_back(panel, corner) else panel.edges[edge].strip_width + WIDER
        for edge, corner in zip(beside, (index, beside[1]), strict=True)
    )
    ends = ((-less, -WIDER), (size + more, -WIDER), (max(high, size + more), width),
            (min(low, -less), width))  # fmt: skip
    return Polygon([start + at * along + deep * inward for at, deep in ends])


def _bends_back(panel: Panel, corner: int) -> bool:
    """Whether the outline turns inward at a corner."""
    (_, before, _), (_, after, _) = edge_axes(panel, corner - 1), edge_axes(panel, corner)
    return float(before[0] * after[1] - before[1] * after[0]) < 0
