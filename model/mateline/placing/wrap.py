r"""Wrapping: neighbouring faces unfolded into one plane, lengths kept round every corner.

Stands after faces, before place.

     first face        end of its board      next face
    +-----------+---------+---+-------------+
    |   flat    |  strip  |end|    flat     |     a drawing runs on without a jump
    +-----------+---------+---+-------------+

Where one board lies over the other its end is seen between them; it takes its true width, whoever
paints it. A bent board unfolds to the length of its outside.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from mateline.cabinet.faces import reach_beyond
from mateline.cabinet.panel import curved_edges, edge_axes, edge_length, frame_at, raised
from mateline.placing.similarity import composed
from mateline.products import norm, product

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.cabinet.panel import Panel

    Array = NDArray[np.float64]

COPLANAR = 1.0  # mm: how far two faces of different carcases may be out of one plane
PARALLEL = 1e-3  # no unit: how far their normals may differ


class UnreachableError(ValueError):
    """A face that meets none of those before it."""

    def __init__(self, face: str) -> None:
        super().__init__(face)
        self.face = face


class CurvedEdgeError(ValueError):
    """Two faces that meet along a curve, over which nothing unfolds."""

    def __init__(self, one: str, other: str) -> None:
        super().__init__(one, other)
        self.faces = one, other


def wraps(faces: Sequence[Face], off: Sequence[str | None] | None = None) -> tuple[Array, ...]:
    """For each face the map (2, 3) from its frame to the first face's, all unfolded.

    Each face unfolds off the one named for it in `off`; else off the one just before it where
    they meet, so that a chain runs on; else off the first before it that it meets. Faces meet
    over a shared edge, or in one plane. Raises UnreachableError, CurvedEdgeError.
    """
    unfolded: list[Array] = [np.array([[1.0, 0, 0], [0, 1, 0]])]
    for index, face in enumerate(faces[1:], start=1):
        named = off[index] if off is not None else None
        order = [index - 1, *range(index - 1)]
        if named is not None:
            order = [at for at in order if faces[at].name == named]
        steps = ((at, _step(faces[at], face)) for at in order)
        found = next(((at, step) for at, step in steps if step is not None), None)
        if found is None:
            curved = next((faces[at] for at in order if _along_curve(faces[at], face)), None)
            if curved is not None:
                raise CurvedEdgeError(curved.name, face.name)
            raise UnreachableError(face.name)
        unfolded.append(composed(unfolded[found[0]], found[1]))
    return tuple(unfolded)


def _step(to: Face, face: Face) -> Array | None:
    over = _over_edge(to, face)
    return _in_plane(to, face) if over is None else over


def _over_edge(to: Face, face: Face) -> Array | None:
    """From `face`'s frame to that of `to`, unfolded over the edge that they share."""
    if to.panel.carcase != face.panel.carcase:
        return None
    own = _edge(to.panel, face.panel.name)
    other = _edge(face.panel, to.panel.name)
    if own is None or other is None:
        return None
    if _along_curve(to, face):
        return None
    start, along, inward = edge_axes(to.panel, own)
    start2, along2, inward2 = edge_axes(face.panel, other)
    middle2 = start2 + along2 * (edge_length(face.panel, other) / 2)
    along3 = _along(to.panel, start, along)
    beside = float(product(_at(face, middle2) - _at(to, start), along3))
    edge, edge2 = to.panel.edges[own], face.panel.edges[other]
    seam = edge.section.start[0] - reach_beyond(edge)
    seam2 = edge2.section.start[0] - reach_beyond(edge2)
    turned = -np.outer(along, along2) - np.outer(inward, inward2)
    # The middle of the other's sharp edge, seen in this plane:
    target = start + beside * along + (seam + seam2) * inward
    return np.column_stack([turned, target - product(turned, middle2)])


def _in_plane(to: Face, face: Face) -> Array | None:
    if to.panel.carcase == face.panel.carcase or to.panel.bend or face.panel.bend:
        return None
    frame, frame2 = to.panel.frame, face.panel.frame
    outward = np.array(frame.outward)
    apart = abs(float(product(np.array(frame2.corner) - frame.corner, outward)))
    if apart > COPLANAR or float(product(outward, frame2.outward)) < 1 - PARALLEL:
        return None
    lift = face.cells[0].lift.copy()
    lift[:, 2] -= frame.corner
    flat: Array = product(np.array([frame.along_x, frame.along_y]), lift)
    # What is left of a small lean would scale the art: keep the turn only.
    turn = flat[:, 0] / norm(flat[:, 0])
    return np.column_stack([turn, (-turn[1], turn[0]), flat[:, 2]])


def _along(panel: Panel, start: Array, along: Array) -> Array:
    """The way `along` at a spot of the face, in the cabinet frame."""
    frame = frame_at(panel, (float(start[0]), float(start[1])))
    way: Array = product(np.column_stack([frame.along_x, frame.along_y]), along)
    return way


def _at(face: Face, spot: Array) -> Array:
    if face.panel.bend is not None:
        there: Array = raised(face.panel, spot[None], 0.0)[0]
        return there
    return product(face.cells[0].lift, [*spot, 1.0])


def _along_curve(to: Face, face: Face) -> bool:
    """Whether two faces meet along a curve."""
    return to.panel.carcase == face.panel.carcase and any(
        each.panel.edges[at].neighbour == other.panel.name
        for each, other in ((to, face), (face, to))
        for at in curved_edges(each.panel)
    )


def _edge(panel: Panel, neighbour: str) -> int | None:
    found = [
        i for i, edge in enumerate(panel.edges) if edge.neighbour == neighbour and not edge.apart
    ]
    return found[0] if found else None
