"""What a drawing is once it lies on faces.

Stands after art, before place. A shape is carried whole to every face that its drawing reaches; the
pattern cuts it at the rim.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from mateline.memory import AFRESH
from mateline.planar.affine import stretch
from mateline.planar.moved import moved
from mateline.products import mapped

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.faces import Face
    from mateline.curves import Point
    from mateline.drawing.shapes import Drawing, Note, Shape
    from mateline.memory import Stages
    from mateline.placing.agreement import Landmark
    from mateline.placing.art import Art
    from mateline.placing.lit_round import LitRound
    from mateline.placing.warping.warp import Warp, Warped

    Array = NDArray[np.float64]

SPECK = 1e-6  # mm²: what is cut off a shape at a fold and is no larger is rounding


@dataclass(frozen=True, slots=True)
class Guess:
    """A stretch of a border, `length` mm, that tracing guessed, and its middle in the face frame.
    `element` is what marks it in the drawing.
    """

    element: str
    at: Point
    length: float


@dataclass(frozen=True, slots=True)
class PlacedArt:
    """A drawing as it was put on one face: its shapes in that face's frame, mm, back to front.

    All that one entry of art does has one `placement`. Where it puts a drawing on several
    faces (wrapped, cast), each has the same shapes in the same order, whether they fall on it
    or not. `positions` are those of the shapes in the drawing; `landmarks` are those that
    place it, told once an entry: on its first face, in whose frame their points are unless it is
    `cast`. `mirrored` says that it was turned over. `enlarged`
    is how many times a length of the drawing grows at most. `named` says that the entry names the
    face: a cast may reach others too. From where it was cast, `hidden` (in the face's frame) stands
    behind the faces `before` it. Its shapes may run off the face by `bleed`, mm.
    `page` is the drawing's box in the face's frame; None where it was cast. One that is `wrapped`
    goes on over other faces. One that was `warped` was bent to the face's corners or to landmarks.
    `guesses` are told once an entry, as landmarks are.
    """

    placement: int
    drawing: str
    face: str
    shapes: tuple[Shape, ...]
    positions: tuple[int, ...] = ()
    landmarks: tuple[Landmark, ...] = ()
    mirrored: bool = False
    one_way: tuple[str, ...] = ()
    enlarged: float = 1.0
    named: bool = True
    cast: bool = False
    hidden: shapely.MultiPolygon = field(default_factory=shapely.MultiPolygon)
    before: tuple[str, ...] = ()
    bleed: float = 0.0
    page: shapely.Polygon | None = None
    wrapped: bool = False
    guesses: tuple[Guess, ...] = ()
    warped: Warped | None = None


@dataclass(frozen=True, slots=True)
class Lettering:
    """A region of `face` that reads one way; `backwards` says that it was placed mirrored.

    `area` is in the face frame, mm; None where nobody needs it.
    """

    face: str
    element: str
    at: Point
    backwards: bool
    area: shapely.MultiPolygon | None = None


@dataclass(frozen=True, slots=True)
class DrawingNotes:
    """What is not flat geometry in a drawing, as far as an entry of art wants it on `faces`."""

    drawing: str
    faces: tuple[str, ...]
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a face that a drawing reaches, by a map (2, 3) of its own.

    `matrix` takes drawing units to the face's frame, or to the view that lies over `lit`. What
    leaves `area` is cut off; None where the part is the whole face, which the pattern cuts. Where
    there is a `warp` the drawing goes to the face by that instead.
    """

    matrix: Array
    area: shapely.Polygon | None = None
    lit: LitRound | None = None
    warp: Warp | None = None

    @property
    def stretch(self) -> float:
        """By how much lengths in drawing units grow at most."""
        if self.warp is not None:
            return self.warp.stretch
        a, b, c, d = self.matrix[:, :2].T.ravel().tolist()
        return stretch((a, b, c, d, 0.0, 0.0)) * (1.0 if self.lit is None else self.lit.stretch)

    def __call__(self, shapes: Sequence[Shape]) -> NDArray[np.object_]:
        """The areas of `shapes` on this part."""
        if self.warp is not None:
            return self.warp.laid(shapes)
        areas = carried(shapes, self.matrix)
        if self.lit is not None:
            areas = self.lit.laid(areas)
        return areas if self.area is None else shapely.intersection(areas, self.area)


@dataclass(frozen=True, slots=True)
class Carry:
    """Takes a drawing's shapes to a face, part by part.

    `hidden`, `before` and `warped` are as in `PlacedArt`.
    """

    parts: tuple[Part, ...]
    hidden: shapely.MultiPolygon = field(default_factory=shapely.MultiPolygon)
    before: tuple[str, ...] = ()
    warped: Warped | None = None

    @property
    def stretch(self) -> float:
        """By how much lengths in drawing units grow at most."""
        return max(part.stretch for part in self.parts)

    def __call__(self, shapes: Sequence[Shape]) -> tuple[Shape, ...]:
        """The shapes on the face."""
        laid = [part(shapes) for part in self.parts]
        areas = laid[0]
        if self.parts[0].area is not None:
            areas = np.array([_whole(pieces) for pieces in zip(*laid, strict=True)], dtype=object)
        return tuple(replace(shape, area=area) for shape, area in zip(shapes, areas, strict=True))


def carried(shapes: Sequence[Shape], matrix: Array) -> NDArray[np.object_]:
    """The areas of `shapes` taken by an affine `matrix` (2, 3)."""
    return moved([shape.area for shape in shapes], lambda points: mapped(points, matrix))


def notes_of(
    entries: Sequence[Art], art: Sequence[PlacedArt], drawings: Mapping[str, Drawing]
) -> tuple[DrawingNotes, ...]:
    """The notes of each drawing, once, without those on what every entry leaves out."""
    found = []
    for name in dict.fromkeys(each.drawing for each in entries if each.drawing in drawings):
        faces = dict.fromkeys(each.face for each in art if each.drawing == name)
        wanted = [entry for entry in entries if entry.drawing == name]
        notes = {  # an element that is drawn twice in one drawing is told once
            (note.element, note.message): note
            for note in drawings[name].notes
            if any(_wants(entry, note.within) for entry in wanted)
        }
        if notes:
            found.append(DrawingNotes(name, tuple(faces), tuple(notes.values())))
    return tuple(found)


def _wants(entry: Art, within: tuple[str, ...] | None) -> bool:
    """Whether an entry puts down what stands `within` these elements; None is the whole drawing."""
    if within is None:
        return True
    here = set(within)
    return not here & set(entry.leave_out) and (not entry.only or bool(here & set(entry.only)))


def letterings(
    art: Sequence[PlacedArt],
    drawings: Mapping[str, Drawing],
    faces: Sequence[Face],
    stages: Stages = AFRESH,
) -> tuple[Lettering, ...]:
    """What reads one way, on each face that it falls on."""
    outlines = {face.name: face.outline for face in faces}
    return tuple(
        lettering
        for each in art
        if each.one_way
        for lettering in stages.recall(
            _lettered, each, drawings[each.drawing].elements, outlines[each.face]
        )
    )


def _lettered(
    art: PlacedArt, elements: Mapping[str, tuple[int, ...]], outline: shapely.Polygon
) -> tuple[Lettering, ...]:
    found = []
    for name in art.one_way:
        wanted = set(elements.get(name, ()))
        areas = [
            shape.area
            for position, shape in zip(art.positions, art.shapes, strict=True)
            if position in wanted
        ]
        here = shapely.union_all(areas).intersection(outline)
        if not here.is_empty:
            at = here.centroid
            found.append(Lettering(art.face, name, (at.x, at.y), art.mirrored, _whole([here])))
    return tuple(found)


def _whole(pieces: Sequence[shapely.Geometry]) -> shapely.MultiPolygon:
    """One shape from what lies of it on each part.

    Where it only touches a fold, lines are left there, or specks as wide as rounding.
    """
    laid = [each for each in pieces if not shapely.is_empty(each)]
    parts = shapely.get_parts(laid[0] if len(laid) == 1 else shapely.union_all(laid))
    return shapely.MultiPolygon(parts[shapely.area(parts) > SPECK])
