"""Every hole of a face as plain data for job.json: its shape, and its place on both frames.

Stands beside json_report's other parts. mm and radians, decimals fixed; holes for hardware that is
removed are there too, since whoever drills or plugs them needs them as much.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from mateline.cabinet.panel import frame_at, raised
from mateline.products import norm, product

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.cabinet.hole import Hole
    from mateline.curves import Point

Json = dict[str, Any]

DECIMALS = 4  # mm and radians
OF_UNITS = 9  # decimals of unit vectors: less hangs on the last bits of a sine


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
    """The map (3, 3) from (x, y, 1) of the net to the cabinet frame, at this point and near it.

    On a bent board that of the plane that touches it there; else that of the flat part of the net
    that has the point, or is nearest to it.
    """
    if face.panel.bend is not None:
        frame = frame_at(face.panel, at)
        ways = np.column_stack([frame.along_x, frame.along_y])
        (place,) = raised(face.panel, np.array([at]), 0.0)
        return np.column_stack([ways, place - product(ways, np.array(at))])
    apart = shapely.distance([cell.area for cell in face.cells], shapely.Point(at))
    return face.cells[int(np.argmin(apart))].lift


def _unit(vector: NDArray[np.float64]) -> list[float]:
    return [round(float(value), OF_UNITS) + 0.0 for value in vector / norm(vector)]


def _fixed(value: float) -> float:
    return round(float(value), DECIMALS) + 0.0
