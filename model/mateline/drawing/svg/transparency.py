"""Half-transparent paint mixed with what lies under it, so that every shape is opaque.

Stands between rendering and the reader. Colours are mixed in sRGB, as renderers do; where
nothing lies under the paint it is mixed with white.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from mateline.drawing.svg.place import cut
from mateline.drawing.svg.rendering import FULL
from mateline.drawing.svg.values import Paint, mixed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.drawing.shapes import TakesNotes
    from mateline.drawing.svg.place import Painted

PAPER = "#ffffff"
MOST_POINTS = 2_000_000  # looked at: more is a drawing made to hang its reader
AT_ONCE = 64  # half-transparent shapes counted at a time
A_LOOK = 16  # shapes looked at in the time of one point
MOST_OVERLAPS = 300_000  # of half-transparent shapes with what is under them, by their boxes
NOTHING = 1 / 512  # share: paint that covers less than this can't be seen


def opaque(
    painted: Sequence[Painted], note: TakesNotes
) -> tuple[list[Painted], list[tuple[int, ...]]]:
    """Opaque shapes, and which of them each painted one became.

    Raises ValueError when too much half-transparent paint lies on one another.
    """
    _refuse_heap(painted)
    made: list[Painted] = []
    places: list[tuple[int, ...]] = []
    spent = 0
    for one in painted:
        first = len(made)
        if one.area.is_empty:
            pass
        elif one.paint.alpha >= FULL:
            made.append(replace(one, paint=one.paint._replace(alpha=1.0)))
        elif one.paint.alpha > NOTHING:
            note(
                one.element,
                f"Its paint covers only {one.paint.alpha:.0%}; it was mixed with the colours under "
                "it, and with white where there are none.",
                "mended",
            )
            parts, points = _laid_on(one, made)
            made.extend(parts)
            spent += points
            if spent > MOST_POINTS:
                raise ValueError("too many half-transparent shapes lie on one another")
        places.append(tuple(range(first, len(made))))
    return made, places


def _refuse_heap(painted: Sequence[Painted]) -> None:
    """Count how often half-transparent shapes may lie on others, before any is laid there.

    Raises ValueError where that is too often.
    """
    half = np.array([NOTHING < one.paint.alpha < FULL for one in painted], dtype=bool)
    if half.sum() * len(painted) <= MOST_OVERLAPS:
        return
    sides = shapely.bounds([one.area for one in painted]).T  # no numbers for what is empty
    boxes = np.asarray(shapely.box(*sides), dtype=object)
    tree = shapely.STRtree(boxes)
    found = 0
    for some in np.array_split(np.flatnonzero(half), max(1, int(half.sum()) // AT_ONCE)):
        upper, lower = tree.query(boxes[some])
        found += int((lower < some[upper]).sum())
        if found > MOST_OVERLAPS:
            raise ValueError(
                f"too many half-transparent shapes lie on one another: {int(half.sum())} of them "
                f"lie on others more than {MOST_OVERLAPS} times"
            )


def _laid_on(one: Painted, under: list[Painted]) -> tuple[list[Painted], int]:
    """The part of `one` over each colour under it, and the points looked at to tell."""
    points = len(under) // A_LOOK
    areas: dict[str, list[Any]] = {}
    left = one.area
    near = np.flatnonzero(
        shapely.intersects(one.area, [low.area for low in under]) if under else []
    )
    for index in near[::-1].tolist():  # from the topmost down
        low = under[index]
        points += int(shapely.get_num_coordinates([left, low.area]).sum())
        here = cut(left, low.area)
        if here.is_empty:
            continue
        areas.setdefault(mixed(one.paint, low.paint.colour), []).append(here)
        left = cut(shapely.difference(left, low.area), left)
        if left.is_empty:
            break
    if not left.is_empty:
        areas.setdefault(mixed(one.paint, PAPER), []).append(left)
    return [
        replace(one, area=part, paint=Paint(colour, 1.0))
        for colour, parts in areas.items()
        for part in parts
    ], points
