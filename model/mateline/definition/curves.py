"""The curves of an outline, settled: rises, radii, points along them.

Stands after readings, before carcases.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.definition.effect import refuse
from mateline.definition.readings import DISTANCE, known_corner
from mateline.tape.arcs.curve import Curve

if TYPE_CHECKING:
    from fractions import Fraction

    from mateline.definition.lengths import Ruler
    from mateline.definition.schema import CurveTable


def curves_of(
    tables: dict[str, CurveTable], corners: tuple[str, ...], ruler: Ruler, place: str
) -> dict[tuple[str, ...], Curve]:
    """What was read of each curve: (a, b) for a side, (c,) for a round corner."""
    found: dict[tuple[str, ...], Curve] = {}
    for key, table in tables.items():
        where = f"{place}, {key}"
        named = DISTANCE.fullmatch(key.strip())
        ends = (key.strip(),) if named is None else named.groups()
        known = [known_corner(corner, corners, ruler, where) for corner in ends]
        if not all(known):
            continue
        if table.tangent and table.rise is None and table.radius is None and not table.points:
            refuse(table, ("hollow",), ruler.faults, where, "where tangents alone say the bend")
        found[ends] = Curve(
            rise=None if table.rise is None else ruler.positive(table.rise, f"{where}, rise"),
            radius=None
            if table.radius is None
            else ruler.positive(table.radius, f"{where}, radius"),
            points=_points(table, ruler, f"{where}, points"),
            tangent=table.tangent,
            hollow=table.hollow,
        )
    return found


def _points(table: CurveTable, ruler: Ruler, place: str) -> tuple[tuple[Fraction, Fraction], ...]:
    return tuple(
        (ruler.positive(along, f"{place} {number}"), ruler.positive(off, f"{place} {number}"))
        for number, (along, off) in enumerate(table.points, start=1)
    )
