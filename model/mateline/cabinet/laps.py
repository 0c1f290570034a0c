r"""Corners whose strips lap over each other when a face is laid flat, whatever their size, and the
largest strips that fit where smaller ones do.

Stands after faces, which refuse such a net; this tells why.

       |            |  inside corner: strips bend away from the face, so that in the net they lie
    flat|strip      |  farther out than they are seen from above, where there is no more room
        +---strip   |  blunt corner, unlike strips: the seam swings from one to the other on the
         flat       |  board, and they cross in the net
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from mateline.cabinet.faces import NetError, unrolled
from mateline.cabinet.panel import edge_axes
from mateline.curves import Chain, Segment
from mateline.errors import in_mm

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from mateline.cabinet.panel import Edge, Panel
    from mateline.curves import Point

    Array = NDArray[np.float64]

FAR = 1000.0  # times the depths and insets at a corner: nothing else of a board is so near
STEPS = 32  # shares of the strips' size that are tried
HALVINGS = 12  # of the step to the first that fits: to less than a tenth of a mm
BLUNT = math.radians(120)  # a corner up to this is closed by a third side


@dataclass(frozen=True, slots=True)
class Lap:
    """A corner that can't be laid flat: the board's edges before and after it, and those of them
    of which one has to be square at least; none where both have to. `inside`: over 180°.
    """

    edges: tuple[int, int]
    enough: tuple[int, ...]
    inside: bool


def laps(panel: Panel) -> list[Lap]:
    """The corners of `panel` that can't be laid flat, each by itself and however small."""
    found: list[Lap] = []
    for after in range(len(panel.edges)):
        before = (after - 1) % len(panel.edges)
        angle = _angle(panel, before, after)
        pair = panel.edges[before], panel.edges[after]
        if _lies_flat(panel, angle, pair):
            continue
        squared = ((before, (_square(pair[0]), pair[1])), (after, (pair[0], _square(pair[1]))))
        enough = [at for at, made in squared
                  if panel.edges[at].strips and _lies_flat(panel, angle, made)]  # fmt: skip
        found.append(Lap((before, after), tuple(enough), angle > math.pi))
    return found


def lies_flat(panel: Panel) -> bool:
    """Whether the net of a board has room for itself."""
    try:
        unrolled(panel)
    except NetError:
        return False
    return True


def _angle(panel: Panel, before: int, after: int) -> float:
    """Inside angle between two edges, radians, 0 to 2 pi."""
    (_, first, _), (_, second, _) = edge_axes(panel, before), edge_axes(panel, after)
    cross, dot = first[0] * second[1] - first[1] * second[0], first @ second
    return math.pi - math.atan2(float(cross), float(dot))


def _lies_flat(panel: Panel, angle: float, pair: tuple[Edge, Edge]) -> bool:
    """Whether the net of a board does that has this one corner, and is large."""
    reach = FAR * max(abs(each) for edge in pair for at in edge.section.points for each in at)
    corners = reach * _corner_of(angle)
    plain = replace(pair[0], section=_plain(panel.thickness))
    outline = tuple((float(x), float(y)) for x, y in corners)
    edges = (pair[1], *itertools.repeat(plain, len(outline) - 2), pair[0])
    names = (None,) * len(outline)
    bare = replace(panel, outline=outline, corners=names, edges=edges, holes=(), runs=())
    return lies_flat(bare)


def _corner_of(angle: float) -> Array:
    """An outline with a corner of `angle` at (0, 0), sides of 1 there, and no other like it."""
    to, back = np.array([1.0, 0.0]), np.array([math.cos(angle), math.sin(angle)])
    if angle <= BLUNT:
        return np.array([(0.0, 0.0), to, back])
    beside_to, beside_back = np.array([0.0, 1.0]), np.array([back[1], -back[0]])
    ends = [(0.0, 0.0), to, to + beside_to, back + beside_back, back]
    if angle > math.pi:  # round the far side
        middle = np.array([math.cos(angle / 2), math.sin(angle / 2)])
        ends.insert(3, 2 * middle)
    return np.array(ends)


def what_fits(
    panel: Panel, fits: Callable[[Panel], bool], said: Callable[[float], str] = in_mm
) -> str:
    """The remedy for strips that are too large for a board: the largest of their kind that `fits`.

    All are made smaller alike; `said` writes a length that is not to be passed. Empty where none
    fit, or the board has none.
    """
    shaped = [edge for edge in panel.edges if edge.strips]
    # Not by halves alone: slits beside strips that are next to nothing lap too.
    shares = (step / STEPS for step in range(STEPS - 1, 0, -1))
    low = next((each for each in shares if shaped and fits(shrunk(panel, each))), None)
    if low is None:
        return ""
    high = low + 1 / STEPS
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(shrunk(panel, middle)) else (low, middle)
    share = math.floor(low * 1000) / 10
    told = []
    for edge in shaped:
        at, segment = edge.section.start, edge.section.segments[0]
        if segment.centre is not None:
            size = math.floor(10 * share / 100 * math.dist(at, segment.centre)) / 10
            told.append(f"“{panel.name} and {edge.neighbour}” {said(size)}")
    rounds = f": a round of at most {', '.join(told)}" if told else ""
    return f"They fit at {share:.1f} % of their size{rounds}."


def shrunk(panel: Panel, share: float) -> Panel:
    """The board with all its bevels and rounds at a `share` of their size.

    A strip keeps its shape when it is drawn towards the sharp edge.
    """
    return replace(panel, edges=tuple(_shrunk(edge, share) for edge in panel.edges))


def _shrunk(edge: Edge, share: float) -> Edge:
    if not edge.strips:
        return edge
    *strips, end = edge.section.segments
    drawn = [
        replace(
            segment,
            to=_drawn(segment.to, share),
            centre=None if segment.centre is None else _drawn(segment.centre, share),
        )
        for segment in strips
    ]
    return replace(edge, section=Chain(_drawn(edge.section.start, share), (*drawn, end)))


def _drawn(point: Point, share: float) -> Point:
    return share * point[0], share * point[1]


def _square(edge: Edge) -> Edge:
    """The edge without its strips."""
    if not edge.strips:
        return edge
    end = Segment(edge.section.points[-1])
    return replace(edge, section=Chain((0.0, 0.0), (end,)))


def _plain(thickness: float) -> Chain:
    return Chain((0.0, 0.0), (Segment((0.0, thickness)),))
