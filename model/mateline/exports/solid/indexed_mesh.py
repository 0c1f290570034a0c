r"""A skin as numbered vertices of one colour each, closed by number.

Stands after skin, before glb. A vertex of a picture file has one colour, so where colours meet
there must be several at one place; readers then take the mesh for open along each border. Here
the vertices of each colour stand a hair inside it, and a band of slivers closes the gap:

    colour A   a1-------b1
               | \      |      the band, HAIR wide on each side: too narrow to be seen
    colour B   a2-------b2

    fan   the triangles of one colour that follow each other round a vertex; it gets its own
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.exports.solid.skin import Skin

    Array = NDArray[np.float64]
    Ints = NDArray[np.int64]

GRAIN = 1e-3  # mm: places are rounded to this, and those that become one are one
HAIR = 2e-3  # mm: half the width of a band; a float keeps it within 8 m of the origin


@dataclass(frozen=True, slots=True)
class Indexed:
    """Places (k, 3), mm, cabinet frame; (k,) numbers in `colours`; triangles (n, 3)."""

    places: Array
    tints: Ints
    colours: tuple[str, ...]
    triangles: Ints


def indexed(skin: Skin) -> Indexed:
    """The vertices and triangles of `skin`.

    Raises ValueError where the skin is not closed: some edge is not used as often one way as the
    other.
    """
    rounded = np.round(skin.triangles.reshape(-1, 3) / GRAIN) * GRAIN + 0.0
    places, numbers = np.unique(rounded, axis=0, return_inverse=True)
    triangles = numbers.reshape(-1, 3)
    kept = (triangles != np.roll(triangles, 1, axis=1)).all(axis=1)  # rounding may close some
    triangles = triangles[kept]
    colours, tints = np.unique(np.array(skin.colours)[kept], return_inverse=True)
    partner = _partners(triangles)
    fans = _fans(triangles, tints, partner)
    count = int(fans.max()) + 1
    first = np.zeros(count, dtype=np.int64)
    first[fans] = np.arange(len(fans))
    mesh = fans.reshape(-1, 3)
    bands = _bands(mesh, tints, partner)
    return Indexed(
        _drawn_in(places, triangles, fans, bands),
        tints[first // 3],
        tuple(colours.tolist()),
        np.concatenate([mesh, bands, _stars(bands)]),
    )


def _next(half: Ints) -> Ints:
    """The half edge after each in its triangle; half edge i starts at corner i of all corners."""
    after: Ints = half - half % 3 + (half + 1) % 3
    return after


def _partners(triangles: Ints) -> Ints:
    """By half edge, the one that runs back along it in the neighbouring triangle."""
    a, b = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    count = int(triangles.max()) + 1
    there, back = a * count + b, b * count + a
    order, other = np.argsort(there, kind="stable"), np.argsort(back, kind="stable")
    if not np.array_equal(there[order], back[other]):
        raise ValueError("the skin of a board is not closed")
    partner = np.empty_like(order)
    partner[order] = other
    return partner


def _fans(triangles: Ints, tints: Ints, partner: Ints) -> Ints:
    """By corner, the number of its fan: corners of one place and colour joined over edges."""
    half = np.arange(triangles.size)
    same = half[tints[half // 3] == tints[partner // 3]]
    pairs = np.concatenate([[same, _next(partner[same])], [_next(same), partner[same]]], axis=1)
    graph = coo_array((np.ones(pairs.shape[1], dtype=bool), pairs), shape=(half.size, half.size))
    fans: Ints = connected_components(graph, directed=False)[1].astype(np.int64)
    return fans


def _bands(mesh: Ints, tints: Ints, partner: Ints) -> Ints:
    """Two slivers for each edge where colours meet: see the figure above."""
    half = np.arange(mesh.size)
    over = half[(tints[half // 3] != tints[partner // 3]) & (half < partner)]
    fans = mesh.ravel()
    a1, b1 = fans[over], fans[_next(over)]
    b2, a2 = fans[partner[over]], fans[_next(partner[over])]
    upper, lower = np.column_stack((b1, a1, a2)), np.column_stack((b1, a2, b2))
    bands: Ints = np.stack([upper, lower], axis=1).reshape(-1, 3)
    return bands


def _stars(bands: Ints) -> Ints:
    """What the bands leave open between them where three colours or more meet."""
    (_, a1, a2), (b1, _, b2) = bands[::2].T, bands[1::2].T
    after = dict(zip([*a1.tolist(), *b2.tolist()], [*a2.tolist(), *b1.tolist()], strict=True))
    found: list[tuple[int, int, int]] = []
    while after:
        start, at = after.popitem()
        ring = [start]
        while at != start:
            ring.append(at)
            at = after.pop(at)
        found.extend((start, ring[step + 1], ring[step]) for step in range(1, len(ring) - 1))
    return np.array(found, dtype=np.int64).reshape(-1, 3)


def _drawn_in(places: Array, triangles: Ints, fans: Ints, bands: Ints) -> Array:
    """The place of each fan's vertex, a hair inside the fan where a band starts at it."""
    count = int(fans.max()) + 1
    at = np.empty((count, 3))
    at[fans] = places[triangles.ravel()]
    middles = np.repeat(places[triangles].mean(axis=1), 3, axis=0)
    inward = middles - at[fans]
    inward /= np.linalg.norm(inward, axis=1)[:, None]
    summed = np.column_stack(
        [np.bincount(fans, inward[:, axis], minlength=count) for axis in range(3)]
    )
    length = np.linalg.norm(summed, axis=1)
    moves = np.zeros(count, dtype=bool)
    moves[bands] = True
    moves &= length > 0
    at[moves] += HAIR * summed[moves] / length[moves, None]
    return at
