"""Every hole of a face as plain data for job.json: its shape, and its place on both frames.

Stands beside json_report's other parts. mm and radians, decimals fixed; holes for hardware that is
removed are there too, since whoever drills or plugs them needs them as much.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from mateline.products import norm, product

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.cabinet.hole import Hole
    from mateline.curves import Point

Json = dict[str, Any]

DECIMALS = 4  # mm and radians
OF_UNITS = 12  # decimals of unit vectors


def hardware_json(face: Face, taken: Iterable[float]) -> list[Json]:
    """All holes of `face` in its order; `taken` are the areas, mm², that those which stay take of
    its stencil. A hole that is removed takes none: the board lies over it.
    """
    areas = iter(taken)
    return [_hole(hole, face, next(areas) if hole.stays else 0.0) for hole in face.holes]


def _hole(hole: Hole, face: Face, area: float) -> Json:
    return {
        "name": hole.name,
        "kind": hole.kind,
        "state": "stays" if hole.stays else "removed",
        "area": area,
        "length": _fixed(hole.length),
        "width": _fixed(hole.width),
        "corner": _fixed(hole.corner),
        "head": _fixed(hole.head),
        "head_angle": _fixed(hole.head_angle),
        "margin": _fixed(hole.margin) if hole.stays else None,
        "turn": _fixed(hole.turn),
        "at": [_fixed(value) for value in hole.centre],
        "deviation": [_fixed(value) for value in hole.deviation],
        "in_cabinet": _in_cabinet(hole, face),
    }


def _in_cabinet(hole: Hole, face: Face) -> Json:
    """Its centre on the outside of the board, the way out of the face there, and that along it."""
    lift = _lift(hole.centre, face)
    x, y = hole.centre
    along = product(lift[:, :2], np.array([np.cos(hole.turn), np.sin(hole.turn)]))
    outward = np.cross(lift[:, 0], lift[:, 1])
    return {
        "at": [_fixed(value) for value in product(lift, np.array([x, y, 1.0]))],
        "outward": _unit(outward),
        "along": _unit(along),
    }


def _lift(at: Point, face: Face) -> NDArray[np.float64]:
    """The map of the flat part of the net that has this point, or is nearest to it."""
    apart = shapely.distance([cell.area for cell in face.cells], shapely.Point(at))
    return face.cells[int(np.argmin(apart))].lift


def _unit(vector: NDArray[np.float64]) -> list[float]:
    return [round(float(value), OF_UNITS) + 0.0 for value in vector / norm(vector)]


def _fixed(value: float) -> float:
    return round(float(value), DECIMALS) + 0.0
