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

from mateline.cabinet.edges.strips import strip_along
from mateline.planar.offsets import NoCornerError
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
            where = f"{each.place}, moulding"
            index = _edge_at(each, name, panels, faults)
            if index is None:
                continue
            starts = panels[name].edges[index].section.start[0]
            if width <= starts:
                what = (
                    f"It covers nothing of {name}, which starts {faults.said(starts)} from there."
                )
                faults.add(where, what, "Give its width from the sharp edge, or take it out.")
                continue
            panel = panels[name]
            try:
                strip = strip_along(panel, index, width)
            except NoCornerError:
                what = f"At {faults.said(width)} it is too wide for the curves of {name} there."
                faults.add(where, what, "Make it narrower, or leave it out and mask it by hand.")
            else:
                found[name] = (*found.get(name, ()), strip)
    return found


def _edge_at(
    moulding: Moulding, name: str, panels: Mapping[str, Panel], faults: Faults
) -> int | None:
    """The first edge of the board's side that a moulding lies along; None with its fault told."""
    other = moulding.boards[1] if name == moulding.boards[0] else moulding.boards[0]
    panel, where = panels.get(name), f"{moulding.place}, moulding"
    edges = [] if panel is None else [edge.neighbour for edge in panel.edges]
    if panel is None or name not in moulding.boards or other not in edges:
        faults.unknown(where, name, "board that meets here", moulding.boards)
        return None
    index = edges.index(other)
    if panel.edges[index].strips:
        what = "A moulding lies on a square edge, and this one has a bevel or a round."
        faults.add(where, what, "Remove one of the two.")
        return None
    return index
