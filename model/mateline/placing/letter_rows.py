"""Rows of shapes that look like lettering, and would read backwards where they are mirrored.

Stands after placed, before place. Nobody is asked about a row of which each shape is its own mirror
image (discs, diamonds, stars), whose shapes are all of one form (an ornament), or of plain convex
patches (triangles of a quilt): letters that are not symmetric have hollows or holes. Symmetry is
that of areas: what a shape and its mirror image don't share. Rows run along the drawing, or up it;
letters may also stand above one another.

    row        shapes of one colour side by side, alike in height, on one line
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.memory import AFRESH

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.curves import Point
    from mateline.drawing.shapes import Drawing
    from mateline.memory import Stages
    from mateline.placing.placed import PlacedArt

    Array = NDArray[np.float64]
    Areas = NDArray[np.object_]

LEAST = 3  # shapes in a row
LIKE = 0.15  # share of the height that heights and base lines in a row differ by at most
APART = 1.2  # times the height: the widest gap between neighbours
OVER = 0.3  # times the height: how far neighbours may lie over each other
WIDEST = 1.7  # times the height: what is wider is no letter
LOPSIDED = 0.12  # share of its area that a letter and its mirror image don't have in common
HOLLOW = 0.9  # share of its convex hull that a letter fills at most
ONE_FORM = 0.05  # share of the area that two shapes differ by if they are of one form
ASYMMETRIC = 2  # shapes of a row that are not their own mirror image


@dataclass(frozen=True, slots=True)
class LetterRow:
    """Elements of a drawing that look like lettering, mirrored on `face`; `at` is in its frame."""

    face: str
    drawing: str
    elements: tuple[str, ...]
    at: Point


def letter_rows(
    art: Sequence[PlacedArt], drawings: Mapping[str, Drawing], stages: Stages = AFRESH
) -> tuple[LetterRow, ...]:
    """Every row on a face that it was mirrored onto, as far as nobody has said that it reads."""
    found: list[LetterRow] = []
    for each in art:
        if not each.mirrored or not each.positions:
            continue
        drawing = drawings[each.drawing]
        named = {p for name in each.one_way for p in drawing.elements.get(name, ())}
        shapes = [
            (drawing.shapes[p].area, drawing.shapes[p].colour, at)
            for at, p in enumerate(each.positions)
            if p not in named
        ]
        if not shapes:
            continue
        areas, colours, places = zip(*shapes, strict=True)
        for row in stages.recall(rows_of, tuple(areas), tuple(colours)):
            on_face = [each.shapes[places[at]] for at in row]
            middle = shapely.MultiPoint([shape.area.centroid for shape in on_face]).centroid
            names = dict.fromkeys(shape.element for shape in on_face)
            found.append(LetterRow(each.face, each.drawing, tuple(names), (middle.x, middle.y)))
    return tuple(found)


def rows_of(
    areas: Sequence[shapely.Geometry], colours: Sequence[str]
) -> tuple[tuple[int, ...], ...]:
    """The rows among areas in one frame, each by the positions of what it is made of."""
    found: dict[tuple[int, ...], None] = {}
    numbers = np.arange(len(areas))
    for colour in dict.fromkeys(colours):
        here = numbers[[each == colour for each in colours]]
        parts, owner = shapely.get_parts(np.array(areas, dtype=object)[here], return_index=True)
        up = shapely.transform(parts, lambda at: at[:, ::-1] * (1, -1))
        for turned, stacked in ((parts, False), (parts, True), (up, False)):
            for row in _chains(np.asarray(shapely.bounds(turned)), stacked=stacked):
                if _reads(turned[row]):
                    found[tuple(sorted(set(here[owner[row]].tolist())))] = None
    rows = [set(row) for row in found]
    return tuple(row for row in found if not any(set(row) < other for other in rows))


def _chains(boxes: Array, *, stacked: bool) -> Iterator[list[int]]:
    """Positions of boxes (n, 4) that stand in rows, or above one another."""
    wide, high = (boxes[:, 2:] - boxes[:, :2]).T
    able = np.flatnonzero((wide <= WIDEST * high) & (high > 0))
    if len(able) < LEAST:
        return
    along = int(stacked)
    reach = boxes[able]
    reach[:, 2 + along] += APART * high[able]
    bodies, reached = (np.array(shapely.box(*each.T)) for each in (boxes[able], reach))
    one, other = able[shapely.STRtree(bodies).query(reached, predicate="intersects")]
    tall = np.maximum(high[one], high[other])
    gap = boxes[other, along] - boxes[one, 2 + along]
    middle = boxes[:, 0] + boxes[:, 2]  # twice
    off = (
        np.abs(middle[one] - middle[other]) / 2
        if stacked
        else np.abs(boxes[one, 1] - boxes[other, 1])
    )
    beside = (
        (boxes[one, along] < boxes[other, along])
        & (gap >= -OVER * tall)
        & (np.abs(high[one] - high[other]) <= LIKE * tall)
        & (off <= LIKE * tall)
    )
    for row in _joined(one[beside].tolist(), other[beside].tolist()):
        if len(row) >= LEAST:
            yield sorted(row, key=lambda at: (float(boxes[at, along]), at))


def _joined(ones: list[int], others: list[int]) -> list[list[int]]:
    """The numbers that pairs of them join, in the order in which they are met."""
    group: dict[int, list[int]] = {}
    for one, other in zip(ones, others, strict=True):
        here, there = group.setdefault(one, [one]), group.setdefault(other, [other])
        if here is there:
            continue
        small, large = sorted((here, there), key=len)
        large += small
        group |= dict.fromkeys(small, large)
    return list({id(each): each for each in group.values()}.values())


def _reads(parts: Areas) -> bool:
    """Whether a row may be lettering: several forms, and several shapes that a mirror changes."""
    whole = shapely.area(parts)
    hull = shapely.area(shapely.convex_hull(parts))
    hollow = whole <= HOLLOW * hull
    if int(hollow.sum()) < ASYMMETRIC:
        return False
    lopsided = [part for part in parts[hollow] if _unlike(part, _flipped(part)) > LOPSIDED]
    if len(lopsided) < ASYMMETRIC:
        return False
    return any(_unlike(parts[0], part) > ONE_FORM for part in parts[1:])


def _flipped(part: shapely.Geometry) -> shapely.Geometry:
    """The mirror image about the vertical through the middle of its box."""
    left, _, right, _ = shapely.bounds(part).tolist()
    return shapely.transform(part, lambda at: at * (-1, 1) + (left + right, 0))


def _unlike(one: shapely.Geometry, other: shapely.Geometry) -> float:
    """What two shapes don't share when their boxes' lower left corners meet, as a share."""
    low, there = (shapely.bounds(each)[:2] for each in (one, other))
    moved = shapely.transform(other, lambda at: at + (low - there))
    apart = shapely.area(shapely.symmetric_difference(one, moved))
    return float(apart / max(shapely.area(one), shapely.area(moved)))
