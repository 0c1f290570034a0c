"""Art that runs on over the end of a board and stops there: the end is not painted with it.

Stands beside the other checks. Ends are flush with the face whose plane they lie in, so what an
entry of art puts on the plane is known beyond the face's edge too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely
from shapely import Polygon

from mateline.checks.findings import Finding
from mateline.checks.places import area_size, listed
from mateline.planar.unions import polygons

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import MultiPolygon

    from mateline.cabinet.edges.ends import SeenEnd
    from mateline.checks.findings import PlacedArt, Subject
    from mateline.curves import Point
    from mateline.stencil.stencil import Stencil

    Area = Polygon | MultiPolygon

LOST = 1.0  # mm²: less art than this on an end is rounding


def check(subject: Subject) -> tuple[Finding, ...]:
    """Every face beside which ends of boards cut off what is drawn on it."""
    found = []
    for stencil in subject.stencils:
        bare = [end for end in subject.ends if end.finish != "art"]
        cut = [(end, _drawn(end, subject.art, stencil.base)) for end in bare]
        lost = [(end, area) for end, area in cut if area.area > LOST]
        if lost:
            found.append(_finding(stencil, lost, subject))
    return tuple(found)


def _drawn(end: SeenEnd, art: Sequence[PlacedArt], base: str) -> Area:
    """What would show on the end in another colour than the base coat's, in its owner's frame."""
    shown: Area = Polygon()
    for each in art:
        for shape in each.shapes:
            if not shape.area.intersects(end.on_owner):
                continue
            here = shape.area.intersection(end.on_owner)
            taken = shown.difference(here) if shape.colour == base else shown.union(here)
            shown = polygons(taken)
    return shown


def _finding(stencil: Stencil, lost: list[tuple[SeenEnd, Area]], subject: Subject) -> Finding:
    face, ends = stencil.face, [end for end, _ in lost]
    one = len(lost) == 1
    boards = listed(list(dict.fromkeys(end.board for end in ends)))
    total = area_size(sum(area.area for _, area in lost), subject.tape)
    names = [end.board.removeprefix(f"{face.panel.carcase}-") for end in ends]
    edges = listed([f"“{name} and {face.panel.name}”" for name in names])
    how = {"base": f"painted {stencil.base}", "left": "left unpainted"}
    finishes = listed(list(dict.fromkeys(how[end.finish] for end in ends)))
    run_on = {each.placement for each in subject.art if each.wrapped} & set(subject.run_on)
    stated = all(end.finish == "left" for end in ends)
    return Finding(
        "art-over-end",
        "warn" if run_on and not stated else "note",
        f"The art on {face.name} runs on over the {'end' if one else 'ends'} of {boards} beside "
        f"it, {total} in all, but {'that end is' if one else 'those ends are'} {finishes}.",
        f'Give {edges} end = "art" in the carcase\'s edges to paint the art there too; '
        "leave it where trim covers the end or a plain edge is meant.",
        face=face.name,
        at=_nearest(face.outline, lost[0][1]),
    )


def _nearest(outline: Polygon, area: Area) -> Point:
    x, y = shapely.shortest_line(outline.exterior, area).coords[0]
    return float(x), float(y)
