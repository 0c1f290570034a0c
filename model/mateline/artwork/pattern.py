"""The pattern: flat shapes made into regions that tile an outline, each border once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely import Polygon


@dataclass(frozen=True, slots=True)
class Border:
    """One border: facets (n, 2) from node `start` to node `end`, the region on each side.

    -1 is the outside of the outline. A closed border has start == end.
    """

    start: int
    end: int
    left: int
    right: int
    points: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Region:
    """One connected area of one colour. `loops` are signed borders: i, or ~i walked backwards;
    the first loop is the outer one, counter-clockwise. `sources` are positions of the shapes
    that can be seen in it.
    """

    colour: str
    area: Polygon
    loops: tuple[tuple[int, ...], ...]
    sources: frozenset[int]


@dataclass(frozen=True, slots=True)
class Pattern:
    """A planar map: nodes (k, 2), borders between them, regions as loops of borders."""

    nodes: NDArray[np.float64]
    borders: tuple[Border, ...]
    regions: tuple[Region, ...]
