r"""The cut path: every border once, with the fewest lifts, inner before outer, the trim last.

Stands after pieces and euler_trails.

    stroke  borders cut without lifting the knife, each with its direction
    trim    the borders round the outside of the face; holes in it are no trim
    island  connected borders that lie within a region of others

While the trim is uncut, the board is one sheet on its table. So each island is cut before a loop
round it lets it go, and the trim comes after everything else. It is joined to the last stroke
where that ends on the trim; so it costs no lift of its own unless no stroke can. `precedence` says
which orders that leaves, and `travel` seeks the shortest among them.

Kerf and knife: the path follows the borders themselves. A beam or a bit of width k takes k/2
from both neighbours, so both colours overspray their border by k/2 and meet with an overlap of
k, which is wanted: offset nothing. A drag knife has no width, but turns about a point behind its
tip: `exports.cut.gcode` adds its swivels.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.spatial import cKDTree

from mateline.curves import Chain, backwards
from mateline.products import ring_area
from mateline.stencil.cutting.euler_trails import (
    first_node,
    last_node,
    lifts,
    odd_nodes,
    reverse,
    trails_through,
)
from mateline.stencil.cutting.precedence import OUTSIDE, held_faces
from mateline.stencil.cutting.tour import Route
from mateline.stencil.cutting.travel import nearest_first, shortened

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from mateline.pattern.pattern import Pattern
    from mateline.stencil.cutting.euler_trails import Ends, Trail

NEVER = 1e9  # mm: longer than all travel, so that the last stroke ends elsewhere if any can


@dataclass(frozen=True, slots=True)
class CutPath:
    """Strokes in order; each is a run of signed borders: i, or ~i walked backwards."""

    strokes: tuple[tuple[int, ...], ...]


def cut_path(pattern: Pattern) -> CutPath:
    """The path that cuts `pattern`; the same pattern gives the same path.

    Each connected part without the trim takes max(1, odd nodes / 2) strokes. The trim adds one
    only where no stroke ends on it.
    """
    ends = {at: (border.start, border.end) for at, border in enumerate(pattern.borders)}
    whole = _parts(ends, ends)
    within = _holders(pattern, whole)
    strokes: list[Trail] = []
    for root in sorted(set(whole.values())):
        if within[root] == root:
            group = [border for border in ends if _root(whole[border], within) == root]
            strokes += _face_strokes(pattern, ends, group, (whole, within, root))
    return CutPath(tuple(strokes))


def ordered(path: CutPath, chains: Sequence[Chain]) -> tuple[Chain, ...]:
    """The borders' chains in the order and the direction in which they are cut."""
    return tuple(
        chains[border] if border >= 0 else backwards(chains[~border])
        for stroke in path.strokes
        for border in stroke
    )


def stroke_chains(path: CutPath, chains: Sequence[Chain]) -> tuple[Chain, ...]:
    """One chain a stroke: what is cut without lifting the knife."""
    found = []
    for stroke in path.strokes:
        parts = ordered(CutPath((stroke,)), chains)
        segments = tuple(segment for part in parts for segment in part.segments)
        found.append(Chain(parts[0].start, segments))
    return tuple(found)


def travel(path: CutPath, pattern: Pattern) -> float:
    """Length of the moves between strokes, with the knife up, mm."""
    ends = {at: (border.start, border.end) for at, border in enumerate(pattern.borders)}
    firsts = pattern.nodes[[first_node(stroke, ends) for stroke in path.strokes]]
    lasts = pattern.nodes[[last_node(stroke, ends) for stroke in path.strokes]]
    return float(np.linalg.norm(firsts[1:] - lasts[:-1], axis=1).sum())


def trims(pattern: Pattern) -> tuple[Trail, ...]:
    """The loops of borders round the outside, each counter-clockwise; a face in two has two."""
    beside: dict[int, list[int]] = defaultdict(list)
    for at, border in enumerate(pattern.borders):
        if border.right == OUTSIDE:
            beside[border.start].append(at)
        elif border.left == OUTSIDE:
            beside[border.end].append(~at)
    loops = []
    for start in sorted(beside):
        while beside[start]:
            loop = [beside[start].pop(0)]
            while _far(pattern, loop[-1]) != start:
                loop.append(beside[_far(pattern, loop[-1])].pop(0))
            if _area(pattern, loop) > 0:
                loops.append(tuple(loop))
    return tuple(loops)


def _face_strokes(
    pattern: Pattern,
    ends: dict[int, Ends],
    group: list[int],
    nesting: tuple[dict[int, int], dict[int, int], int],
) -> list[Trail]:
    """Strokes of all borders within one trim, and the trim last."""
    whole, within, root = nesting
    rings = [ring for ring in trims(pattern) if whole[_plain(ring[0])] == root]
    trim = {_plain(border) for ring in rings for border in ring}
    parts = _connected({at: ends[at] for at in group if at not in trim})
    part_of = {border: number for number, part in enumerate(parts) for border in part}
    finish = _finish(pattern, parts, sorted({node for border in trim for node in ends[border]}))
    places = [(x, y) for x, y in pattern.nodes.tolist()]
    route = Route(ends, places, finish, held_faces(pattern, part_of))
    depths = [_depth(whole[next(iter(part))], within) for part in parts]
    strokes: list[Trail] = []
    for depth in sorted(set(depths), reverse=True):
        here = [part for part, level in zip(parts, depths, strict=True) if level == depth]
        strokes += nearest_first([trails_through(part, places) for part in here], route)
        if depth == 0:
            strokes = _finished(strokes, sum(map(lifts, here)), route)
    strokes = shortened(strokes, route) if strokes else []
    for ring in rings:
        strokes = _joined(strokes, ring, route)
    return strokes


def _finish(pattern: Pattern, parts: list[dict[int, Ends]], trim: list[int]) -> dict[int, float]:
    """For each node where a stroke may end, what it costs if the last one ends there.

    It ends on the trim, for else the trim takes a lift of its own; or, where no stroke can, the
    way to the trim is travelled.
    """
    odd = {node for part in parts for node in odd_nodes(part)}
    closed = {node for part in parts if not odd_nodes(part)
              for pair in part.values() for node in pair}  # fmt: skip
    nodes = sorted(odd | closed)
    ending = odd & set(trim)
    if ending:
        return {node: 0.0 if node in ending else NEVER for node in nodes}
    ways, _ = cKDTree(pattern.nodes[trim]).query(pattern.nodes[nodes])
    return dict(zip(nodes, ways.tolist(), strict=True))


def _finished(strokes: list[Trail], count: int, route: Route) -> list[Trail]:
    """The last `count` strokes so put round that the last one ends where that costs least."""
    head, tail = strokes[:-count], strokes[-count:]
    costs = [
        (route.finish[node], at, turned)
        for at, stroke in enumerate(tail)
        for turned, node in enumerate(
            (last_node(stroke, route.ends), first_node(stroke, route.ends))
        )
    ]
    _, at, turned = min(costs)
    last = reverse(tail[at]) if turned else tail[at]
    return [*head, *tail[at + 1 :], *tail[:at], last]


def _joined(strokes: list[Trail], ring: Trail, route: Route) -> list[Trail]:
    """`strokes` and then `ring`, in one with the last stroke where that ends on the ring."""
    if not strokes:
        return [ring]
    nodes = [first_node((border,), route.ends) for border in ring]
    last = last_node(strokes[-1], route.ends)
    if last in nodes:
        at = nodes.index(last)
        return [*strokes[:-1], strokes[-1] + ring[at:] + ring[:at]]
    gaps = [abs(route.places[last] - route.places[node]) for node in nodes]
    at = gaps.index(min(gaps))
    return [*strokes, ring[at:] + ring[:at]]


def _parts(borders: Iterable[int], ends: dict[int, Ends]) -> dict[int, int]:
    """For each border the lowest node of the connected part that it belongs to."""
    home: dict[int, int] = {}

    def top(node: int) -> int:
        while home.setdefault(node, node) != node:
            home[node] = home[home[node]]
            node = home[node]
        return node

    for border in borders:
        a, b = (top(node) for node in ends[border])
        home[max(a, b)] = min(a, b)
    return {border: top(ends[border][0]) for border in borders}


def _connected(borders: dict[int, Ends]) -> list[dict[int, Ends]]:
    parts: dict[int, dict[int, Ends]] = defaultdict(dict)
    for border, part in _parts(borders, borders).items():
        parts[part][border] = borders[border]
    return [parts[part] for part in sorted(parts)]


def _holders(pattern: Pattern, whole: dict[int, int]) -> dict[int, int]:
    """For each connected part the part in one of whose regions it lies; itself where in none."""
    holder = {part: part for part in whole.values()}
    for region in pattern.regions:
        outer, *inner = region.loops
        for loop in inner:
            part = whole[_plain(loop[0])]
            if part != whole[_plain(outer[0])]:
                holder[part] = whole[_plain(outer[0])]
    return holder


def _root(part: int, within: dict[int, int]) -> int:
    while within[part] != part:
        part = within[part]
    return part


def _depth(part: int, within: dict[int, int]) -> int:
    """How many parts hold `part`, one within the other."""
    return 0 if within[part] == part else 1 + _depth(within[part], within)


def _plain(border: int) -> int:
    return border if border >= 0 else ~border


def _far(pattern: Pattern, border: int) -> int:
    return pattern.borders[border].end if border >= 0 else pattern.borders[~border].start


def _area(pattern: Pattern, loop: list[int]) -> float:
    """Signed area of a loop's facets, mm²."""
    return ring_area(
        np.vstack(
            [
                pattern.borders[at].points if at >= 0 else pattern.borders[~at].points[::-1]
                for at in loop
            ]
        )
    )
