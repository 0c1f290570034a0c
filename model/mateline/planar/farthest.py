"""How far lines are from other lines, along their edges and not at vertices only.

Stands first in planar. Vertices say little: two bow-ties with the same corners have all of them
in common, and each is what the other is not.

Along an edge the distance to one other edge is convex, so it is largest at an end; and from any
place it grows by no more than the way gone. With both bounds edges are halved where they might
still be farther than what is known.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

FINE = 2.0**-10  # share of what is asked for: what is nearer to it than this counts as farther


def farther(lines: Any, others: Any, than: float) -> bool:
    """Whether any point of `lines` is farther than that from `others`, or all but so far."""
    _, far = _searched(lines, others, than * (1 - FINE), than * FINE)
    return far > than * (1 - FINE)


def farthest(lines: Any, others: Any, fine: float) -> tuple[tuple[float, float], float]:
    """The point of `lines` farthest from `others`, and how far it is, less than `fine` short."""
    (x, y), far = _searched(lines, others, -1.0, fine)
    return (float(x), float(y)), far


def _searched(lines: Any, others: Any, known: float, fine: float) -> tuple[Floats, float]:
    """A point farther than `known` by more than `fine`, the farthest such; or any, if none is."""
    edges = _edges(others)
    tree = shapely.STRtree(np.asarray(shapely.linestrings(edges.reshape(-1, 2, 2))))
    parts = _edges(lines)
    place, best = parts[0, :2], known
    far, beside = _nearest(tree, parts)
    while len(parts):
        most = far.max(axis=1)
        top = int(np.argmax(most))
        if most[top] > best:
            best, place = float(most[top]), parts[top].reshape(2, 2)[int(np.argmax(far[top]))]
        size = np.hypot(*(parts[:, 2:] - parts[:, :2]).T)
        bound = np.where(beside[:, 0] == beside[:, 1], most, (far.sum(axis=1) + size) / 2)
        open_ = bound > best + fine
        parts, far, beside = parts[open_], far[open_], beside[open_]
        middle = (parts[:, :2] + parts[:, 2:]) / 2
        away, at = _nearest(tree, middle)
        parts = np.vstack([np.hstack([parts[:, :2], middle]), np.hstack([middle, parts[:, 2:]])])
        far = np.vstack([np.hstack([far[:, :1], away]), np.hstack([away, far[:, 1:]])])
        beside = np.vstack([np.hstack([beside[:, :1], at]), np.hstack([at, beside[:, 1:]])])
    return place, best


def _nearest(tree: shapely.STRtree, places: Floats) -> tuple[Floats, Ints]:
    """The distance of each place of each row to the nearest edge, and which edge that is."""
    spots = shapely.points(places.reshape(-1, 2))
    (_, edge), away = tree.query_nearest(spots, return_distance=True, all_matches=False)
    return away.reshape(-1, places.shape[1] // 2), edge.reshape(-1, places.shape[1] // 2)


def _edges(lines: Any) -> Floats:
    """Both ends (n, 4) of all edges of lines."""
    points, line = shapely.get_coordinates(shapely.get_parts(lines), return_index=True)
    found: Floats = np.hstack([points[:-1], points[1:]])[line[1:] == line[:-1]]
    return found
