r"""Ends of boards that are seen: whose they are, how they are painted, how much of them shows.

Stands after faces, before cabinet. Where a board lies over its neighbour its end is flush with the
neighbour's outside, and a strip of what looks like one face belongs to another board:

     ______________________
    |  |                |  |     seen from in front: the ends of both sides beside the front; with
    |  |     front      |  |     end = "art" they are painted with it, as parts of its face
    |__|________________|__|

Where there is no neighbour the end is seen as well, and lies in no face. What another carcase
stands against is not seen. Where a board stands proud of a neighbour that is set back, a strip of
its inside is seen too, and painted as its end is. Where a cove ends above the edge of a board that
lies over, its own end is seen, and has the base coat.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

import numpy as np
import shapely
from shapely import LineString, Polygon, box

from mateline.cabinet.edges.tools import curved_end
from mateline.cabinet.faces import end_area, end_lift
from mateline.cabinet.panel import (
    CURVED,
    curved_edges,
    edge_axes,
    edge_length,
    frame_at,
    level,
)
from mateline.cabinet.volume import band, profile
from mateline.curves import area as outline_area
from mateline.planar.unions import polygons
from mateline.products import mapped, norm, product

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray
    from shapely import MultiPolygon

    from mateline.cabinet.edges.covered import SharedWall
    from mateline.cabinet.faces import Face
    from mateline.cabinet.panel import Finish, Frame, Panel

    Array = NDArray[np.float64]
    Area = Polygon | MultiPolygon

AnyArea = TypeVar("AnyArea", "Polygon", "Area")
AGAINST = 1.0  # mm: how far two boards that stand against each other may be apart
OPPOSED = 1e-3  # no unit: how far their normals may differ
FAR = 1e5  # mm: no board is as long
SPECK = 1.0  # mm: what shows of an end and is no wider is what boards are out of true


@dataclass(frozen=True, slots=True)
class SeenEnd:
    """The end of a board that is seen at one edge of it, or a strip of its inside.

    `board` and `owner` are faces: whose board it is, and in whose plane it lies (None where no
    board is there). `area` is what shows, (along the sharp edge, -down), mm; `lift` (3, 3) takes
    that to the cabinet frame, and `on_owner` is the same in the owner's face frame. `size` is its
    true area, mm². `edge` is the number of the panel's edge. A strip of the `inside` has its area
    in the face frame, and its lift takes that to the inside of the board.
    """

    board: str
    edge: int
    owner: str | None
    finish: Finish
    area: Area
    lift: Array
    size: float
    on_owner: Area | None = None
    inside: bool = False


@dataclass(frozen=True, slots=True)
class _Patch:
    """A flat part of a board's outside, or an end: its plane's points and lift to the cabinet."""

    carcase: str
    area: Area
    lift: Array

    @property
    def outward(self) -> Array:
        normal = np.cross(self.lift[:, 0], self.lift[:, 1])
        unit: Array = normal / norm(normal)
        return unit


def painted_beyond(panels: Sequence[Panel]) -> dict[str, tuple[Polygon, ...]]:
    """The ends that are painted with each panel of a carcase, by its name and in its frame."""
    by_name = {panel.name: panel for panel in panels}
    found: dict[str, tuple[Polygon, ...]] = {}
    for panel in panels:
        for index, edge in enumerate(panel.edges):
            owner = by_name.get(edge.neighbour)
            if edge.end == "art" and owner is not None:  # which is flush with it
                end = end_area(panel, index)
                laid = _laid(end, end_lift(panel, index), _lift(owner.frame))
                found[owner.name] = (*found.get(owner.name, ()), *shapely.get_parts(laid))
    return found


def seen_ends(
    faces: Sequence[Face], hidden: Sequence[Face] = (), shared: Sequence[SharedWall] = ()
) -> tuple[SeenEnd, ...]:
    """All ends of boards that are seen, in the order of the faces and their edges.

    `hidden` faces own none; boards of `shared` walls stand against what is behind them.
    """
    by_name = {face.name: face for face in faces}
    every = (*faces, *hidden)
    patches = [patch for face in every for patch in _patches(face)]
    patches += [_wall(each) for each in shared]
    found: list[SeenEnd] = []
    for face in every:
        panel = face.panel
        found.extend(_along_curves(face, by_name))
        round_it = round_curves(panel)
        for index, edge in enumerate(panel.edges):
            if edge.end is None or index in round_it:
                continue
            lift = end_lift(panel, index)
            flush = edge.shows_end and edge.proud == 0
            owner = by_name.get(f"{panel.carcase}-{edge.neighbour}") if flush else None
            against = patches if owner is None else [*patches, *_trim(owner)]
            shown = _shown(_Patch(panel.carcase, end_area(panel, index), lift), against)
            if shown is None:
                continue
            slant = norm(np.cross(lift[:, 0], lift[:, 1]))
            laid = None
            if owner is not None:
                laid = _laid(shown, lift, _plane_at(owner, panel.name))
            found.append(
                SeenEnd(
                    face.name,
                    index,
                    None if owner is None else owner.name,
                    "base" if owner is None and edge.end == "art" else edge.end,
                    shown,
                    lift,
                    shown.area * slant,
                    laid,
                )
            )
    return (*found, *_hollow_ends(every), *seen_insides(every))


def _hollow_ends(faces: Sequence[Face]) -> Iterator[SeenEnd]:
    """The ends of hollow strips above boards that lie over theirs, and stand not proud of them."""
    for face in faces:
        panel = face.panel
        for index, edge in enumerate(panel.edges):
            beside = panel.edges[index - 1], panel.edges[(index + 1) % len(panel.edges)]
            rise = max(each.rise for each in beside)
            if edge.end is not None or rise == 0:
                continue
            lift = end_lift(panel, index)
            above = box(-FAR, 0.0, FAR, rise)
            area = polygons(end_area(panel, index).intersection(above))
            for other in faces:
                if (other.panel.carcase, other.panel.name) == (panel.carcase, edge.neighbour):
                    inside = _inside(other.panel)
                    area = polygons(area.difference(_laid(inside.area, inside.lift, lift)))
            if area.area > SPECK:
                yield SeenEnd(face.name, index, None, "base", area, lift, area.area)


def _wall(shared: SharedWall) -> _Patch:
    """The place of a board that a carcase shares with another one."""
    corners = shared.corners
    normal = np.cross(corners, np.roll(corners, -1, axis=0)).sum(axis=0)
    along = (corners[1] - corners[0]) / norm(corners[1] - corners[0])
    up = np.cross(normal / norm(normal), along)
    flat = product(corners - corners[0], np.column_stack([along, up]))
    return _Patch(shared.carcase, Polygon(flat), np.column_stack([along, up, corners[0]]))


def _trim(owner: Face) -> Iterator[_Patch]:
    """What covers the owner's face, from outside, where an end lies in its plane."""
    for area in owner.covered:
        there = owner.cells[0].lift * (-1.0, 1.0, 1.0)  # seen from behind
        yield _Patch("", shapely.transform(area, lambda at: at * (-1.0, 1.0)), there)


def seen_insides(faces: Sequence[Face]) -> tuple[SeenEnd, ...]:
    """The strips of boards' insides that are seen since the boards stand proud of neighbours."""
    found = []
    for face in faces:
        panel = face.panel
        for index, edge in enumerate(panel.edges):
            if edge.proud == 0 or edge.end is None:
                continue
            inside = _inside(panel)
            strip = polygons(inside.area.intersection(_along(panel, index)))
            for other in faces:
                if other.panel.carcase == panel.carcase and other is not face:
                    strip = _clear(strip, inside, other.panel)
            strip = _reaching(strip, panel, index)
            if strip.area > SPECK:
                found.append(
                    SeenEnd(
                        face.name, index, None, edge.end, strip, inside.lift, strip.area,
                        inside=True,
                    )
                )  # fmt: skip
    return tuple(found)


def _reaching(strip: Area, panel: Panel, index: int) -> Area:
    """The parts of a strip that reach the edge itself: past an inside corner it goes on behind the
    board that meets it there, where nobody looks.
    """
    start, along, inward = edge_axes(panel, index)
    deep = panel.edges[index].section.points[-1][0] + SPECK
    ends = (start + deep * inward, start + deep * inward + edge_length(panel, index) * along)
    line = LineString(ends)
    parts = [
        part for part in shapely.get_parts(strip).tolist() if part.intersection(line).length > SPECK
    ]
    return polygons(shapely.union_all(parts))


def round_curves(panel: Panel) -> frozenset[int]:
    """The edges of a board whose ends run round a curve."""
    return curved_edges(panel) if panel.bend is None else frozenset(CURVED)


def _along_curves(face: Face, faces: Mapping[str, Face]) -> Iterator[SeenEnd]:
    """The ends of a board that run round a curve, each as one; what stands against them is not
    looked at. Their `area` is as if they were straight.
    """
    panel = face.panel
    firsts = CURVED if panel.bend is not None else [run.first for run in panel.runs]
    for index in firsts:
        edge = panel.edges[index]
        if edge.end is None or index not in round_curves(panel):
            continue
        owner = faces.get(f"{panel.carcase}-{edge.neighbour}")
        if panel.bend is not None:
            size = outline_area(profile(panel))
            if edge.groove is not None:
                size -= outline_area(band(panel, edge.groove.top, edge.groove.bottom))
            area: Area = box(0.0, -panel.thickness, size / panel.thickness, 0.0)
        else:
            run = next(run for run in panel.runs if run.first == index)
            area, size = curved_end(panel, run)
        yield SeenEnd(
            face.name,
            index,
            None if owner is None else owner.name,
            edge.end,
            area,
            end_lift(panel, index),
            size,
            None if owner is None else _beside(owner.panel, panel.name),
        )


def _beside(owner: Panel, board: str) -> Area:
    """What lies between the sharp edge of a face along a curve and where its board ends."""
    at = [i for i, edge in enumerate(owner.edges)
          if edge.neighbour == board and i in round_curves(owner)]  # fmt: skip
    if not at:
        return Polygon()
    corners = [*at, (at[-1] + 1) % len(owner.edges)]
    sharp, there = np.array(owner.outline)[corners], level(owner, 0.0)[corners]
    ring = Polygon(np.vstack([sharp, there[::-1]]))
    return ring if ring.area > 0 else Polygon()


def _plane_at(owner: Face, board: str) -> Array:
    """The lift (3, 3) of a face where a board meets it: of a bent one, what touches it there."""
    panel = owner.panel
    if panel.bend is None:
        return owner.cells[0].lift
    edge = next(i for i, edge in enumerate(panel.edges) if edge.neighbour == board)
    x, y = panel.outline[edge]
    frame = frame_at(panel, (x, y))
    corner = np.array(frame.corner) - x * np.array(frame.along_x) - y * np.array(frame.along_y)
    return np.column_stack([frame.along_x, frame.along_y, corner])


def _inside(panel: Panel) -> _Patch:
    """The inside of a board, in the face frame."""
    lift = _lift(panel.frame)
    lift[:, 2] -= panel.thickness * np.array(panel.frame.outward)
    return _Patch(panel.carcase, Polygon(level(panel, panel.thickness)), lift)


def _along(panel: Panel, index: int) -> Polygon:
    """All that lies as near to an edge of the inside as the board stands proud there."""
    start, along, inward = edge_axes(panel, index)
    edge = panel.edges[index]
    near, far = edge.section.points[-1][0] - SPECK, edge.section.points[-1][0] + edge.proud
    ends = (-FAR * along, (edge_length(panel, index) + FAR) * along)
    corners = [start + end + deep * inward for deep in (near, far) for end in ends]
    return Polygon([corners[0], corners[1], corners[3], corners[2]])


def _clear(strip: Area, inside: _Patch, panel: Panel) -> Area:
    """What of a strip of the inside no board of the same carcase ends against."""
    outward = inside.outward
    for index, edge in enumerate(panel.edges):
        if edge.end is not None:
            continue
        lift = end_lift(panel, index)
        end = _Patch(panel.carcase, end_area(panel, index), lift)
        apart = abs(float(product(lift[:, 2] - inside.lift[:, 2], outward)))
        if apart < AGAINST and float(product(end.outward, outward)) > 1 - OPPOSED:
            strip = polygons(strip.difference(_laid(end.area, lift, inside.lift)))
    return strip


def onto_end(area: Area, owner: Face, end: SeenEnd) -> Area:
    """An area of the face in whose plane the end lies, as it lies on the end."""
    return _laid(area, owner.cells[0].lift, end.lift)


def _into(lift: Array, plane: Array) -> Array:
    """(2, 3): from points that `lift` (3, 3) takes to the cabinet to those that `plane` does.

    The two lie in one plane; what they are apart is dropped.
    """
    moved = lift.copy()
    moved[:, 2] -= plane[:, 2]
    along, down = plane[:, 0], plane[:, 1]  # the first is a unit vector
    lean = float(product(down, along))
    across = down - lean * along
    v = product(across, moved) / float(product(across, across))
    matrix: Array = np.array([product(along, moved) - lean * v, v])
    return matrix


def _laid(area: AnyArea, lift: Array, plane: Array) -> AnyArea:
    matrix = _into(lift, plane)
    laid: AnyArea = shapely.transform(area, lambda points: mapped(points, matrix))
    return laid


def _lift(frame: Frame) -> Array:
    return np.column_stack([frame.along_x, frame.along_y, frame.corner])


def _patches(face: Face) -> Iterator[_Patch]:
    panel = face.panel
    if panel.bend is not None:  # nothing flat stands against it
        return
    yield _Patch(panel.carcase, face.flat, face.cells[0].lift)
    for index, edge in enumerate(panel.edges):
        if edge.end is not None and index not in round_curves(panel):
            yield _Patch(panel.carcase, end_area(panel, index), end_lift(panel, index))


def _shown(end: _Patch, patches: Sequence[_Patch]) -> Area | None:
    """What of an end no board of another carcase stands against; None where that is nothing."""
    outward, at = end.outward, end.lift[:, 2]
    shown: Area = end.area
    for patch in patches:
        if patch.carcase == end.carcase:
            continue
        if float(product(patch.outward, outward)) > OPPOSED - 1:
            continue
        if abs(float(product(patch.lift[:, 2] - at, outward))) > AGAINST:
            continue
        laid = _laid(patch.area, patch.lift, end.lift)
        if laid.intersects(shown):
            parts = shapely.get_parts(shown.difference(laid))
            kept = [part for part in parts if not part.buffer(-SPECK / 2).is_empty]
            if not kept:
                return None
            shown = kept[0] if len(kept) == 1 else shapely.MultiPolygon(kept)
    return shown
