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
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from mateline.curves import Chain, Point, radius, sweep
from mateline.products import dots, norm, product

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.cabinet.hole import Hole

    Array = NDArray[np.float64]

Vector = tuple[float, float, float]
Finish = Literal["art", "base", "left"]
STRAIGHT = 1e-9  # no unit: sine of the angle below which two edges run on in one line
AXES_TOL = 1e-9  # no unit: error allowed in the dot products of two unit vectors


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
    end cut, those before it are strips of the outside face. `shows_end` says that the board
    lies over its neighbour, so that what is left of its end is seen from outside. `end` says how
    an end that is seen is painted (with the art of the face beyond, the base coat, not at all).
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
class Panel:
    """One board. `outline` runs counter-clockwise seen from outside, in the face frame, mm.

    `edges[i]` is the edge from `outline[i]` to `outline[i + 1]`. `corners` names the outline's
    points where the definition does (None elsewhere). `holes` are in the face frame.
    """

    name: str
    carcase: str
    thickness: float
    frame: Frame
    outline: tuple[Point, ...]
    corners: tuple[str | None, ...]
    edges: tuple[Edge, ...]
    holes: tuple[Hole, ...] = ()


def inset(edge: Edge, down: float, *, below: bool = False) -> float:
    """How far in from the sharp edge the board ends at depth `down`, or just `below` it, mm."""
    groove = edge.groove
    cut = groove.deep if groove is not None and groove.holds(down, below=below) else 0.0
    return _end_at(edge, down) + cut


def _end_at(edge: Edge, down: float) -> float:
    """The same without any groove."""
    at = edge.section.start
    for segment in edge.section.segments:
        if down <= segment.to[1] or segment is edge.section.segments[-1]:
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
        at = segment.to
    raise ValueError("a section has at least its end cut")


def level(panel: Panel, down: float, *, below: bool = False) -> NDArray[np.float64]:
    """Corners (n, 2) of the board at depth `down`: the outline with each edge moved in. mm.

    On the side of a groove they are those just above it, or `below`.

    Each corner is where the two moved edges meet. Does not notice a corner that has crossed
    another: carcase.py refuses such boards.
    """
    return moved_in(panel.outline, [inset(edge, down, below=below) for edge in panel.edges])


def corner_at(panel: Panel, index: int, down: float, *, below: bool = False) -> Point:
    """Corner `index` of the board at depth `down` alone, mm: where its two moved edges meet."""
    before, here, after = (
        panel.outline[(index + step) % len(panel.outline)] for step in (-1, 0, 1)
    )
    ax, ay = _unit(before, here)
    bx, by = _unit(here, after)
    # On both moved lines: n . (p - here) = inset, with n the inward normal (-y, x) of each edge.
    first, second = (inset(panel.edges[at], down, below=below) for at in (index - 1, index))
    cross = ax * by - ay * bx
    if abs(cross) < STRAIGHT:
        return here[0] - second * by, here[1] + second * bx
    return (
        here[0] + (bx * first - ax * second) / cross,
        here[1] + (by * first - ay * second) / cross,
    )


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
