"""Whether a board is one once its edges are cut.

Stands after tools, before strips and cuts.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np
from shapely import Polygon

from mateline.cabinet.edges.tools import groove_depths
from mateline.cabinet.panel import grouped, inset, level, sharp_sides, squarely_cut
from mateline.planar.offsets import NoCornerError
from mateline.products import dots

if TYPE_CHECKING:
    from mateline.cabinet.panel import Panel

STRAIGHT = math.radians(3)  # a corner nearer to 180° is a butt of two boards in one plane
ALIKE = 1e-6  # mm: insets that differ by less are equal


def unlike_edges(panel: Panel) -> tuple[str, str] | None:
    """What is wrong with two edges that meet at a corner, and its remedy, if anything is."""
    if (jump := _step(panel)) is not None:
        what = f"It meets {jump[0]} and {jump[1]} in one line, but not alike."
        return what, "Give it the same joint with both, and the same bevel or round."
    if (shaped := _shaped_inside(panel)) is not None:
        what = f"Its edge at {shaped} is no square one and ends at an inside corner of a curved "
        return f"{what}outline.", "Leave that edge square."
    if (ends := _shaped_at_hollow(panel)) is not None:
        hollow, shaped = ends
        what = f"Its hollow edge at {hollow} ends at a bevel, round or mitre, that at {shaped}."
        return what, f"Leave the edge at {shaped} square, or that at {hollow} without a shape."
    return None


def _step(panel: Panel) -> tuple[str, str] | None:
    """Two boards at which the edge of this one jumps: they are in one line, their insets differ."""
    sides = sharp_sides(panel)
    for number, (first, _, _) in enumerate(grouped(panel)):
        edge, before = panel.edges[first], panel.edges[first - 1]
        corner = sides[number].start
        (ax, ay), (bx, by) = sides[number - 1].way(corner), sides[number].way(corner)
        if abs(ax * by - ay * bx) < math.sin(STRAIGHT) and any(
            abs(inset(edge, down) - inset(before, down)) > ALIKE
            for down in np.linspace(0, panel.thickness, 9).tolist()
        ):
            return before.neighbour, edge.neighbour
    return None


def _shaped_inside(panel: Panel) -> str | None:
    """The board at an edge that is not square, beside an inside corner of a curved outline."""
    if not panel.runs:
        return None
    sharp = np.array(panel.outline)
    along = np.roll(sharp, -1, axis=0) - sharp
    before = np.roll(along, 1, axis=0)
    inside = before[:, 0] * along[:, 1] - before[:, 1] * along[:, 0] < 0
    for at, edge in enumerate(panel.edges):
        if not squarely_cut(edge) and (inside[at] or inside[(at + 1) % len(inside)]):
            return edge.neighbour
    return None


def _shaped_at_hollow(panel: Panel) -> tuple[str, str] | None:
    """The boards at a hollow edge and at one that is not square, which meet at a corner.

    In the net their strips would lie side by side, with a slit between them that no knife cuts; at
    a mitre the cove would stand out before the board beyond.
    """
    for at, edge in enumerate(panel.edges):
        before = panel.edges[at - 1]
        for one, other in ((before, edge), (edge, before)):
            if one.rise > 0 and not squarely_cut(other):
                return one.neighbour, other.neighbour
    return None


def holds_together(panel: Panel) -> bool:
    """Whether the board has an area at both its faces and at all grooves, with each edge running
    its own way.
    """
    sharp = np.array(panel.outline)
    along = np.roll(sharp, -1, axis=0) - sharp
    bands = itertools.pairwise(groove_depths(panel))
    within = [(top + low) / 2 for top, low in bands if top > 0 or low < panel.thickness]
    for down in (0.0, panel.thickness, *within):
        try:
            corners = level(panel, down)
        except NoCornerError:
            return False
        kept = dots(np.roll(corners, -1, axis=0) - corners, along)
        if (kept <= 0).any() or not Polygon(corners).is_valid:
            return False
    return True
