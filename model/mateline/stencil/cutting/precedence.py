"""Precedence: whatever lies in a loop is cut before the loop lets it go.

Stands after euler_trails, before travel.

    part    borders that hang together without the trim
    holder  a part in one of whose regions others lie
    face    a region of the plane that the holder's borders alone leave whole; what is cut out
            for hardware is board too, as long as it isn't cut
    island  a part that lies in a face of its holder
    tether  borders one after the other across which a face hangs together with the board outside
            the holder; as long as all of them are uncut, the holder hasn't let it go
    noose   borders round a face; when all of them are cut, it has no tether

So an island may be cut between two strokes of its holder, where a tether is left.

Borders of the holder itself, cut in what it let go, are not noticed.
"""

from __future__ import annotations

from collections import defaultdict, deque
from dataclasses import dataclass
from heapq import heappop, heappush
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from mateline.pattern.pattern import Pattern
    from mateline.stencil.cutting.euler_trails import Trail

OUTSIDE = -1  # the region beyond the outline, as in Border

Across = dict[int, list[tuple[int, int]]]  # for each face those beside it, and the border between


@dataclass(frozen=True, slots=True)
class Held:
    """A face with islands in it. `across` are all faces of its holder."""

    face: int
    outside: int
    across: Across
    depth: Mapping[int, int]  # borders between each of its faces and the outside
    inside: frozenset[int]  # borders of the islands


class Guard:
    """Sees whether the islands of a face are all cut while the face has a tether.

    It keeps the last tether and the last noose, for mostly one of them tells again.
    """

    def __init__(
        self, held: Held, islands: Sequence[int], at: Sequence[int], port_of: Mapping[int, int]
    ) -> None:
        """`islands` and `port_of`, for each border, are ports of strokes; `at` are their places."""
        self._held, self._at, self._port_of = held, at, port_of
        self.islands = islands
        _, self._tether = hold_of(held, lambda _: True)
        self._noose = [border for _, border in held.across[held.face]]

    def holds(self) -> bool:
        """Whether they are, as the ports are now."""
        at, port_of = self._at, self._port_of
        last = max(map(at.__getitem__, self.islands))
        for border in self._tether:
            if at[port_of[border]] < last:
                break
        else:
            return True
        for border in self._noose:
            if at[port_of[border]] > last:
                break
        else:
            return False
        found, borders = hold_of(self._held, lambda border: at[port_of[border]] > last)
        if found:
            self._tether = borders
        else:
            self._noose = borders
        return found


class Union:
    """Things joined into groups; the name of a group is its lowest member."""

    def __init__(self) -> None:
        self._home: dict[int, int] = {}

    def top(self, at: int) -> int:
        """The name of the group that `at` is in."""
        home = self._home
        while home.setdefault(at, at) != at:
            home[at] = home[home[at]]
            at = home[at]
        return at

    def join(self, a: int, b: int) -> None:
        """Make the groups of `a` and `b` one."""
        a, b = self.top(a), self.top(b)
        if a != b:
            self._home[max(a, b)] = min(a, b)


def held_faces(pattern: Pattern, part_of: Mapping[int, int]) -> tuple[Held, ...]:
    """The faces with islands; `part_of` has the part of every border but those of the trim."""
    nodes = Union()
    for border in pattern.borders:
        nodes.join(border.start, border.end)
    whole = [nodes.top(border.start) for border in pattern.borders]
    parts: dict[int, set[int]] = defaultdict(set)  # a whole falls into these without the trim
    members: dict[int, set[int]] = defaultdict(set)
    for at, part in part_of.items():
        parts[whole[at]].add(part)
        members[part].add(at)
    within: dict[int, set[tuple[int, int]]] = defaultdict(set)
    for number, region in enumerate(pattern.regions):
        outer, *inner = (whole[_plain(loop[0])] for loop in region.loops)
        for other in inner:
            if other != outer:
                within[outer] |= {(number, part) for part in parts[other]}
    sides = _sides(pattern, part_of)
    return tuple(
        held
        for outer in sorted(within)
        for part in sorted(parts[outer])
        for held in _held_by(members[part], sides, within[outer], members)
    )


def allowed(strokes: Sequence[Trail], held: Sequence[Held]) -> bool:
    """Whether every island is cut while its face has a tether."""
    order = {_plain(border): at for at, stroke in enumerate(strokes) for border in stroke}
    for face in held:
        last = max(order[border] for border in face.inside)
        if not hold_of(face, lambda border, last=last: order[border] > last)[0]:  # type: ignore[misc]
            return False
    return True


def hold_of(held: Held, uncut: Callable[[int], bool]) -> tuple[bool, list[int]]:
    """Whether a face has a tether of `uncut` borders: with one, or else with a noose.

    The way out is sought by the shortest there was before anything was cut (best first).
    """
    depth, outside = held.depth, held.outside
    came = {held.face: (held.face, 0)}
    heap = [(depth[held.face], held.face)]
    while heap:
        _, face = heappop(heap)
        for other, border in held.across[face]:
            if other not in came and uncut(border):
                came[other] = (face, border)
                if other == outside:
                    return True, _walked(came, other)
                heappush(heap, (depth[other], other))
    return False, [
        border for face in came for other, border in held.across[face] if other not in came
    ]


def _walked(came: Mapping[int, tuple[int, int]], face: int) -> list[int]:
    """The borders that were crossed on the way to `face`."""
    borders = []
    before, border = came[face]
    while before != face:
        borders.append(border)
        face = before
        before, border = came[face]
    return borders


def _sides(pattern: Pattern, part_of: Mapping[int, int]) -> list[tuple[int, int]]:
    """The regions beside each border; cut-outs, outside for a pattern, get numbers below it."""
    inner = {
        at for at in part_of if OUTSIDE in {pattern.borders[at].left, pattern.borders[at].right}
    }
    nodes = Union()
    for at in sorted(inner):
        nodes.join(pattern.borders[at].start, pattern.borders[at].end)
    sides = []
    for at, border in enumerate(pattern.borders):
        out = OUTSIDE - 1 - nodes.top(border.start) if at in inner else OUTSIDE
        left, right = (out if side == OUTSIDE else side for side in (border.left, border.right))
        sides.append((left, right))
    return sides


def _held_by(
    holder: set[int],
    sides: Sequence[tuple[int, int]],
    within: set[tuple[int, int]],
    members: Mapping[int, set[int]],
) -> list[Held]:
    """The faces of a holder, by its borders, that have islands; `within` are region and part."""
    faces = Union()
    for at, (left, right) in enumerate(sides):
        if at not in holder:
            faces.join(left, right)
    outside = faces.top(OUTSIDE)
    inside: dict[int, set[int]] = defaultdict(set)
    for region, island in sorted(within):
        if faces.top(region) != outside:
            inside[faces.top(region)] |= members[island]
    if not inside:
        return []
    across: Across = defaultdict(list)
    for at in sorted(holder):
        left, right = (faces.top(side) for side in sides[at])
        across[left].append((right, at))
        across[right].append((left, at))
    depth = _depths(across, outside)
    return [Held(face, outside, across, depth, frozenset(inside[face])) for face in sorted(inside)]


def _depths(across: Across, outside: int) -> dict[int, int]:
    depth = {outside: 0}
    queue = deque([outside])
    while queue:
        face = queue.popleft()
        for other, _ in across[face]:
            if other not in depth:
                depth[other] = depth[face] + 1
                queue.append(other)
    return depth


def _plain(border: int) -> int:
    return border if border >= 0 else ~border
