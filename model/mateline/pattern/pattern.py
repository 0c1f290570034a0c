"""The pattern: flat shapes made into regions that tile an outline, each border once.

Stands after the drawing readers, before pieces. Never moves a point farther than it is told
to, and never returns a pattern that does not tile.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from mateline.pattern.arrangement import arrangement_of
from mateline.pattern.dissolve import OUTSIDE, dissolved, face_map
from mateline.pattern.tiling import Tiling, tiling_of
from mateline.pattern.visible_layer import HAIR, visible_layers
from mateline.planar.chains import walked
from mateline.planar.edges import undirected
from mateline.planar.half_edges import TangledError
from mateline.planar.moved import valid
from mateline.planar.point_location import half_edges_left_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon

    from mateline.drawing.shapes import Shape
    from mateline.pattern.dissolve import Map

    Ints = NDArray[np.int64]

__all__ = ["Border", "Pattern", "Region", "Tiling", "frayed", "pattern_of", "tiling"]

BARE = ""  # the colour of what no shape covers, where there is no base coat
COINCIDING = 2.0**-34  # share of the extent: edges nearer than this are one, split by rounding
ROUNDING = 2.0**-42  # share of the extent: what is narrower was made by noding, not drawn
# Pitch to round to, a share of the extent: none is right nearly always, the others are tried when
# it makes no map. They are dearer, and where an outline is far from the origin its area changes.
PITCHES = (0.0, 2.0**-44, 2.0**-40, 2.0**-32)


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


def pattern_of(
    shapes: Sequence[Shape], outline: Polygon | MultiPolygon, *, base: str | None
) -> Pattern:
    """Paint `shapes` back to front inside `outline` and store every border of colours once.

    What no shape covers has the colour `base`, or "" when there is none. Regions come in order
    of their lowest points, x before y. Frame and unit are those of what is given.

    Raises ValueError for an outline that is no valid polygon.
    """
    if outline.is_empty or not outline.is_valid:
        raise ValueError(f"the outline is no valid area: {shapely.is_valid_reason(outline)}")
    layers, positions = _layers(shapes, outline)
    names = list(dict.fromkeys([base or BARE, *(shapes[at].colour for at in positions)]))
    colour_of = {name: number for number, name in enumerate(names)}
    palette = np.array(
        [colour_of[base or BARE], *(colour_of[shapes[at].colour] for at in positions), OUTSIDE]
    )
    extent = 2.0 ** np.ceil(np.log2(max(abs(bound) for bound in outline.bounds)))
    failure: TangledError | None = None
    made: list[tuple[int, Pattern]] = []
    for share in PITCHES:
        try:
            pattern = _pattern(layers, palette, names, positions, extent * share)
        except TangledError as tangle:
            failure = tangle
            continue
        crossed = shapely.is_valid_reason([r.area for r in pattern.regions if not r.area.is_valid])
        found = tiling(pattern, outline)
        if found == Tiling(0.0, 0.0, 0) and len(crossed) == 0:
            made.append((frayed(pattern), pattern))
            if made[-1][0] == 0:
                return pattern
            continue
        failure = TangledError(f"the regions don't tile the outline: {found} {crossed}")
    if made:  # it is drawn so
        return min(made, key=lambda each: each[0])[1]
    raise RuntimeError(f"no pattern from {len(shapes)} shapes: {failure}") from failure


def tiling(pattern: Pattern, outline: Polygon | MultiPolygon) -> Tiling:
    """Whether the pattern's regions tile `outline`; all numbers are 0 when they do."""
    return tiling_of([region.area for region in pattern.regions], outline)


def frayed(pattern: Pattern) -> int:
    """How many edges rounding has split in two: hairs that a coarser pitch has not.

    Two borders that run along each other, or a region that only the outside touches: no colour
    can take it in, and the rim beside it is walked twice.
    """
    extent = float(np.abs(pattern.nodes).max(initial=0.0))
    areas = np.array([region.area for region in pattern.regions], dtype=object)
    thin = 2 * shapely.area(areas) <= ROUNDING * extent * shapely.length(areas)
    for border in pattern.borders:
        if OUTSIDE not in (border.left, border.right):
            thin[[border.left, border.right]] = False
    return int(thin.sum()) + _walked_twice(pattern, COINCIDING * extent)


def _walked_twice(pattern: Pattern, near: float) -> int:
    """How many edges lie on another one, both ends nearer than `near` or so."""
    points = [border.points for border in pattern.borders]
    edges = np.vstack([np.hstack([each[:-1], each[1:]]) for each in points])
    if near == 0 or len(edges) < 2:
        return 0
    cells, _ = undirected(np.round(edges / near))
    cells = cells[np.lexsort(cells.T)]
    long = (cells[:, :2] != cells[:, 2:]).any(axis=1)
    return int(((cells[1:] == cells[:-1]).all(axis=1) & long[1:]).sum())


def _layers(
    shapes: Sequence[Shape], outline: Polygon | MultiPolygon
) -> tuple[NDArray[np.object_], list[int]]:
    """Areas that matter, back to front and the outline last, and the positions of the shapes."""
    areas = valid(np.array([shape.area for shape in shapes], dtype=object)).copy()
    if len(areas):
        _drop_hairs(areas, max(abs(bound) for bound in outline.bounds))
    shapely.prepare(outline)
    inside = np.flatnonzero(shapely.intersects(outline, areas)).tolist() if len(areas) else []
    layers = np.empty(len(inside) + 1, dtype=object)
    layers[:-1] = areas[inside]
    layers[-1] = outline
    return layers, inside


def _drop_hairs(areas: NDArray[np.object_], extent: float) -> None:
    """Empty what is no wider than rounding, as a whole or in parts: it has no side to vote for."""
    for at in np.flatnonzero(shapely.get_num_geometries(areas) > 1).tolist():
        parts = shapely.get_parts(areas[at])
        thin = _thin(parts, extent)
        if thin.any():
            areas[at] = shapely.multipolygons(parts[~thin])
    areas[_thin(areas, extent)] = Polygon()


def _thin(areas: NDArray[np.object_], extent: float) -> NDArray[np.bool_]:
    wide = 2 * shapely.area(areas) > HAIR * extent * shapely.length(areas)
    return np.asarray(~wide, dtype=np.bool_)


def _pattern(
    layers: NDArray[np.object_],
    palette: NDArray[np.int64],
    names: list[str],
    positions: list[int],
    grid: float,
) -> Pattern:
    chains, sides = arrangement_of(layers, grid)
    left, right = visible_layers(chains, sides, layers, grid)
    borders, colours, home = dissolved(chains, palette[left], palette[right])
    made = face_map(borders, colours)
    areas = areas_of(made)
    beside = np.column_stack([left, right]).ravel()
    homes = _homes(made, home, beside, sides.middle)
    sources = _sources(len(areas), homes, beside, positions)
    return assembled(made, areas, [names[colour] for colour in made.colour.tolist()], sources)


def assembled(
    made: Map,
    areas: NDArray[np.object_],
    colours: Sequence[str],
    sources: Sequence[frozenset[int]],
) -> Pattern:
    """The pattern of a map whose faces have these areas, colours and sources."""
    borders, ends = made.borders, made.graph.node
    points = np.split(borders.points, borders.offsets[1:-1])
    face = made.face.tolist()
    return Pattern(
        made.graph.nodes,
        tuple(
            Border(int(ends[2 * i]), int(ends[2 * i + 1]), face[2 * i], face[2 * i + 1], points[i])
            for i in range(len(borders))
        ),
        tuple(
            Region(
                colours[i],
                areas[i],
                tuple(tuple(h >> 1 if h % 2 == 0 else ~(h >> 1) for h in loop) for loop in loops),
                sources[i],
            )
            for i, loops in enumerate(made.loops)
        ),
    )


def areas_of(made: Map) -> NDArray[np.object_]:
    """The polygon of each face."""
    points, rings = walked(made.borders, [loop for loops in made.loops for loop in loops])
    faces = np.append(0, np.cumsum([len(loops) for loops in made.loops]))
    areas: NDArray[np.object_] = shapely.from_ragged_array(
        shapely.GeometryType.POLYGON, points, (rings, faces)
    )
    return areas


def _homes(made: Map, home: Ints, layers: Ints, middle: NDArray[np.float64]) -> Ints:
    """The region left of each half-edge of the arrangement; -1 outside, and where no one cares.

    Chains on a border know it. Others matter only where they part two shapes of one colour,
    and then their middle is strictly inside a region.
    """
    region = np.where(home < 0, OUTSIDE, made.face[home])
    inner = np.flatnonzero((home[0::2] < 0) & (layers[0::2] != layers[1::2]))
    half = half_edges_left_of(made.borders, middle[inner])
    found = np.where(half < 0, OUTSIDE, made.face[half])
    region[2 * inner] = region[2 * inner + 1] = found
    return region


def _sources(count: int, region: Ints, layers: Ints, positions: list[int]) -> list[frozenset[int]]:
    """Positions of the shapes seen in each of `count` regions."""
    real = (region != OUTSIDE) & (layers > 0)
    found: list[set[int]] = [set() for _ in range(count)]
    for where, layer in np.unique(np.column_stack([region, layers])[real], axis=0).tolist():
        found[where].add(positions[layer - 1])
    return [frozenset(shapes) for shapes in found]
