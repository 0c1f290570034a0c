"""Drawings put on faces: placed, wrapped round corners, cast along a direction, mirrored.

Stands after the drawing readers, before the pattern. An affine map is (2, 3) on (x, y, 1). A
shape is carried whole to every face that its drawing reaches; the pattern cuts it at the rim.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.cabinet.cabinet import reflection
from mateline.placing.cast import casts
from mateline.placing.wrap import UnreachableError, wraps
from mateline.planar.affine import stretch
from mateline.planar.similarity import composed, fitted_similarity, inverse

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.cabinet import Cabinet
    from mateline.cabinet.faces import Face
    from mateline.curves import Point
    from mateline.definition.lengths import Ruler
    from mateline.definition.schema import Art
    from mateline.drawing.shapes import Drawing, Shape

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PlacedArt:
    """A drawing as it was put on one face: its shapes in that face's frame, mm, back to front.

    All that one `[[art]]` entry does has one `placement`. Where it puts a drawing on several
    faces (wrapped, cast), each has the same shapes in the same order, whether they fall on it
    or not. `positions` are those of the shapes in the drawing; `residual` is the largest
    distance of a landmark from its point, mm; `mirrored` says that it was turned over. `enlarged`
    is how many times a length of the drawing grows at most.
    """

    placement: int
    drawing: str
    face: str
    shapes: tuple[Shape, ...]
    positions: tuple[int, ...] = ()
    residual: float = 0.0
    mirrored: bool = False
    one_way: tuple[str, ...] = ()
    enlarged: float = 1.0


@dataclass(frozen=True, slots=True)
class Lettering:
    """A region of `face` that reads one way; `backwards` says that it was placed mirrored."""

    face: str
    element: str
    at: Point
    backwards: bool


@dataclass(frozen=True, slots=True)
class _Entry:
    art: Art
    number: int
    place: str
    ruler: Ruler


def placed(
    art: Sequence[Art], cabinet: Cabinet, drawings: Mapping[str, Drawing], ruler: Ruler
) -> tuple[PlacedArt, ...]:
    """All drawings on all faces, back to front; faults go to `ruler`."""
    found: list[PlacedArt] = []
    for number, each in enumerate(art, start=1):
        entry = _Entry(each, number, f"art {number}", ruler)
        ways = [each.on is not None, bool(each.wrap), each.cast is not None, bool(each.mirror)]
        if sum(ways) != 1:
            ruler.fault(
                entry.place,
                f"It says in {sum(ways) or 'no'} ways where it goes.",
                "Give exactly one of on, wrap, cast and mirror.",
            )
        elif each.mirror:
            turned = _mirrored(entry, cabinet, drawings, found)
            # Each drawing that is mirrored is a placement of its own.
            first = len(art) + len(found)
            found.extend(replace(each, placement=first + i) for i, each in enumerate(turned, 1))
        elif each.drawing is None:
            ruler.fault(entry.place, "It names no drawing.", "Add drawing = the file's name.")
        elif each.drawing in drawings:
            found.extend(_drawn(entry, cabinet, drawings[each.drawing]))
    return tuple(found)


def letterings(
    art: Sequence[PlacedArt], drawings: Mapping[str, Drawing], faces: Sequence[Face]
) -> tuple[Lettering, ...]:
    """What reads one way, on each face that it falls on."""
    outlines = {face.name: face.outline for face in faces}
    found = []
    for each in art:
        for name in each.one_way:
            wanted = set(drawings[each.drawing].elements.get(name, ()))
            areas = [
                shape.area
                for position, shape in zip(each.positions, each.shapes, strict=True)
                if position in wanted
            ]
            here = shapely.union_all(areas).intersection(outlines[each.face])
            if not here.is_empty:
                at = here.centroid
                found.append(Lettering(each.face, name, (at.x, at.y), each.mirrored))
    return tuple(found)


def _drawn(entry: _Entry, cabinet: Cabinet, drawing: Drawing) -> list[PlacedArt]:
    art = entry.art
    positions = _chosen(entry, drawing, range(len(drawing.shapes)))
    one_way = tuple(name for name in art.reads_one_way if _named(entry, name, drawing))
    shapes = [drawing.shapes[position] for position in positions]
    made = []
    for face, carried, residual in _carriers(entry, cabinet, drawing):
        made.append(
            PlacedArt(
                entry.number,
                art.drawing or "",
                face.name,
                carried(shapes),
                positions,
                residual,
                mirrored=False,
                one_way=one_way,
                enlarged=carried.stretch / stretch(drawing.to_mm),
            )
        )
    return made


def _carriers(
    entry: _Entry, cabinet: Cabinet, drawing: Drawing
) -> list[tuple[Face, _Carry, float]]:
    """Each face that the entry reaches, what takes shapes there, and the landmarks' residual."""
    art = entry.art
    if art.cast is not None:
        views, box = casts(art.cast, _known(entry, "onto", art.onto, cabinet) or cabinet.faces)
        matrix, residual = _placement(entry, drawing, box)
        return [
            (
                view.face,
                _Carry(tuple((composed(m, matrix), part) for m, part in view.parts)),
                residual,
            )
            for view in views
        ]
    if art.wrap:
        named = [each.partition(" off ") for each in art.wrap]
        faces = _known(entry, "wrap", [name for name, _, _ in named], cabinet)
        if not faces or len(faces) < len(art.wrap):
            return []
        matrix, residual = _placement(entry, drawing, faces[0].outline.bounds)
        try:
            unfolded = wraps(faces, [off or None for _, _, off in named])
        except UnreachableError as error:
            entry.ruler.fault(
                f"{entry.place}, wrap",
                f"{error.face} touches none of the faces that it could unfold from.",
                "Name the faces in an order in which each meets an earlier one.",
            )
            return []
        return [
            (face, _Carry(((composed(inverse(to_first), matrix), None),)), residual)
            for face, to_first in zip(faces, unfolded, strict=True)
        ]
    names = (art.on,) if isinstance(art.on, str) else art.on or ()
    made = []
    for face in _known(entry, "on", names, cabinet):
        matrix, residual = _placement(entry, drawing, face.outline.bounds)
        made.append((face, _Carry(((matrix, None),)), residual))
    return made


@dataclass(frozen=True, slots=True)
class _Carry:
    """Maps a drawing's shapes to a face: by one map, or by one for each part of the face."""

    parts: tuple[tuple[Array, shapely.Polygon | None], ...]

    @property
    def stretch(self) -> float:
        """By how much lengths in drawing units grow at most."""
        return max(float(np.linalg.norm(matrix[:, :2], 2)) for matrix, _ in self.parts)

    def __call__(self, shapes: Sequence[Shape]) -> tuple[Shape, ...]:
        areas = [carried(shapes, matrix) for matrix, _ in self.parts]
        if len(self.parts) > 1:
            cut = [
                shapely.intersection(area, part)
                for area, (_, part) in zip(areas, self.parts, strict=True)
            ]
            areas = [np.array([_areal(shapely.union_all(list(p))) for p in zip(*cut, strict=True)])]
        return tuple(
            replace(shape, area=area) for shape, area in zip(shapes, areas[0], strict=True)
        )


def carried(shapes: Sequence[Shape], matrix: Array) -> NDArray[np.object_]:
    """The areas of `shapes` taken by an affine `matrix`."""
    areas = np.array([shape.area for shape in shapes], dtype=object)
    moved: NDArray[np.object_] = shapely.transform(
        areas, lambda points: points @ matrix[:, :2].T + matrix[:, 2]
    )
    return moved


def _areal(geometry: shapely.Geometry) -> shapely.MultiPolygon:
    """Only the areas of a geometry: shapes that touch a fold leave lines behind."""
    parts = shapely.get_parts(geometry)
    return shapely.MultiPolygon([part for part in parts if part.geom_type == "Polygon"])


def _placement(
    entry: _Entry, drawing: Drawing, box: tuple[float, float, float, float]
) -> tuple[Array, float]:
    """From drawing units to the frame of `box`, and the largest residual of the landmarks."""
    art, ruler, place = entry.art, entry.ruler, entry.place
    a, b, c, d, e, f = drawing.to_mm
    to_mm = np.array([[a, c, e], [b, d, f]])
    if art.landmarks:
        return _by_landmarks(entry, drawing)
    x, y, width, height = drawing.view
    corners = np.array([(x, y), (x + width, y + height)]) @ to_mm[:, :2].T + to_mm[:, 2]
    low, high = corners.min(axis=0), corners.max(axis=0)
    room = np.array([box[2] - box[0], box[3] - box[1]])
    shares = room / (high - low)
    fit = {"none": 1.0, "width": shares[0], "height": shares[1], "cover": shares.max()}[art.fit]
    scale = float(fit) * art.scale
    anchor = low + _share(art.anchor) * (high - low)
    shift = [ruler.length(value, f"{place}, offset") for value in art.offset]
    target = np.array(box[:2]) + _share(art.to) * room + shift
    turn = math.radians(art.turn)
    turned = scale * np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    return composed(np.column_stack([turned, target - turned @ anchor]), to_mm), 0.0


def _by_landmarks(entry: _Entry, drawing: Drawing) -> tuple[Array, float]:
    art, ruler = entry.art, entry.ruler
    place = f"{entry.place}, landmarks"
    sources, targets = [], []
    for name, (x, y) in art.landmarks.items():
        if name not in drawing.landmarks:
            ruler.unknown(place, name, f"element of {drawing.file}", drawing.landmarks)
            continue
        sources.append(drawing.landmarks[name])
        targets.append((ruler.length(x, f"{place}, {name}"), ruler.length(y, f"{place}, {name}")))
    if len({*sources}) < 2 or len({*targets}) < 2:
        if len(art.landmarks) < 2:
            ruler.fault(place, "One landmark fixes no size.", "Give two or more.")
        return np.array([[1.0, 0, 0], [0, 1, 0]]), 0.0
    flip = np.array([[1.0, 0, 0], [0, -1, 0]])  # drawings run y down
    points = np.array(sources) * (1, -1)
    matrix, residual = fitted_similarity(points, np.array(targets))
    return composed(matrix, flip), residual


def _share(spot: str) -> Array:
    across = {"left": 0.0, "right": 1.0}.get(spot.rsplit("-", maxsplit=1)[-1], 0.5)
    up = {"lower": 0.0, "upper": 1.0}.get(spot.split("-", maxsplit=1)[0], 0.5)
    return np.array([across, up])


def _mirrored(
    entry: _Entry,
    cabinet: Cabinet,
    drawings: Mapping[str, Drawing],
    earlier: Sequence[PlacedArt],
) -> list[PlacedArt]:
    art = entry.art
    source = _known(entry, "mirror", (art.mirror or "",), cabinet)
    onto = _known(entry, "onto", art.onto, cabinet)
    if not source or not onto:
        if source:
            entry.ruler.fault(entry.place, "It is mirrored onto nothing.", "Add onto = [a face].")
        return []
    made: list[PlacedArt] = []
    for face in onto:
        matrix = _across(source[0], face, cabinet)
        if matrix is None:
            entry.ruler.fault(
                f"{entry.place}, onto",
                f"{face.name} does not face {source[0].name} across the cabinet.",
                "Mirror the left side of a carcase onto its right side, or back.",
            )
            continue
        names = {name for each in earlier if each.face == source[0].name for name in
                 drawings[each.drawing].elements}  # fmt: skip
        for name in (*art.leave_out, *art.only):
            if name not in names:
                entry.ruler.unknown(entry.place, name, f"element on {source[0].name}", names)
        made.extend(
            _reflected(each, entry, (source[0], face), matrix, drawings[each.drawing])
            for each in earlier
            if each.face == source[0].name
        )
    return made


def _reflected(
    each: PlacedArt, entry: _Entry, faces: tuple[Face, Face], matrix: Array, drawing: Drawing
) -> PlacedArt:
    """What `each` shows on the first of `faces`, mirrored onto the second by `matrix`."""
    source, face = faces
    chosen = set(_filtered(entry.art, drawing, each.positions))
    # A wrapped or cast drawing has shapes that fall on its other faces only: they stay there.
    seen = shapely.intersects(source.outline, [shape.area for shape in each.shapes])
    kept = {p for p, here in zip(each.positions, seen, strict=True) if here and p in chosen}
    shapes = [s for p, s in zip(each.positions, each.shapes, strict=True) if p in kept]
    areas = carried(shapes, matrix)
    return replace(
        each,
        face=face.name,
        shapes=tuple(replace(s, area=area) for s, area in zip(shapes, areas, strict=True)),
        positions=tuple(p for p in each.positions if p in kept),
        mirrored=not each.mirrored,
    )


def _across(source: Face, target: Face, cabinet: Cabinet) -> Array | None:
    if source.panel.carcase != target.panel.carcase or source.name == target.name:
        return None
    if {source.panel.name, target.panel.name} != {"left", "right"}:
        return None
    matrix = reflection(cabinet, source.panel.carcase)
    if matrix is None or source.panel.name == "left":
        return matrix
    return inverse(matrix)


def _chosen(entry: _Entry, drawing: Drawing, positions: Sequence[int]) -> tuple[int, ...]:
    for name in (*entry.art.only, *entry.art.leave_out):
        _named(entry, name, drawing)
    return _filtered(entry.art, drawing, positions)


def _filtered(art: Art, drawing: Drawing, positions: Sequence[int]) -> tuple[int, ...]:
    only = {p for name in art.only for p in drawing.elements.get(name, ())}
    out = {p for name in art.leave_out for p in drawing.elements.get(name, ())}
    return tuple(p for p in positions if p not in out and (p in only or not art.only))


def _named(entry: _Entry, name: str, drawing: Drawing) -> bool:
    if name in drawing.elements:
        return True
    entry.ruler.unknown(entry.place, name, f"element of {drawing.file}", drawing.elements)
    return False


def _known(entry: _Entry, word: str, names: Sequence[str], cabinet: Cabinet) -> tuple[Face, ...]:
    found = []
    for name in names:
        face = cabinet.face(name)
        if face is None:
            known = [each.name for each in cabinet.faces]
            entry.ruler.unknown(f"{entry.place}, {word}", name, "face", known)
        else:
            found.append(face)
    return tuple(found)
