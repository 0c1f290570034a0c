"""The sides of a face by the names that a person calls them: where each edge of the cabinet is.

Stands first in the room. A side is one edge of the cabinet as one sees it: an edge of the board, or
a whole curve. Its name is the direction that it lies in, and the face beyond it, if that is there.

    front, back, top, floor, bottom, left, right    left is the player's
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import LineString

from mateline.cabinet.panel import edge_axes, grouped, raised
from mateline.products import norm, product
from mateline.stencil.lettering.edge_marks import short_of_edge

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.curves import Point

    Array = NDArray[np.float64]

PLAIN = math.cos(math.radians(35))  # no unit: a side that leans more has no direction of its own
LOW = 1.0  # mm above the lowest place of the cabinet: still the floor
OFF = 1e-3  # mm: sides this alike near are told apart by their order


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a face. `way` is its direction's word, or "" where it leans; `beyond` is the
    face across it, None where no board is. `ends` are on the sharp edge, face frame, mm; `out` is
    the unit vector square off it, out of the face. `short` is how far the board ends from it, mm.
    """

    way: str
    beyond: str | None
    ends: tuple[Point, Point]
    out: Point
    straight: bool
    short: float
    edges: tuple[int, ...]

    @property
    def name(self) -> str:
        """What it is called in a line of text: "front (body-front)"."""
        if self.beyond is None:
            return self.way or "the open edge"
        return f"{self.way} ({self.beyond})" if self.way else self.beyond


def sides_of(face: Face, faces: Collection[str], floor: float) -> tuple[Side, ...]:
    """The sides of `face`, in the order of its board's edges. `faces` are the names of all that
    are there, and `floor` is the lowest place of the cabinet, mm.
    """
    panel = face.panel
    found = []
    for first, count, run in grouped(panel):
        corners = panel.outline
        start, end = corners[first], corners[(first + count) % len(corners)]
        _, _, inward = edge_axes(panel, first + count // 2)
        middle = (np.array(start) + np.array(end)) / 2
        curved = run is not None and run.centre is not None and panel.bend is None
        if not curved:
            inward = edge_axes(panel, first)[2]
        x, y = (-inward).tolist()
        beyond = f"{panel.carcase}-{panel.edges[first].neighbour}"
        short = None if curved else short_of_edge(face, first)
        found.append(
            Side(
                _way(face, middle, -inward, floor),
                beyond if beyond in faces else None,
                (start, end),
                (x, y),
                not curved,
                short or 0.0,
                tuple(range(first, first + count)),
            )
        )
    return tuple(found)


def lowest(faces: Sequence[Face]) -> float:
    """The lowest place of a cabinet's faces, mm in its frame."""
    return min(
        float(raised(face.panel, np.array(face.panel.outline), 0.0)[:, 2].min()) for face in faces
    )


def _way(face: Face, middle: Array, out: Array, floor: float) -> str:
    """The word for the direction in which a side lies, seen in the cabinet."""
    spots = np.stack([middle, middle + out])
    here, there = raised(face.panel, spots, 0.0)
    x, y, z = ((there - here) / norm(there - here)).tolist()
    words = ((z, "top"), (-z, "floor" if here[2] <= floor + LOW else "bottom"),
             (-y, "front"), (y, "back"), (-x, "left"), (x, "right"))  # fmt: skip
    share, word = max(words, key=lambda each: each[0])
    return word if share >= PLAIN else ""


def side_at(face: Face, sides: Sequence[Side], points: Array) -> list[int]:
    """Which of the sides each of `points` (n, 2) on the board's rim belongs to.

    The one whose rim, as far off its sharp edge as the board ends there, is nearest.
    """
    panel = face.panel
    distances = []
    for side in sides:
        corners = panel.outline
        walk = [corners[edge] for edge in side.edges]
        walk.append(corners[(side.edges[-1] + 1) % len(corners)])
        edge = panel.edges[side.edges[0]]
        off = edge.strip_width - edge.section.start[0] if edge.strips else -side.short
        line = LineString(walk)
        distances.append(np.abs(shapely.distance(line, shapely.points(points)) - abs(off)))
    nearest: list[int] = np.argmin(np.round(np.array(distances) / OFF), axis=0).tolist()
    return nearest


def on_sharp_edge(face: Face, edge: int, at: Point) -> float:
    """How far a place on the sharp edge is from the edge's start, mm."""
    start, along, _ = edge_axes(face.panel, edge)
    return float(product(np.array(at) - start, along))
