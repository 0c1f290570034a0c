"""Regions of a network of borders, coloured by the seeds in them; what is wrong is told by place.

Stands after network. A border that ends in the open parts nothing, and never breaks a region;
what is no wider than a hair belongs to the neighbour that it shares most with.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from shapely import Polygon

from mateline.drawing.borders.borders import Border
from mateline.drawing.borders.network import SNAP, network_of
from mateline.drawing.path import Line

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from shapely.geometry.base import BaseGeometry

    from mateline.drawing.borders.borders import Borders, Circle, Point, Seed
    from mateline.drawing.borders.network import Network

ON_BORDER = 0.02  # mm: a seed this near to a border is on it
BORN = 0.5  # share of SNAP within which a vertex of a strand is on a region's rim

FlawKind = Literal["loose-end", "parts-nothing", "on-border", "outside", "two-colours", "no-seed"]


@dataclass(frozen=True, slots=True)
class Flaw:
    """Something in a borders file that a person should look at, and where, mm, y down.

    `border` and `seed` are numbers in the file's order.
    """

    kind: FlawKind
    at: Point
    message: str
    border: int | None = None
    seed: int | None = None


@dataclass(frozen=True, slots=True)
class Region:
    """One connected area between borders; `seeds` are the numbers of those in it.

    `colour` is None where no seed says one: it keeps the base coat. `at` is inside it.
    """

    area: Polygon
    colour: str | None
    seeds: tuple[int, ...]
    at: Point


@dataclass(frozen=True, slots=True)
class Regions:
    """Regions that tile the outline, by their places, and what is wrong."""

    regions: tuple[Region, ...]
    flaws: tuple[Flaw, ...]


def regions_of(borders: Borders, deviation: float) -> Regions:
    """The regions of a borders file; facets leave their arcs by `deviation`, mm, at the most."""
    outline = borders.outline or _picture(borders)
    network = network_of([outline, *borders.borders], deviation)
    rim = _rim(outline, deviation)
    lines = _noded(network)
    found, cuts, dangles, _ = shapely.polygonize_full([lines])
    areas = [each for each in shapely.get_parts(found) if _inside(each, rim)]
    areas = sorted(_without_hairs(areas), key=lambda each: each.bounds)
    regions, flaws = _coloured(areas, borders.seeds, lines)
    return Regions(
        tuple(regions),
        (*_loose(network, dangles, rim), *_needless(network, cuts, rim), *flaws),
    )


def _noded(network: Network) -> BaseGeometry:
    """All strands; where facets of borders that nearly touch cross, they are cut there too."""
    counts = [len(each.points) for each in network.strands]
    points = np.array([at for each in network.strands for at in each.points]).reshape(-1, 2)
    return shapely.union_all(
        shapely.linestrings(points, indices=np.repeat(np.arange(len(counts)), counts))
    )


def _picture(borders: Borders) -> Border:
    w, h = borders.width, borders.height
    corners = ((w, 0.0), (w, h), (0.0, h), (0.0, 0.0))
    return Border((0.0, 0.0), tuple(Line(*corner) for corner in corners))


def _rim(outline: Border | Circle, deviation: float) -> Polygon:
    """The area inside the outline."""
    lines = _noded(network_of([outline], deviation))
    parts = shapely.get_parts(shapely.polygonize([lines]))
    if not len(parts):
        raise ValueError("the outline is not closed")
    whole = shapely.union_all(parts)
    if not isinstance(whole, Polygon):
        raise ValueError("the outline crosses itself")  # noqa: TRY004  as the file draws it
    shapely.prepare(whole)
    return whole


def _inside(area: Polygon, rim: Polygon) -> bool:
    return bool(rim.contains(area.representative_point()))


def _without_hairs(areas: Sequence[Polygon]) -> list[Polygon]:
    """Areas no wider than `SNAP` given to the neighbours that they share most with."""
    shapes = np.array(areas, dtype=object)
    thin = np.flatnonzero(2 * shapely.area(shapes) <= SNAP * shapely.length(shapes))
    home = {}
    if len(thin):
        tree = shapely.STRtree(shapes)
        for at in thin.tolist():
            near = [n for n in tree.query(shapes[at]).tolist() if n not in thin]
            rim = shapes[at].boundary
            shared = [(shapely.length(rim.intersection(shapes[n].boundary)), -n) for n in near]
            if shared and max(shared)[0] > 0:
                home[at] = -max(shared)[1]
    gains: dict[int, list[Polygon]] = defaultdict(list)
    for at, to in home.items():
        gains[to].append(shapes[at])
    whole: list[Polygon] = []
    for number, shape in enumerate(shapes):
        if number in gains:
            joined = shapely.union_all([shape, *gains[number]])
            whole.extend(shapely.get_parts(joined))
        elif number not in home:
            whole.append(shape)
    return whole


def _coloured(
    areas: Sequence[Polygon], seeds: Sequence[Seed], lines: BaseGeometry
) -> tuple[list[Region], list[Flaw]]:
    flaws: list[Flaw] = []
    inside: dict[int, list[int]] = defaultdict(list)
    if seeds and areas:
        points = shapely.points([seed.at for seed in seeds])
        on = shapely.dwithin(lines, points, ON_BORDER)
        held, home = shapely.STRtree(list(areas)).query(points, predicate="within")
        where = dict(zip(held.tolist(), home.tolist(), strict=True))
        for number, seed in enumerate(seeds):
            if on[number]:
                flaws.append(_flaw("on-border", seed.at, f"The colour {seed.colour} lies on a "
                                   "border, so it fills nothing.", seed=number))  # fmt: skip
            elif number in where:
                inside[where[number]].append(number)
            else:
                flaws.append(_flaw("outside", seed.at, f"The colour {seed.colour} lies outside "
                                   "the outline.", seed=number))  # fmt: skip
    regions = []
    for at, area in enumerate(areas):
        middle = area.representative_point()
        own = inside.get(at, [])
        for number in own[1:]:
            if seeds[number].colour != seeds[own[0]].colour:
                flaws.append(
                    _flaw(
                        "two-colours", seeds[number].at,
                        f"The colours {seeds[own[0]].colour} and {seeds[number].colour} lie in one "
                        "region: the first fills it. A border between them may have a gap.",
                        seed=number,
                    )
                )  # fmt: skip
                break
        if not own:
            flaws.append(_flaw("no-seed", (middle.x, middle.y),
                               "The region has no colour, so it keeps the base coat."))  # fmt: skip
        colour = seeds[own[0]].colour if own else None
        regions.append(Region(area, colour, tuple(own), (middle.x, middle.y)))
    return regions, flaws


def _flaw(
    kind: FlawKind, at: Point, message: str, border: int | None = None, seed: int | None = None
) -> Flaw:
    return Flaw(kind, at, message, border, seed)


def _loose(network: Network, dangles: BaseGeometry, rim: Polygon) -> Iterator[Flaw]:
    """Ends in the open, inside the outline: what runs on past it is cut off there."""
    if dangles.is_empty:
        return
    for at, border in network.loose_ends():
        if border and rim.contains(shapely.Point(at)):
            yield _flaw("loose-end", at, "The border ends here in the open, so it parts nothing "
                        "from its last crossing on.", border=border - 1)  # fmt: skip


def _needless(network: Network, cuts: BaseGeometry, rim: Polygon) -> Iterator[Flaw]:
    """Borders between two others with one region on both of their sides."""
    if cuts.is_empty:
        return
    middles = shapely.points([each.middle for each in network.strands])
    needless = shapely.dwithin(cuts, middles, BORN * SNAP)
    told = set()
    for strand, middle, so in zip(
        network.strands, middles.tolist(), needless.tolist(), strict=True
    ):
        if so and strand.border and strand.border not in told and rim.contains(middle):
            told.add(strand.border)
            what = "The border has one region on both of its sides, so it parts nothing here."
            yield _flaw("parts-nothing", (middle.x, middle.y), what, border=strand.border - 1)
