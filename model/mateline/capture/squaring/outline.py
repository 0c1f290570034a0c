"""The outline of a face as the tape knows it: what a photo is squared by.

Stands first in squaring. Corners run counter-clockwise in the face frame, mm; edge k runs from
corner k to the next. What the tape does not know comes as the covariance of the corners.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.curves import Chain, Segment, flattened, sweep
from mateline.products import ring_area

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FACET = 0.02  # mm: how far a facet of the outline may leave its arc where areas are looked at
NOTHING = 1e-9  # share of the largest variance below which a direction is known exactly


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """`corners` (n, 2), mm, face frame, counter-clockwise; `covariance` (2n, 2n), mm², of x0, y0,
    x1, ...; None says that they are exact. `edges[k]` runs from corner k to corner k + 1; `names`
    are those of the corners.
    """

    face: str
    corners: Floats
    edges: tuple[Segment, ...]
    names: tuple[str, ...]
    covariance: Floats | None = None

    def __len__(self) -> int:
        return len(self.corners)

    @property
    def edge_names(self) -> tuple[str, ...]:
        """Each edge by its two corners."""
        return tuple(
            f"{self.names[at]}-{self.names[(at + 1) % len(self)]}" for at in range(len(self))
        )

    @property
    def chain(self) -> Chain:
        """The outline as a closed chain."""
        return Chain(self.edges[-1].to, self.edges)

    @property
    def ring(self) -> Floats:
        """Points (m, 2) around it, arcs in facets, the first one again at the end."""
        return flattened(self.chain, FACET)

    @property
    def size(self) -> float:
        """The diagonal of its box, mm."""
        wide, high = np.ptp(self.corners, axis=0).tolist()
        return float(np.hypot(wide, high))


def outline_of(
    face: str,
    outline: Chain | Floats,
    covariance: Floats | None = None,
    names: Sequence[str] | None = None,
) -> Outline:
    """The outline of a face from a closed chain or from its corners (n, 2), either way round.

    `covariance` and `names` go with the corners in the order given; names are A, B, ... or 1, 2,
    ... if there are none. Raises ValueError for an open chain or fewer than three corners.
    """
    if isinstance(outline, Chain):
        if not outline.closed:
            raise ValueError(f"{face}: the outline does not close")
        corners = np.array([outline.start, *(each.to for each in outline.segments[:-1])])
        edges = outline.segments
    else:
        corners = np.asarray(outline, dtype=np.float64)
        edges = tuple(Segment((float(x), float(y))) for x, y in np.roll(corners, -1, axis=0))
    if len(corners) < 3:
        raise ValueError(f"{face}: an outline has three corners at least")
    called = tuple(names) if names is not None else _names(len(corners))
    known = Outline(face, corners, edges, called, covariance)
    return known if ring_area(known.ring) > 0 else _turned_round(known)


def places_on(outline: Outline, corners: Floats, edge: int, shares: Floats) -> Floats:
    """Points (m, 2), mm, at `shares` (m,) of the way along an edge, if its corners are `corners`.

    An arc is moved with its ends as if it were stiff: what the tape leaves open is small.
    """
    here, there = corners[edge], corners[(edge + 1) % len(outline)]
    share = shares[:, None]
    between: Floats = (1 - share) * here + share * there
    segment = outline.edges[edge]
    if segment.centre is None:
        return between
    start, end = outline.corners[edge], outline.corners[(edge + 1) % len(outline)]
    centre = np.array(segment.centre)
    turn = sweep((float(start[0]), float(start[1])), segment) * shares
    arm = start - centre
    cos, sin = np.cos(turn), np.sin(turn)
    arc = centre + np.column_stack([cos * arm[0] - sin * arm[1], sin * arm[0] + cos * arm[1]])
    moved: Floats = arc + between - ((1 - share) * start + share * end)
    return moved


def lengths(outline: Outline) -> Floats:
    """Lengths (n,) of the edges, mm; of arcs along them."""
    found = []
    for at, segment in enumerate(outline.edges):
        start = outline.corners[at]
        chord = float(np.hypot(*(np.array(segment.to) - start)))
        if segment.centre is None:
            found.append(chord)
        else:
            arm = float(np.hypot(*(np.array(segment.centre) - start)))
            found.append(arm * abs(sweep((float(start[0]), float(start[1])), segment)))
    return np.array(found)


def modes(outline: Outline) -> Floats:
    """How the corners may move: (2n, m), mm for each of m independent unknowns of variance one.

    The product of it with its transpose is the covariance; directions that are exact are left out,
    such as those that the frame was laid by.
    """
    if outline.covariance is None:
        return np.zeros((2 * len(outline), 0))
    values, vectors = np.linalg.eigh(outline.covariance)
    kept = values > NOTHING * max(float(values.max()), NOTHING)
    found: Floats = vectors[:, kept] * np.sqrt(values[kept])
    return found


def _names(count: int) -> tuple[str, ...]:
    if count <= 26:
        return tuple(chr(ord("A") + at) for at in range(count))
    return tuple(str(at + 1) for at in range(count))


def _turned_round(outline: Outline) -> Outline:
    """The same outline walked the other way, from the same first corner."""
    order = [0, *range(len(outline) - 1, 0, -1)]
    corners = outline.corners[order]
    edges = []
    for at in range(len(outline)):
        old = outline.edges[-1 - at]
        to = corners[(at + 1) % len(corners)]
        edges.append(Segment((float(to[0]), float(to[1])), old.centre, not old.counterclockwise))
    covariance = outline.covariance
    if covariance is not None:
        rows = np.array([[2 * at, 2 * at + 1] for at in order]).ravel()
        covariance = covariance[np.ix_(rows, rows)]
    return Outline(
        outline.face, corners, tuple(edges), tuple(outline.names[at] for at in order), covariance
    )
