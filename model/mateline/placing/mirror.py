"""What lies on one face, mirrored onto the face opposite.

Stands after placed, before place.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import shapely
from shapely import Polygon

from mateline.cabinet.cabinet import reflection
from mateline.placing.placed import carried
from mateline.products import mapped

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from mateline.cabinet.cabinet import Cabinet
    from mateline.cabinet.faces import Face
    from mateline.drawing.shapes import Drawing
    from mateline.errors import Faults
    from mateline.placing.art import Art
    from mateline.placing.placed import PlacedArt

    Array = NDArray[np.float64]


def mirrored(
    art: Art,
    faces: tuple[Face, Sequence[Face]],
    cabinet: Cabinet,
    drawings: Mapping[str, Drawing],
    earlier: Sequence[PlacedArt],
    faults: Faults,
) -> list[PlacedArt]:
    """What `earlier` art shows on the first of `faces`, on each of the others."""
    source, onto = faces
    made: list[PlacedArt] = []
    for face in onto:
        matrix = _across(source, face, cabinet)
        if matrix is None:
            faults.add(
                f"{art.place}, onto",
                f"{face.name} does not face {source.name} across the cabinet.",
                "Mirror the left side of a carcase onto its right side, a wall of a plan onto the "
                "one opposite, or back.",
            )
            continue
        here = [each for each in earlier if each.face == source.name]
        used = dict.fromkeys(each.drawing for each in here)
        refuse_idle(art, [drawings[name] for name in used], faults)
        names = {name for each in here for name in drawings[each.drawing].elements}
        for name in (*art.leave_out, *art.only):
            if name not in names:
                faults.unknown(art.place, name, f"element on {source.name}", names)
        made.extend(
            _reflected(each, art, (source, face), matrix, drawings[each.drawing]) for each in here
        )
    return made


def chosen(art: Art, drawing: Drawing, positions: Sequence[int]) -> tuple[int, ...]:
    """The positions of shapes that the entry neither leaves out nor passes over."""
    only = {p for name in art.only for p in drawing.elements.get(name, ())}
    out = {p for name in art.leave_out for p in drawing.elements.get(name, ())}
    return tuple(p for p in positions if p not in out and (p in only or not art.only))


def refuse_idle(art: Art, drawings: Sequence[Drawing], faults: Faults) -> None:
    """Faults for names that say nothing beside what else the entry names.

    Nothing is left out of what `only` passes over, and what is not put down reads no way.
    """

    def positions(names: Iterable[str]) -> set[tuple[int, int]]:
        return {(n, p) for name in names for n, d in enumerate(drawings)
                for p in d.elements.get(name, ())}  # fmt: skip

    only = positions(art.only)
    for name in art.leave_out:
        here = positions([name])
        if art.only and here and not here & only:
            faults.add(
                f"{art.place}, leave_out",
                f"“{name}” is no part of what `only` names, so nothing is left out.",
                "Remove it.",
            )
    for name in art.reads_one_way:
        here = positions([name])
        if here and not (here & only if art.only else here) - positions(art.leave_out):
            faults.add(
                f"{art.place}, reads_one_way",
                f"“{name}” is not among what the entry puts down.",
                "Remove it, or mend `only` and `leave_out`.",
            )


def _reflected(
    each: PlacedArt, art: Art, faces: tuple[Face, Face], matrix: Array, drawing: Drawing
) -> PlacedArt:
    """What `each` shows on the first of `faces`, mirrored onto the second by `matrix`."""
    source, face = faces
    wanted = set(chosen(art, drawing, each.positions))
    # A wrapped or cast drawing has shapes that fall on its other faces only: they stay there.
    seen = shapely.intersects(source.outline, [shape.area for shape in each.shapes])
    kept = {p for p, here in zip(each.positions, seen, strict=True) if here and p in wanted}
    shapes = [s for p, s in zip(each.positions, each.shapes, strict=True) if p in kept]
    areas = carried(shapes, matrix)
    return replace(
        each,
        face=face.name,
        shapes=tuple(replace(s, area=area) for s, area in zip(shapes, areas, strict=True)),
        positions=tuple(p for p in each.positions if p in kept),
        mirrored=not each.mirrored,
        page=None if each.page is None else _page(each.page, matrix),
        guesses=(),
    )


def _page(page: Polygon, matrix: Array) -> Polygon:
    """The box of a drawing, mirrored."""
    return Polygon(mapped(shapely.get_coordinates(page), matrix))


def _across(source: Face, target: Face, cabinet: Cabinet) -> Array | None:
    return None if source.name == target.name else reflection(cabinet, source, target)
