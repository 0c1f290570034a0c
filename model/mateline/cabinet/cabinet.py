"""The cabinet: its carcases placed on one another, as faces with their hardware.

The last of the cabinet's modules: everything after it asks for faces, not for boards.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mateline.cabinet.carcase import Placed, panels_of, shared_walls
from mateline.cabinet.edges.covered import behind_mouldings, behind_walls
from mateline.cabinet.edges.ends import painted_beyond, seen_ends
from mateline.cabinet.edges.tools import drilled
from mateline.cabinet.faces import CoveredError, HiddenError, NetError, unrolled
from mateline.cabinet.fitting.middle_plane import middle_plane
from mateline.cabinet.hardware_layout import with_hardware
from mateline.cabinet.hole import open_area
from mateline.cabinet.laps import laps, lies_flat, what_fits
from mateline.cabinet.outlines import outlines_of, sides_of
from mateline.cabinet.specification import Position
from mateline.products import norm, product
from mateline.tape.arcs.path import alike, meant, moved

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.edges.covered import SharedWall
    from mateline.cabinet.edges.ends import SeenEnd
    from mateline.cabinet.faces import Face
    from mateline.cabinet.fitting.middle_plane import MiddlePlane
    from mateline.cabinet.laps import Lap
    from mateline.cabinet.panel import Panel
    from mateline.cabinet.specification import Carcase, Hardware, Standing, View
    from mateline.errors import Faults
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Cabinet:
    """All faces, in the order of the file, and the outlines that they stand on.

    `planes` are the carcases' middle planes; None where the two halves are not alike. `ends` are
    the ends of boards that are seen. The boards of `hidden` faces are there, but nothing of
    the faces is seen: another carcase stands against them.
    """

    faces: tuple[Face, ...]
    outlines: dict[str, Outline]
    planes: dict[str, MiddlePlane | None]
    ends: tuple[SeenEnd, ...] = ()
    hidden: tuple[Face, ...] = ()

    def face(self, name: str) -> Face | None:
        """The face called `name`."""
        return next((face for face in self.faces if face.name == name), None)


def cabinet_of(
    carcases: Sequence[Carcase], hardware: Sequence[Hardware], tape: Tape, faults: Faults
) -> Cabinet:
    """Solve, place, join and unroll what is specified.

    Raises InputError or InputFaultsError with all that stands in the way.
    """
    outlines = outlines_of(carcases, tape, faults)
    faults.settle()
    placed: dict[str, Placed] = {}
    panels: list[tuple[Carcase, tuple[Panel, ...]]] = []
    for carcase in carcases:
        place = carcase.called
        if carcase.name in placed:
            faults.add(place, "Two carcases have this name.", "Give each a name of its own.")
            continue
        here = _placed(carcase, outlines, placed, faults, place)
        faults.settle()
        placed[carcase.name] = here
        panels.append((carcase, panels_of(here, faults, place)))
    faults.settle()
    shared = [wall for here in placed.values() for wall in shared_walls(here)]
    faces, hidden = _unrolled(panels, shared, faults)
    faults.settle()
    if not faces:
        faults.add("carcase", "Every board is missing.", "Leave at least one that is painted.")
        faults.settle()
    planes = {name: middle_plane(here) for name, here in placed.items()}
    complete = with_hardware(faces, hardware, planes, faults)
    _refuse_covered(complete, faults)
    faults.settle()
    ends = seen_ends(complete, hidden, shared)
    return Cabinet(complete, outlines, planes, ends, hidden)


def _unrolled(
    panels: Sequence[tuple[Carcase, Sequence[Panel]]], shared: Sequence[SharedWall], faults: Faults
) -> tuple[list[Face], tuple[Face, ...]]:
    """The faces of all panels, and those of which nobody sees anything."""
    by_face = {f"{each.carcase}-{each.name}": each for _, own in panels for each in own}
    walls = behind_walls(shared, by_face, faults)
    faces: list[Face] = []
    hidden: list[Face] = []
    for carcase, own in panels:
        by_name = {panel.name: panel for panel in own}
        beyond = painted_beyond(own)
        trimmed = behind_mouldings(carcase.mouldings, by_name, faults)
        for panel in own:
            covered = (
                *walls.get(f"{panel.carcase}-{panel.name}", ()), *trimmed.get(panel.name, ())
            )  # fmt: skip
            try:
                faces.append(unrolled(panel, beyond.get(panel.name, ()), covered))
            except HiddenError:
                hidden.append(unrolled(panel))
            except CoveredError as error:
                what = f"{str(error).capitalize()}."
                remedy = "Let it run to an edge of the face, or leave it out and mask it by hand."
                faults.add(f"{carcase.called}, panels, {panel.name}", what, remedy)
            except NetError as error:
                _tell_laps(panel, by_name, error, faults, f"{carcase.called}, panels, {panel.name}")
    return faces, tuple(hidden)


def _refuse_covered(faces: Sequence[Face], faults: Faults) -> None:
    """Tell of hardware where a face is covered, or a hole goes into the end of its board."""
    for face in faces:
        bored = drilled(face.panel)
        for hole in face.holes:
            if bored.intersects(open_area(hole)):
                what = f"It runs into a hole in an edge of {face.name}."
                faults.add(f"hardware ({hole.name})", what, "Move one of the two.")
            if any(area.intersects(open_area(hole)) for area in face.covered):
                what = f"It lies where {face.name} is covered, by a moulding or another carcase."
                faults.add(f"hardware ({hole.name})", what, "Move it, or take it out.")


def _tell_laps(
    panel: Panel, boards: Mapping[str, Panel], error: NetError, faults: Faults, where: str
) -> None:
    """Say why the net of `panel` laps over itself, and what would mend it."""
    found = laps(panel)
    if not found:
        faults.add(
            where,
            f"Its strips lap over each other when laid flat: {error}.",
            "Make the bevels or rounds at its corners smaller. "
            f"{what_fits(panel, lies_flat, faults.limit)}",
        )
    said = [f"“{panel.name} and {edge.neighbour}”" for edge in panel.edges]
    for lap in found:
        corner = " and ".join(panel.edges[at].neighbour for at in lap.edges)
        shaped = [said[at] for at in lap.edges if panel.edges[at].strips]
        away = " or ".join(said[at] for at in lap.enough) or " and ".join(shaped)
        faults.add(
            where,
            f"At the {'inside' if lap.inside else 'blunt'} corner of {corner} the shape of "
            f"{' and that of '.join(shaped)} would lap over "
            f"{'the rest of the face' if lap.inside else 'each other'} when laid flat, "
            "however small.",
            f"{'Remove' if lap.inside else 'Give both the same bevel or round, or remove'} {away} "
            f"from the carcase's edges.{_lying_over(panel, boards, lap) if lap.inside else ''}",
        )


def _lying_over(panel: Panel, boards: Mapping[str, Panel], lap: Lap) -> str:
    """The joints that mend an inside corner: boards beyond it that own the strips have room, but
    for those that have a hollow edge there.
    """
    over = [panel.edges[at].neighbour for at in lap.edges if panel.edges[at].strips]
    if any(edge.rise > 0 for name in over if name in boards for edge in boards[name].edges):
        return ""
    joints = ", ".join(f'"{name} over {panel.name}"' for name in over)
    owners = " and ".join(over)
    return f" Or let {owners} lie over {panel.name} there, and own the shape: joints = [{joints}]."


def opposites(cabinet: Cabinet) -> Iterator[tuple[Face, Face]]:
    """The faces that lie opposite each other, the one on the player's left first."""
    for face in cabinet.faces:
        plane = cabinet.planes[face.panel.carcase]
        if plane is not None:
            other = cabinet.face(f"{face.panel.carcase}-{plane.name(face.panel.name)}")
            if other is not None and _middle_x(face) < _middle_x(other):
                yield face, other


def _middle_x(face: Face) -> float:
    left, low, right, high = face.flat.bounds
    middle = (left + right) / 2, (low + high) / 2, 1.0
    return float(product(face.cells[0].lift[0], middle))


def reflection(cabinet: Cabinet, face: Face, other: Face) -> Array | None:
    """(2, 3): from the frame of a face to that of the opposite one, by reflection in space.

    None where `other` does not lie opposite `face`.
    """
    plane = cabinet.planes[face.panel.carcase]
    if plane is None or face.panel.carcase != other.panel.carcase:
        return None
    if plane.name(face.panel.name) != other.panel.name:
        return None
    lift = face.cells[0].lift.copy()
    lift[0] *= -1
    lift[0, 2] += 2 * plane.middle
    frame = other.panel.frame
    lift[:, 2] -= frame.corner
    flat: Array = product(np.array([frame.along_x, frame.along_y]), lift)
    return flat


def _placed(
    carcase: Carcase,
    outlines: dict[str, Outline],
    earlier: dict[str, Placed],
    faults: Faults,
    place: str,
) -> Placed:
    outlined = sides_of(carcase, outlines)
    left, right = (outline.sides for outline in outlined)
    corners = (np.array(outlined[0].points) + np.array(outlined[1].points)) / 2
    if not alike(left, right):
        faults.add(
            place,
            "Its left and right outlines are not curved at the same sides.",
            "Give both the same curves, each as it was measured.",
        )
        faults.settle()
    mean = meant(left, right)
    if isinstance(carcase.where, Position):
        turn, move, low = _at(carcase.where, carcase.view)
    else:
        where = f"{place}, stands_on"
        if any(side.ends == carcase.corners[:2] and side.bulge for side in mean):
            what = "Its first edge, on which it stands, is curved."
            faults.add(where, what, "Begin its corners at a straight edge.")
        length = norm(corners[1] - corners[0])
        turn, move, low = _standing(carcase, carcase.where, length, earlier, faults, where)
    cos, sin = math.cos(turn), math.sin(turn)
    matrix = np.array([[cos, -sin], [sin, cos]])
    ends = tuple(moved(sides, matrix, move) for sides in (left, right))
    return Placed(
        carcase,
        (ends[0], ends[1]),
        moved(mean, matrix, move),
        product(corners, matrix.T) + move,
        low,
        low + carcase.width,
    )


def _at(position: Position, view: View) -> tuple[float, Array, float]:
    x, y, z = position.x, position.y, position.z
    u, v, w = {"side": (y, z, x), "plan": (x, y, z), "front": (x, z, y)}[view]
    return position.turn, np.array([u, v]), w


def _standing(
    carcase: Carcase,
    standing: Standing,
    length: float,
    earlier: dict[str, Placed],
    faults: Faults,
    where: str,
) -> tuple[float, Array, float]:
    """Turn, first corner in the view, and low end of a carcase on another.

    `length` is that of its first edge, mm.
    """
    nowhere = 0.0, np.zeros(2), 0.0
    base = earlier.get(standing.carcase)
    if base is None:
        faults.unknown(where, standing.carcase, "carcase above this one in the file", earlier)
        return nowhere
    if carcase.view != "side" or base.carcase.view != "side":
        faults.add(where, "Only side views stand on one another.", "Use at = { x, y, z }.")
        return nowhere
    corners, named = base.carcase.corners, standing.edge
    edges = list(zip(corners, (*corners[1:], corners[0]), strict=True))
    if named not in edges and named[::-1] not in edges:
        faults.unknown(where, "-".join(named), "edge", [f"{a}-{b}" for a, b in edges])
        return nowhere
    if any(set(side.ends) == set(named) and side.bulge for side in base.mean):
        faults.add(where, f"{'-'.join(named)} is curved.", "Stand it on a straight edge.")
    first, second = (base.corners[corners.index(corner)] for corner in named)
    along = (second - first) / norm(second - first)
    if named in edges:  # the base's outline runs that way, so this one's first edge runs back
        turn, start = (
            math.atan2(-along[1], -along[0]),
            first + (standing.offset + length) * along,
        )
    else:
        turn, start = math.atan2(along[1], along[0]), first + standing.offset * along
    return turn, start, (base.low + base.high - carcase.width) / 2 + standing.across
