"""From the readings of a definition to solved outlines.

Stands after lengths, before carcase. An outline is seen from the player's right (side view, Y and
Z), from above (plan, X and Y) or from the player (front view, X and Z), counter-clockwise; its
first corner is (0, 0) and its second one on +x.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from mateline.errors import InputError
from mateline.tape.outline import Readings, given, solved

if TYPE_CHECKING:
    from collections.abc import Iterable
    from fractions import Fraction

    from mateline.definition.lengths import Ruler
    from mateline.definition.schema import Carcase, Definition, Measured, Reading
    from mateline.tape.outline import Outline

_DISTANCE = re.compile(r"(\w+)\s*-\s*(\w+)")
_HEIGHT = re.compile(r"(\w+)\s+above\s+(\w+)\s*-\s*(\w+)")


def outlines_of(definition: Definition, ruler: Ruler) -> dict[str, Outline]:
    """All outlines by name: "body", or "body left" and "body right" where both were measured.

    Raises InputError or InputFaultsError.
    """
    found: dict[str, Outline] = {}
    for number, carcase in enumerate(definition.carcase, start=1):
        where = f"carcase {number} ({carcase.name})"
        for name, measured, place in _measured(carcase, where, ruler):
            outline = _outline(carcase, measured, ruler, place)
            if outline is not None:
                found[name] = outline
    ruler.settle()
    return found


def sides_of(carcase: Carcase, outlines: dict[str, Outline]) -> tuple[Outline, Outline]:
    """The left and the right outline of a carcase; one and the same unless both were measured."""
    shared = outlines.get(carcase.name)
    if shared is not None:
        return shared, shared
    return outlines[f"{carcase.name} left"], outlines[f"{carcase.name} right"]


def _measured(carcase: Carcase, where: str, ruler: Ruler) -> Iterable[tuple[str, Measured, str]]:
    sides = {"left": carcase.left, "right": carcase.right}
    both = {side: table for side, table in sides.items() if table is not None}
    if carcase.outline is not None and not both:
        yield carcase.name, carcase.outline, f"{where}, outline"
    elif carcase.outline is None and len(both) == 2 and carcase.view == "side":
        for side, table in both.items():
            yield f"{carcase.name} {side}", table, f"{where}, {side}"
    else:
        ruler.fault(
            where,
            "It has no single way in which its outline was measured.",
            "Give [carcase.outline], or [carcase.left] and [carcase.right] of a side view.",
        )


def _outline(carcase: Carcase, measured: Measured, ruler: Ruler, place: str) -> Outline | None:
    before = len(ruler.faults)
    corners = carcase.corners
    if len(set(corners)) != len(corners):
        ruler.fault(place, "Two corners have one name.", "Give each corner a name of its own.")
        return None
    for corner in (*measured.square, *measured.reflex, *measured.points):
        _known(corner, corners, ruler, place)
    if measured.points:
        return _stated(carcase, measured, ruler, place)
    distances, heights = _readings(measured.readings, corners, ruler, f"{place}, readings")
    about, rough_heights = _readings(measured.about, corners, ruler, f"{place}, about")
    for key in rough_heights:
        ruler.fault(place, f"“{key[0]} above …” can't be rough.", "Give it as a reading.")
    if len(ruler.faults) > before:
        return None
    readings = Readings(
        corners=corners,
        distances=distances,
        heights=heights,
        square=measured.square,
        about=about,
        reflex=measured.reflex,
    )
    try:
        return solved(readings, ruler.tape, file=ruler.file, place=place)
    except InputError as fault:
        ruler.faults.append(fault)
        return None


def _stated(carcase: Carcase, measured: Measured, ruler: Ruler, place: str) -> Outline | None:
    before = len(ruler.faults)
    missing = [corner for corner in carcase.corners if corner not in measured.points]
    if missing:
        ruler.fault(place, f"Corner {missing[0]} has no point.", "Give a point for each corner.")
    if measured.readings:
        ruler.fault(place, "It has both readings and points.", "Keep one of them.")
    points = {
        corner: (
            ruler.length(x, f"{place}, points, {corner}"),
            ruler.length(y, f"{place}, points, {corner}"),
        )
        for corner, (x, y) in measured.points.items()
    }
    if len(ruler.faults) > before:
        return None
    try:
        return given(
            {corner: points[corner] for corner in carcase.corners}, file=ruler.file, place=place
        )
    except InputError as fault:
        ruler.faults.append(fault)
        return None


def _readings(
    table: dict[str, Reading], corners: tuple[str, ...], ruler: Ruler, place: str
) -> tuple[dict[tuple[str, str], Fraction], dict[tuple[str, str, str], Fraction]]:
    distances: dict[tuple[str, str], Fraction] = {}
    heights: dict[tuple[str, str, str], Fraction] = {}
    for key, value in table.items():
        where = f"{place}, {key}"
        pair, above = _DISTANCE.fullmatch(key.strip()), _HEIGHT.fullmatch(key.strip())
        named = pair or above
        if named is None:
            ruler.fault(
                where,
                "This is no reading between corners.",
                'Write "A-B" for a distance, "C above A-B" for a height.',
            )
            continue
        known = [_known(corner, corners, ruler, where) for corner in named.groups()]
        length = ruler.positive(value, where)
        if not all(known):
            continue
        if len(set(named.groups())) < len(named.groups()):
            ruler.fault(where, "It names one corner twice.", "Name different corners.")
        elif pair is not None:
            one, two = pair.groups()
            if (one, two) in distances or (two, one) in distances:
                ruler.fault(where, "This distance is there already.", "Keep one of the two.")
            distances[one, two] = length
        elif above is not None:
            corner, one, two = above.groups()
            heights[corner, one, two] = length
    return distances, heights


def _known(corner: str, corners: tuple[str, ...], ruler: Ruler, place: str) -> bool:
    if corner in corners:
        return True
    ruler.unknown(place, corner, "corner", corners)
    return False
