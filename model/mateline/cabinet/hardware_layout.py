"""Hardware at its places: from distances that a tape takes on the cabinet to holes on faces.

Stands after fitting, which knows each way of measuring. Groups, rows and both sides are spread out
here, and what reaches over a joint is cut in both faces.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING

import shapely

from mateline.cabinet.fitting.place_words import place_words
from mateline.cabinet.fitting.spots import Spot, spots_of
from mateline.cabinet.fitting.straddling import carriage, carried, room_over
from mateline.cabinet.hole import Hole, open_area
from mateline.cabinet.specification import Part
from mateline.products import product

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    import numpy as np
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from mateline.cabinet.faces import Face
    from mateline.cabinet.fitting.middle_plane import MiddlePlane
    from mateline.cabinet.specification import Hardware
    from mateline.errors import Faults

    Array = NDArray[np.float64]
    Planes = Mapping[str, MiddlePlane | None]

STRETCHED = 0.05  # mm: by which a hole may be longer along a curve than it is wide
ON_FACE = 1e-6  # mm: rounding allowed at a face's rim
SAME_PLACE = 0.05  # mm: nothing is drilled better, so what lies nearer is one hole
SAME_TURN = 1e-6  # no unit: sine of the angle below which two turns are one
TAKEN = 1e-6  # mm²: less of a face is rounding


def with_hardware(
    faces: Iterable[Face], hardware: Sequence[Hardware], planes: Planes, faults: Faults
) -> tuple[Face, ...]:
    """The faces with their holes; what lies nowhere, or beyond its board, goes to `faults`.

    `planes` are the middle planes of the carcases, by their names.
    """
    by_name = {face.name: face for face in faces}
    holes: dict[str, list[Hole]] = {name: [] for name in by_name}
    for each in hardware:
        for name, found in _laid(each, by_name, planes, faults):
            holes[name].extend(found)
    for name, face in by_name.items():
        _refuse_collisions(face, holes[name], faults)
    return tuple(
        replace(face, panel=replace(face.panel, holes=tuple(holes[name])))
        for name, face in by_name.items()
    )


def _laid(
    hardware: Hardware, faces: Mapping[str, Face], planes: Planes, faults: Faults
) -> Iterator[tuple[str, list[Hole]]]:
    """The holes of one entry by their faces."""
    face = faces.get(hardware.on)
    if face is None:
        faults.unknown(f"{hardware.called}, on", hardware.on, "face", faces)
        return
    own = list(_placed(hardware, face, None, faults))
    if not hardware.both_sides:
        yield from _with_straddled(hardware, face, own, None, faces, faults)
        return
    plane = planes[face.panel.carcase]
    other = None if plane is None else faces.get(_across(face, plane))
    if plane is None or other is None:
        yield from _with_straddled(hardware, face, own, None, faces, faults)
        _tell_alone(hardware, face, plane, faults)
        return
    twins = list(_placed(hardware, other, plane, faults))
    if other is face:
        own, twins = _apart(own, twins, face, plane)
        if own and not twins:
            faults.add(
                f"{hardware.called}, both_sides",
                f"It has no effect: the middle of {hardware.on} is its own opposite.",
                "Remove it.",
            )
    yield from _with_straddled(hardware, face, own, None, faces, faults)
    yield from _with_straddled(hardware, other, twins, plane, faces, faults)


def _across(face: Face, plane: MiddlePlane) -> str:
    return f"{face.panel.carcase}-{plane.name(face.panel.name)}"


def _tell_alone(hardware: Hardware, face: Face, plane: MiddlePlane | None, faults: Faults) -> None:
    if plane is None:
        why = f"the halves of {face.panel.carcase}'s outline, left and right, are not alike"
    else:
        why = f"{_across(face, plane)} is missing"
    faults.add(
        f"{hardware.called}, both_sides",
        f"{hardware.on} has no opposite side: {why}.",
        "Remove it, and give each face its own hardware.",
    )


def _placed(
    hardware: Hardware, face: Face, plane: MiddlePlane | None, faults: Faults
) -> Iterator[Hole]:
    """The holes on one face, mirrored by `plane` where that is given."""
    opposite = str if plane is None else plane.name
    spots = spots_of(hardware, face, faults, opposite)
    for part in hardware.parts or (_alone(hardware),):
        places = [
            (spot, row, own) for spot in spots for row in hardware.spots for own in part.spots
        ]
        for number, (spot, row, own) in enumerate(places, start=1):
            hole = _hole(hardware, part, spot, (row, own), mirrored=plane is not None)
            name = f"{hardware.name} {part.name}" if hardware.parts else hardware.name
            yield replace(hole, name=f"{name} {number}" if len(places) > 1 else name)


def _alone(hardware: Hardware) -> Part:
    if hardware.form is None:
        raise ValueError(f"{hardware.name} has neither a form nor parts")
    return Part(hardware.name, hardware.form, ((0.0, 0.0),), 0.0, hardware.stays, hardware.margin)


def _hole(
    hardware: Hardware,
    part: Part,
    spot: Spot,
    steps: tuple[tuple[float, float], tuple[float, float]],
    *,
    mirrored: bool,
) -> Hole:
    (row_x, row_y), (x, y) = steps
    flip = -1 if hardware.mirrored else 1
    if hardware.parts:  # what is alone is turned in its place
        x, y = _turned(flip * x, y, hardware.turn)
    sign = -1 if mirrored else 1
    right, up = _turned(sign * (row_x + x), row_y + y, spot.along)
    turn = spot.along + sign * (hardware.turn + flip * part.turn)
    form = part.form
    return Hole(
        name=hardware.name,
        kind=form.kind,
        centre=(spot.at[0] + right, spot.at[1] + up),
        length=form.length,
        width=form.width,
        turn=turn,
        corner=form.corner,
        head=form.head,
        head_angle=form.head_angle,
        stays=part.stays,
        margin=part.margin,
        deviation=spot.deviation,
        measured=spot.measured if (row_x, row_y, x, y) == (0, 0, 0, 0) else None,
    )


def _turned(x: float, y: float, angle: float) -> tuple[float, float]:
    if angle == 0:
        return x, y
    cos, sin = math.cos(angle), math.sin(angle)
    return cos * x - sin * y, sin * x + cos * y


def _apart(
    own: list[Hole], twins: list[Hole], face: Face, plane: MiddlePlane
) -> tuple[list[Hole], list[Hole]]:
    """Holes and their twins on one face, with left and right in their names; no hole twice."""
    kept = [twin for twin in twins if not any(_one(twin, hole) for hole in own)]
    if not kept:
        return own, kept
    off = next((x for x in (_beyond(hole, face, plane) for hole in own) if abs(x) > SAME_PLACE), 0)
    sides = ("right", "left") if off > 0 else ("left", "right")
    return [_sided(hole, sides[0]) for hole in own], [_sided(hole, sides[1]) for hole in kept]


def _beyond(hole: Hole, face: Face, plane: MiddlePlane) -> float:
    """How far a hole is to the player's right of the plane, mm."""
    frame = face.panel.frame
    flat = (frame.along_x[0], frame.along_y[0])
    return frame.corner[0] + float(product(flat, hole.centre)) - plane.middle


def _sided(hole: Hole, side: str) -> Hole:
    return replace(hole, name=f"{hole.name}, {side}")


def _one(hole: Hole, other: Hole) -> bool:
    """Whether two holes are one."""
    if math.dist(hole.centre, other.centre) > SAME_PLACE:
        return False
    if replace(hole, name="", centre=(0, 0), turn=0, deviation=(0, 0), measured=None) != replace(
        other, name="", centre=(0, 0), turn=0, deviation=(0, 0), measured=None
    ):
        return False
    if hole.kind in {"round", "countersunk"}:
        return True
    quarters = 2 if hole.length == hole.width else 1  # a square looks alike at quarter turns
    return abs(math.sin(quarters * (hole.turn - other.turn))) < SAME_TURN


def _with_straddled(
    hardware: Hardware,
    face: Face,
    holes: list[Hole],
    plane: MiddlePlane | None,
    faces: Mapping[str, Face],
    faults: Faults,
) -> Iterator[tuple[str, list[Hole]]]:
    """The holes on their face, and on those that they reach over to; misfits go to `faults`."""
    others: list[tuple[Face, Array]] = []
    for name in hardware.straddles:
        other = faces.get(name)
        if other is not None and plane is not None:
            other = faces.get(_across(other, plane))
        matrix = None if other is None else carriage(face, other)
        if other is None:
            faults.unknown(f"{hardware.called}, straddles", name, "face", faces)
        elif matrix is None:
            faults.add(
                f"{hardware.called}, straddles",
                f"{face.name} and {other.name} have no joint that a hole can lie over.",
                "Name a face flush with it or beyond a plain edge, without a bevel or a round.",
            )
        else:
            others.append((other, matrix))
    _refuse_misfits(face, holes, others, faults)
    yield face.name, holes
    for other, matrix in others:
        over = [carried(hole, matrix) for hole in holes]
        reached = [hole for hole in over if _takes(other, hole)]
        if holes and not reached:
            faults.add(
                f"{hardware.called}, straddles",
                f"It does not reach {other.name}.",
                "Remove that face, or check the distances and the size.",
            )
        yield other.name, reached


def _takes(face: Face, hole: Hole) -> bool:
    return bool(shapely.area(shapely.intersection(face.flat, open_area(hole))) > TAKEN)


def _refuse_misfits(
    face: Face, holes: list[Hole], others: Sequence[tuple[Face, Array]], faults: Faults
) -> None:
    """Tell of holes that are not whole on the flat of the face, or of those that they straddle."""
    _refuse_wide(face, holes, faults)
    room: BaseGeometry = face.flat.buffer(ON_FACE)
    if others:
        room = room.union(room_over(face, others).buffer(ON_FACE))
    for hole in holes:
        area = open_area(hole)
        on_it = _takes(face, hole)
        if on_it and room.contains(area):
            continue
        beyond = "reaches over the rim of" if on_it else "lies off"
        faults.add(
            f"hardware ({hole.name})",
            f"It {beyond} {face.name}: its centre is "
            f"{place_words(face, hole.centre, faults.said, hole)}.",
            "Check its distances and size; a hole lies whole on the flat of a board, or names the "
            "face that it reaches over to as straddles.",
        )


def _refuse_collisions(face: Face, holes: list[Hole], faults: Faults) -> None:
    openings = [open_area(hole) for hole in holes]
    for (one, a), (two, b) in combinations(zip(holes, openings, strict=True), 2):
        if a.intersects(b):
            faults.add(
                f"hardware ({two.name})",
                f"It runs into {one.name} on {face.name}.",
                "Check the distances of both.",
            )


def _refuse_wide(face: Face, holes: list[Hole], faults: Faults) -> None:
    """Refuse holes of a bent board that are not their size along it, as they are cut straight.

    One of width w in a radius R is w^3 / 24 R^2 longer along the outside (2 R asin(w / 2 R) - w).
    """
    bend = face.panel.bend
    if bend is None:
        return
    for hole in holes:
        low_x, low_y, high_x, high_y = open_area(hole).bounds
        wide = (high_y - low_y) if bend.upright else (high_x - low_x)
        if wide**3 / (24 * bend.radius**2) > STRETCHED:
            faults.add(
                f"hardware ({hole.name})",
                f"At {faults.said(wide)} it is too wide for the curve of {face.name}, whose radius "
                f"is {faults.said(abs(bend.radius))}: cut straight, its rim would be longer.",
                "Use two smaller holes, or cut this one by hand from a template.",
            )
