"""The cabinet: its carcases placed on one another, as faces with their hardware.

The last of the cabinet's modules: everything after it asks for faces, not for boards.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.cabinet.carcase import ENDS, Placed, panels_of
from mateline.cabinet.faces import NetError, unrolled
from mateline.cabinet.hardware_layout import fitted
from mateline.definition.outlines import outlines_of, sides_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.definition.lengths import Ruler
    from mateline.definition.schema import Carcase, Definition, Standing
    from mateline.tape.outline import Outline

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Cabinet:
    """All faces, in the order of the file, and the outlines that they stand on.

    `middles` is the X of each carcase's middle plane, mm, for carcases drawn in side view.
    """

    faces: tuple[Face, ...]
    outlines: dict[str, Outline]
    middles: dict[str, float]

    def face(self, name: str) -> Face | None:
        """The face called `name`."""
        return next((face for face in self.faces if face.name == name), None)


def cabinet_of(definition: Definition, ruler: Ruler) -> Cabinet:
    """Solve, place, join and unroll all that the definition states.

    Raises InputError or InputFaultsError.
    """
    outlines = outlines_of(definition, ruler)
    placed: dict[str, Placed] = {}
    faces: list[Face] = []
    for number, carcase in enumerate(definition.carcase, start=1):
        place = f"carcase {number} ({carcase.name})"
        if carcase.name in placed:
            ruler.fault(place, "Two carcases have this name.", "Give each a name of its own.")
            continue
        here = _placed(carcase, outlines, placed, ruler, place)
        ruler.settle()
        placed[carcase.name] = here
        for panel in panels_of(here, ruler, place):
            try:
                faces.append(unrolled(panel))
            except NetError as error:
                ruler.fault(
                    f"{place}, panels, {panel.name}",
                    f"Its strips lap over each other when laid flat: {error}.",
                    "Make the bevels or rounds at its corners smaller.",
                )
    ruler.settle()
    if not faces:
        ruler.fault("carcase", "Every board is missing.", "Leave at least one that is painted.")
        ruler.settle()
    complete = fitted(faces, definition.hardware, ruler)
    ruler.settle()
    middles = {
        name: (here.low + here.high) / 2
        for name, here in placed.items()
        if here.carcase.view == "side"
    }
    return Cabinet(complete, outlines, middles)


def reflection(cabinet: Cabinet, carcase: str) -> Array | None:
    """(2, 3): from the frame of a carcase's left face to that of its right one, by reflection.

    None where one of the two is missing.
    """
    left, right = (cabinet.face(f"{carcase}-{end}") for end in ENDS["side"])
    if left is None or right is None or carcase not in cabinet.middles:
        return None
    lift = left.cells[0].lift.copy()
    lift[0] *= -1
    lift[0, 2] += 2 * cabinet.middles[carcase]
    frame = right.panel.frame
    lift[:, 2] -= frame.corner
    flat: Array = np.array([frame.along_x, frame.along_y]) @ lift
    return flat


def _placed(
    carcase: Carcase,
    outlines: dict[str, Outline],
    earlier: dict[str, Placed],
    ruler: Ruler,
    place: str,
) -> Placed:
    left, right = (np.array(outline.points) for outline in sides_of(carcase, outlines))
    mean = (left + right) / 2
    width = ruler.size(carcase.width, f"{place}, width")
    if carcase.at is not None and carcase.stands_on is not None:
        ruler.fault(place, "It has both at and stands_on.", "Keep one of them.")
    if carcase.stands_on is not None:
        size = float(np.linalg.norm(mean[1] - mean[0])), width
        where = f"{place}, stands_on"
        turn, move, low = _standing(carcase, carcase.stands_on, size, earlier, ruler, where)
    else:
        turn, move, low = _at(carcase, ruler, place)
    cos, sin = math.cos(turn), math.sin(turn)
    matrix = np.array([[cos, -sin], [sin, cos]])
    ends = tuple(points @ matrix.T + move for points in (left, right))
    return Placed(carcase, (ends[0], ends[1]), mean @ matrix.T + move, low, low + width)


def _at(carcase: Carcase, ruler: Ruler, place: str) -> tuple[float, Array, float]:
    if carcase.at is None:
        return 0.0, np.zeros(2), 0.0
    x, y, z = (
        ruler.length(getattr(carcase.at, axis), f"{place}, at, {axis}") for axis in ("x", "y", "z")
    )
    u, v, w = {"side": (y, z, x), "plan": (x, y, z), "front": (x, z, y)}[carcase.view]
    return math.radians(carcase.at.turn), np.array([u, v]), w


def _standing(
    carcase: Carcase,
    standing: Standing,
    size: tuple[float, float],
    earlier: dict[str, Placed],
    ruler: Ruler,
    where: str,
) -> tuple[float, Array, float]:
    """Turn, first corner in the view, and low end of a carcase on another.

    `size` is the length of its first edge and its width, mm.
    """
    nowhere = 0.0, np.zeros(2), 0.0
    length, width = size
    base = earlier.get(standing.carcase)
    if base is None:
        ruler.unknown(where, standing.carcase, "carcase above this one in the file", earlier)
        return nowhere
    if carcase.view != "side" or base.carcase.view != "side":
        ruler.fault(where, "Only side views stand on one another.", "Use at = { x, y, z }.")
        return nowhere
    corners = base.carcase.corners
    named = tuple(standing.edge.split("-"))
    edges = list(zip(corners, (*corners[1:], corners[0]), strict=True))
    if named not in edges and named[::-1] not in edges:
        ruler.unknown(where, standing.edge, "edge", [f"{a}-{b}" for a, b in edges])
        return nowhere
    first, second = (base.mean[corners.index(corner)] for corner in named)
    offset = ruler.length(standing.offset, f"{where}, offset")
    along = (second - first) / np.linalg.norm(second - first)
    if named in edges:  # the base's outline runs that way, so this one's first edge runs back
        turn, start = math.atan2(-along[1], -along[0]), first + (offset + length) * along
    else:
        turn, start = math.atan2(along[1], along[0]), first + offset * along
    across = ruler.length(standing.across, f"{where}, across")
    return turn, start, (base.low + base.high - width) / 2 + across
