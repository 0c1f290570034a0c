"""What must be cut before what: whatever lies in a loop, before the loop lets it go.

Stands after euler_trails, before cut_path.

    part    borders that hang together without the trim
    island  a part that lies within a region of another one, its holder
    face    a region of the plane that the holder's borders alone leave whole; what is cut out
            for hardware is board too, as long as it isn't cut

A face is let go by the border that closes it off: until then it hangs together, across borders
that aren't cut yet, with the board outside the holder. So an island may be cut between two
strokes of its holder. Where a holder has more than `CLOSE` borders, a face counts as let go by the
first cut across its gate, which is quicker to see:

    gate    the fewest borders through which a face hangs together with the outside

Borders of the holder itself, cut in what it let go, are not noticed.
"""

from __future__ import annotations

from collections import defaultdict, deque
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mateline.pattern.pattern import Pattern
    from mateline.stencil.cutting.euler_trails import Trail

OUTSIDE = -1  # the region beyond the outline, as in Border
CLOSE = 400  # borders of a holder: finding what closes a face takes longer with each


@dataclass(frozen=True, slots=True)
class Holder:
    """A part, the faces beside each of its borders, and which islands lie in which face."""

    part: int
    beside: Mapping[int, tuple[int, int]]
    outside: int
    islands: tuple[tuple[int, int], ...]  # face, part
    gates: Mapping[int, tuple[int, ...]]  # signed border to the faces whose gate it is in


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


def holders_of(pattern: Pattern, part_of: Mapping[int, int]) -> tuple[Holder, ...]:
    """The parts that hold others; `part_of` has the part of every border but those of the trim."""
    nodes = Union()
    for border in pattern.borders:
        nodes.join(border.start, border.end)
    whole = [nodes.top(border.start) for border in pattern.borders]
    parts: dict[int, set[int]] = defaultdict(set)  # a whole falls into these without the trim
    for at, part in part_of.items():
        parts[whole[at]].add(part)
    within: dict[int, set[tuple[int, int]]] = defaultdict(set)
    for number, region in enumerate(pattern.regions):
        outer, *inner = (whole[_plain(loop[0])] for loop in region.loops)
        for other in inner:
            if other != outer:
                within[outer] |= {(number, part) for part in parts[other]}
    sides = _sides(pattern, part_of)
    found = [
        _holder(sides, part_of, part, within[outer])
        for outer in sorted(within)
        for part in sorted(parts[outer])
    ]
    return tuple(holder for holder in found if holder.islands)


def allowed(
    strokes: Sequence[Trail], holders: Sequence[Holder], part_of: Mapping[int, int]
) -> bool:
    """Whether every island is cut before its face is let go.

    `part_of` has the part of each border, whichever way that is walked: of i and of ~i.
    """
    if not holders:
        return True
    parts = [part_of[stroke[0]] for stroke in strokes]
    last = dict(zip(parts, range(len(parts)), strict=True))
    for holder in holders:
        begun = parts.index(holder.part)
        late: dict[int, int] = {}  # face to its last island cut after the holder is begun
        for face, part in holder.islands:
            if last[part] > late.get(face, begun):
                late[face] = last[part]
        if not late:
            continue
        latest = max(late.values())
        if latest > last[holder.part]:
            return False
        if len(holder.beside) > CLOSE:
            if _gate_passed(holder, strokes[:latest], late):
                return False
            continue
        own = [at for at, part in enumerate(parts) if part == holder.part]
        closed = closing(holder, [strokes[at] for at in own])
        if any(at > own[closed[face]] for face, at in late.items()):
            return False
    return True


def closing(holder: Holder, strokes: Sequence[Trail]) -> dict[int, int]:
    """For each face with an island the position of the stroke, of these, that lets it go.

    `strokes` are all of the holder's. Walked from the last one back, each border that is put in
    joins the faces beside it, until one after the other hangs together with the outside.
    """
    union = Union()
    closed: dict[int, int] = {}
    faces = sorted({face for face, _ in holder.islands})
    for at in range(len(strokes) - 1, -1, -1):
        for border in strokes[at]:
            union.join(*holder.beside[border if border >= 0 else ~border])
        outside = union.top(holder.outside)
        free = [face for face in faces if union.top(face) == outside]
        if free:
            closed |= dict.fromkeys(free, at)
            faces = [face for face in faces if face not in closed]
    return closed


def _gate_passed(holder: Holder, strokes: Sequence[Trail], late: Mapping[int, int]) -> bool:
    """Whether one of `strokes` is in a face's gate while an island in it, `late`, is uncut."""
    gates = holder.gates
    near = gates.keys()
    for at, stroke in enumerate(strokes):
        if near.isdisjoint(stroke):
            continue
        for border in near & stroke:
            for face in gates[border]:
                if late.get(face, -1) > at:
                    return True
    return False


def _gates(
    beside: Mapping[int, tuple[int, int]], outside: int, faces: set[int]
) -> dict[int, tuple[int, ...]]:
    across: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for border, (left, right) in beside.items():
        across[left].append((right, border))
        across[right].append((left, border))
    came: dict[int, tuple[int, int]] = {outside: (outside, 0)}
    queue = deque([outside])
    while queue:
        face = queue.popleft()
        for other, border in across[face]:
            if other not in came:
                came[other] = (face, border)
                queue.append(other)
    gates: dict[int, tuple[int, ...]] = defaultdict(tuple)
    for face in sorted(faces):
        at = face
        while at != outside:
            at, border = came[at]
            gates[border] += (face,)
            gates[~border] += (face,)
    return dict(gates)


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


def _holder(
    sides: Sequence[tuple[int, int]],
    part_of: Mapping[int, int],
    part: int,
    within: set[tuple[int, int]],
) -> Holder:
    faces = Union()
    for at, (left, right) in enumerate(sides):
        if part_of.get(at) != part:
            faces.join(left, right)
    beside = {
        at: (faces.top(left), faces.top(right))
        for at, (left, right) in enumerate(sides)
        if part_of.get(at) == part
    }
    outside = faces.top(OUTSIDE)
    islands = {(faces.top(region), island) for region, island in within}
    held = sorted((face, island) for face, island in islands if face != outside)
    gates = _gates(beside, outside, {face for face, _ in held})
    return Holder(part, beside, outside, tuple(held), gates)


def _plain(border: int) -> int:
    return border if border >= 0 else ~border
