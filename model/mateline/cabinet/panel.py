r"""A panel as plain data: what a solid, a mesh and a face are all made from.

Stands after hole, before carcase (which makes panels) and solids (which makes solids).

A panel is seen square on from outside. `outline` is where its outside face would end if its
corners were sharp; each edge has a section that says what is really there:

    down
     ^        |<- in
     0 ______ a            o  the sharp corner of the outline (in = 0, down = 0)
              \\  bevel: a strip that the face owns
               b
               |  end cut: the last segment, from the outside to the inside face
     t ________|           in may be negative there: a board can be longer inside

At an inside corner a strip may be hollow, a cove or a fillet: wood that stands out before the face.
Its section rises from (a, 0) to less than 0 down, and the end cut goes down from there.

A board whose outline is curved has many short edges there, a `Run` of them, beside the true arc.
A board that is bent itself (`Bend`) is a flat one here, as long as its outside, laid round a
cylinder.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from mateline.curves import Chain, Point, radius, sweep
from mateline.planar.offsets import Curved, moved_sides, spread, spread_as
from mateline.products import dots, norm, product

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.cabinet.hole import Hole
    from mateline.curves import Segment

    Array = NDArray[np.float64]

Vector = tuple[float, float, float]
Finish = Literal["art", "base", "left"]
STRAIGHT = 1e-9  # no unit: sine of the angle below which two edges run on in one line
CURVED = (0, 2)  # the edges of a bent board that run round its cylinder
AXES_TOL = 1e-9  # no unit: error allowed in the dot products of two unit vectors
LYING = math.cos(math.radians(30))  # no unit: a face whose normal is nearer to Z lies down


@dataclass(frozen=True, slots=True)
class Frame:
    """A face frame: where its (0, 0) is and where its axes point, in the cabinet frame, mm."""

    corner: Vector
    along_x: Vector  # unit vectors
    along_y: Vector

    def __post_init__(self) -> None:
        axes = np.array([self.along_x, self.along_y])
        if not np.allclose(product(axes, axes.T), np.eye(2), rtol=0, atol=AXES_TOL):
            raise ValueError(f"axes {self.along_x}, {self.along_y} are not orthonormal")

    @property
    def outward(self) -> Vector:
        """Unit normal that points away from the cabinet, towards whoever looks at the face."""
        x, y, z = np.cross(self.along_x, self.along_y)
        return float(x), float(y), float(z)


@dataclass(frozen=True, slots=True)
class Groove:
    """A groove along the end of a board, or a rabbet along its inside.

    It runs from `top` to `bottom` below the outside face and is `deep`, along the face, from the
    end; a rabbet has no bottom (inf): it goes on to the inside face. mm.
    """

    top: float
    bottom: float
    deep: float

    def holds(self, down: float, *, below: bool = False) -> bool:
        """Whether it is at a depth; on its own sides, the part just above, or `below`, counts."""
        if below:
            return self.top <= down < self.bottom
        return self.top < down <= self.bottom


@dataclass(frozen=True, slots=True)
class Bore:
    """A round hole into the end of a board, square to it: its middle lies `at` along the sharp
    edge, from the edge's start, and `down` below the outside face; it is `deep`. mm.

    Of a curved side the first edge has all the holes, and `at` is along the arc.
    """

    name: str
    at: float
    down: float
    diameter: float
    deep: float


@dataclass(frozen=True, slots=True)
class Edge:
    """One edge of a panel: the panel across it (named even where it is missing) and its section.

    `section` is a chain in (in, down), mm: `in` from the sharp edge into the face, `down` from
    the outside face. It starts at (a, 0) and ends at down == thickness; its last segment is the
    end cut, those before it are strips of the outside face, all downward or all upward. `shows_end`
    says that the board lies over its neighbour, so that what is left of its end is seen from
    outside. `end` says how an end that is seen is painted (with the art of the face beyond, the
    base coat, not at all).
    `proud` is how far the board stands out before the neighbour's outside, along its own inside,
    mm; `apart` says that the two stop short of each other. The section knows nothing of a `groove`
    nor of `bores` into the end.
    """

    neighbour: str
    section: Chain
    shows_end: bool = False
    end: Finish | None = None
    proud: float = 0.0
    apart: bool = False
    groove: Groove | None = None
    bores: tuple[Bore, ...] = ()

    @property
    def strips(self) -> int:
        """How many bevel or round strips the face owns along this edge."""
        return len(self.section.segments) - 1

    @property
    def rise(self) -> float:
        """How far a hollow strip stands out before the face at its end, mm; else 0."""
        return max(0.0, -self.section.segments[-2].to[1]) if self.strips else 0.0

    @property
    def strip_width(self) -> float:
        """True width of those strips together, unrolled, mm."""
        at, total = self.section.start, 0.0
        for segment in self.section.segments[:-1]:
            if segment.centre is None:
                total += math.dist(at, segment.to)
            else:
                total += radius(segment) * abs(sweep(at, segment))
            at = segment.to
        return total


@dataclass(frozen=True, slots=True)
class Run:
    """Edges that are one side of an outline: `count` of them from `first` on, facets of an arc
    about `centre`, or equal parts of a line. A `bulging` arc has the face on its centre's side.

    The edges of a run have one section, whose last segment is all there is, and one groove.
    """

    first: int
    count: int
    centre: Point | None
    bulging: bool = True


@dataclass(frozen=True, slots=True)
class Bend:
    """How a board is bent: x of its face (or y, `upright`) runs along the outside of a cylinder.

    `radius` is that of the outside, mm; negative where the board is hollow. The board's frame
    touches the cylinder where that coordinate is 0.
    """

    radius: float
    upright: bool


@dataclass(frozen=True, slots=True)
class Panel:
    """One board. `outline` runs counter-clockwise seen from outside, in the face frame, mm.

    `edges[i]` is the edge from `outline[i]` to `outline[i + 1]`. `corners` names the outline's
    points where the definition does (None elsewhere). `holes` are in the face frame. `runs` are in
    the order of the edges.
    """

    name: str
    carcase: str
    thickness: float
    frame: Frame
    outline: tuple[Point, ...]
    corners: tuple[str | None, ...]
    edges: tuple[Edge, ...]
    holes: tuple[Hole, ...] = ()
    runs: tuple[Run, ...] = ()
    bend: Bend | None = None


def inset(edge: Edge, down: float, *, below: bool = False) -> float:
    """How far in from the sharp edge the board ends at depth `down`, or just `below` it, mm.

    At its own depths a hollow strip is where the board ends, and its end cut just below that.
    Before its face a board without one ends in the plane of its end.
    """
    if down <= 0 and edge.rise > 0 and not below:
        return _on_hollow(edge, down)
    if down < 0:
        return end_line(edge, down) if edge.rise > 0 or not edge.strips else edge.section.start[0]
    groove = edge.groove
    cut = groove.deep if groove is not None and groove.holds(down, below=below) else 0.0
    return _end_at(edge, down) + cut


def inset_at(panel: Panel, index: int, down: float, *, below: bool = False) -> float:
    """The same of an edge of a board. The ends of a bent board are flat, from where they are on its
    outside to where they are on its inside, and a groove in one is as deep along its own arc.
    """
    edge, bend = panel.edges[index], panel.bend
    across = all(index < run.first or index >= run.first + run.count for run in panel.runs)
    (foot, top), (low, thick) = edge.section.points[-2:]
    if bend is None or not across or (not panel.runs and index in CURVED) or down in {top, thick}:
        return inset(edge, down, below=below)
    reach, inner, here = (abs(bend.radius - deep) for deep in (0.0, thick, down))
    turn = (low - foot) / reach
    x, y = inner * math.cos(turn), inner * math.sin(turn)
    # (reach, 0) to (x, y), at `here` from (0, 0): as far along as it is nearer by.
    square = (x - reach) ** 2 + y**2
    half = reach * (x - reach)
    root = math.sqrt(max(half**2 - square * (reach**2 - here**2), 0.0))
    share = min(((-half - root) / square, (-half + root) / square), key=lambda at: abs(at - 0.5))
    turned = math.atan2(share * y, reach + share * (x - reach))
    groove = edge.groove
    cut = groove.deep if groove is not None and groove.holds(down, below=below) else 0.0
    return foot + turned * reach + cut * reach / here


def end_line(edge: Edge, down: float) -> float:
    """Inset of the end cut at a depth, or of its line beyond it."""
    (foot, top), (low, bottom) = edge.section.points[-2:]
    return foot + (low - foot) * (down - top) / (bottom - top)


def _on_hollow(edge: Edge, down: float) -> float:
    """Inset of a hollow strip at a depth, at most as high as its end."""
    at = edge.section.start
    for segment in edge.section.segments[:-1]:
        if down >= segment.to[1]:
            return _on_segment(at, segment, down)
        at = segment.to
    return at[0]


def _end_at(edge: Edge, down: float) -> float:
    """The same without any groove."""
    at = edge.section.start
    for segment in edge.section.segments:
        if down <= segment.to[1] or segment is edge.section.segments[-1]:
            return _on_segment(at, segment, down)
        at = segment.to
    raise ValueError("a section has at least its end cut")


def _on_segment(at: Point, segment: Segment, down: float) -> float:
    """Inset of one segment of a section, which starts `at`."""
    if down == segment.to[1]:
        return segment.to[0]
    if segment.centre is not None:
        # The radius at the arc's start: a round starts tangent, where a last bit in the
        # radius would move the root by its square root.
        reach = math.dist(at, segment.centre)
        side = 1.0 if segment.to[0] > segment.centre[0] else -1.0
        rise = down - segment.centre[1]
        return segment.centre[0] + side * math.sqrt(max((reach - rise) * (reach + rise), 0))
    drop = segment.to[1] - at[1]
    share = 0.0 if drop == 0 else (down - at[1]) / drop
    return at[0] + share * (segment.to[0] - at[0])


def level(panel: Panel, down: float, *, below: bool = False) -> NDArray[np.float64]:
    """Corners (n, 2) of the board at depth `down`: the outline with each edge moved in. mm.

    On the side of a groove they are those just above it, or `below`; see `inset` of both.

    Each corner is where the two moved edges meet. Does not notice a corner that has crossed
    another: carcase.py refuses such boards.
    """
    if panel.runs:
        return np.array(_level_in_facets(panel, down, below=below))
    insets = [inset_at(panel, at, down, below=below) for at in range(len(panel.edges))]
    return moved_in(panel.outline, insets)


def _level_in_facets(panel: Panel, down: float, *, below: bool) -> list[Point]:
    """The same of a board with runs. In a groove facets stay where they are above and below it, but
    for those beside the ends of their run.
    """
    counts = [count for _, count, _ in grouped(panel)]
    sides = sides_at(panel, down, below=below)
    if not any(edge.groove and edge.groove.holds(down, below=below) for edge in panel.edges):
        return [at for side, count in zip(sides, counts, strict=True) for at in spread(side, count)]
    plain = replace(panel, edges=tuple(replace(edge, groove=None) for edge in panel.edges))
    return [
        at
        for before, side, count in zip(sides_at(plain, down), sides, counts, strict=True)
        for at in spread_as(before, side, count)
    ]


def corner_at(panel: Panel, index: int, down: float, *, below: bool = False) -> Point:
    """Corner `index` of the board at depth `down` alone, mm: where its two moved edges meet."""
    if panel.runs:
        x, y = level(panel, down, below=below)[index].tolist()
        return x, y
    before, here, after = (
        panel.outline[(index + step) % len(panel.outline)] for step in (-1, 0, 1)
    )
    ax, ay = _unit(before, here)
    bx, by = _unit(here, after)
    # On both moved lines: n . (p - here) = inset, with n the inward normal (-y, x) of each edge.
    count = len(panel.edges)
    first, second = (inset_at(panel, at % count, down, below=below) for at in (index - 1, index))
    cross = ax * by - ay * bx
    if abs(cross) < STRAIGHT:
        return here[0] - second * by, here[1] + second * bx
    return (
        here[0] + (bx * first - ax * second) / cross,
        here[1] + (by * first - ay * second) / cross,
    )


def sides_at(panel: Panel, down: float, *, below: bool = False) -> tuple[Curved, ...]:
    """The sides of the board at depth `down`, each arc as one. Raises NoCornerError."""
    insets = [inset_at(panel, first, down, below=below) for first, _, _ in grouped(panel)]
    return moved_sides(sharp_sides(panel), insets)


def sharp_sides(panel: Panel) -> list[Curved]:
    """The sides of the outline, each arc as one."""
    count = len(panel.outline)
    return [
        Curved(
            panel.outline[first],
            panel.outline[(first + many) % count],
            None if run is None else run.centre,
            run is None or run.bulging,
        )
        for first, many, run in grouped(panel)
    ]


def curved_run(panel: Panel, index: int) -> Run | None:
    """The arc of the outline that an edge is the first facet of."""
    if panel.bend is not None:
        return None
    return next((run for run in panel.runs if run.first == index and run.centre), None)


def side_of(panel: Panel, index: int) -> Curved:
    """The side of the sharp outline whose first edge this is."""
    firsts = [first for first, _, _ in grouped(panel)]
    return sharp_sides(panel)[firsts.index(index)]


def grouped(panel: Panel) -> list[tuple[int, int, Run | None]]:
    """The edges by side: the first of them, how many, and their run."""
    starts = {run.first: run for run in panel.runs}
    found: list[tuple[int, int, Run | None]] = []
    at = 0
    while at < len(panel.edges):
        run = starts.get(at)
        found.append((at, 1 if run is None else run.count, run))
        at += found[-1][1]
    return found


def squarely_cut(edge: Edge) -> bool:
    """Whether the board ends at the same place at all depths."""
    return all(across == edge.section.start[0] for across, _ in edge.section.points)


def curved_edges(panel: Panel) -> frozenset[int]:
    """The edges that are facets of a curve of the outline."""
    return frozenset(
        at
        for run in panel.runs
        if run.centre is not None
        for at in range(run.first, run.first + run.count)
    )


def raised(panel: Panel, spots: Array, down: Array | float) -> Array:
    """Spots (k, 2) of the face frame at a depth, in the cabinet frame (k, 3), mm.

    Of a bent board they are laid round its cylinder.
    """
    frame, bend = panel.frame, panel.bend
    depths = np.broadcast_to(down, len(spots))
    if bend is None:
        flat: Array = (
            np.array(frame.corner)
            + product(spots, np.array([frame.along_x, frame.along_y]))
            - np.multiply.outer(depths, frame.outward)
        )
        return flat
    around, along = (1, 0) if bend.upright else (0, 1)
    ways = frame.along_x, frame.along_y
    angle = spots[:, around] / bend.radius
    reach = bend.radius - depths
    beside, out = reach * np.sin(angle), reach * np.cos(angle) - bend.radius
    solid: Array = (
        np.array(frame.corner)
        + np.multiply.outer(spots[:, along], ways[along])
        + np.multiply.outer(beside, ways[around])
        + np.multiply.outer(out, frame.outward)
    )
    return solid


def frame_at(panel: Panel, spot: Point) -> Frame:
    """The frame that touches the face at one of its spots, which is its (0, 0)."""
    frame, bend = panel.frame, panel.bend
    x, y, z = raised(panel, np.array([spot]), 0.0)[0].tolist()
    if bend is None:
        return replace(frame, corner=(x, y, z))
    angle = spot[1 if bend.upright else 0] / bend.radius
    way, out = np.array(frame.along_y if bend.upright else frame.along_x), np.array(frame.outward)
    turned = vector(math.cos(angle) * way - math.sin(angle) * out)
    if bend.upright:
        return Frame((x, y, z), frame.along_x, turned)
    return Frame((x, y, z), turned, frame.along_y)


def vector(numbers: Array) -> Vector:
    """Three numbers as plain data, none of them -0."""
    x, y, z = (float(number) + 0.0 for number in numbers)
    return x, y, z


def edge_axes(panel: Panel, index: int) -> tuple[Array, Array, Array]:
    """Where edge `index` of the sharp outline starts, along it and inward: (2,) each, mm."""
    start = np.array(panel.outline[index])
    along = np.array(panel.outline[(index + 1) % len(panel.outline)]) - start
    along /= norm(along)
    return start, along, np.array([-along[1], along[0]])


def edge_length(panel: Panel, index: int) -> float:
    """Length of edge `index` of the sharp outline, mm."""
    return math.dist(panel.outline[index], panel.outline[(index + 1) % len(panel.outline)])


def _unit(start: Point, end: Point) -> Point:
    x, y = end[0] - start[0], end[1] - start[1]
    size = math.hypot(x, y)
    return x / size, y / size


def moved_in(outline: tuple[Point, ...], insets: list[float]) -> NDArray[np.float64]:
    """The polygon `outline` with edge i moved in by `insets[i]`, (n, 2), mm."""
    points = np.array(outline, dtype=np.float64)
    along = np.roll(points, -1, axis=0) - points
    along /= np.linalg.norm(along, axis=1)[:, None]
    inward = np.column_stack((-along[:, 1], along[:, 0]))
    offsets = dots(inward, points) + np.array(insets)
    before = np.roll(inward, 1, axis=0)
    offsets_before = np.roll(offsets, 1)
    cross = before[:, 0] * inward[:, 1] - before[:, 1] * inward[:, 0]
    straight = np.abs(cross) < STRAIGHT
    cross[straight] = 1.0
    x = (offsets_before * inward[:, 1] - offsets * before[:, 1]) / cross
    y = (before[:, 0] * offsets - inward[:, 0] * offsets_before) / cross
    moved = np.column_stack((x, y))
    moved[straight] = (points + np.array(insets)[:, None] * inward)[straight]
    return moved


def framed(corners: Array) -> tuple[Frame, tuple[tuple[float, float], ...]]:
    """The face frame of corners that run counter-clockwise from outside, and they in it."""
    # Newell's normal: of any plane polygon, convex or not.
    outward = np.cross(corners, np.roll(corners, -1, axis=0)).sum(axis=0)
    outward /= norm(outward)
    if abs(outward[2]) > LYING:
        up = np.array([0.0, math.copysign(1.0, outward[2]), 0.0])
    else:
        up = np.array([0.0, 0.0, 1.0])
    up -= product(up, outward) * outward
    up /= norm(up)
    right = np.cross(up, outward)
    flat = np.column_stack(
        [product(corners - corners[0], right), product(corners - corners[0], up)]
    )
    frame = Frame(vector(corners[0]), vector(right), vector(up))
    return frame, tuple((float(x), float(y)) for x, y in flat)
