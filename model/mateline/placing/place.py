"""Drawings put on faces: placed, wrapped round corners, cast along a direction, mirrored.

Last of the room. An affine map is (2, 3) on (x, y, 1).
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from shapely import Polygon

from mateline.errors import Faults
from mateline.memory import AFRESH
from mateline.placing.anchor import anchored
from mateline.placing.art import Anchored, Cast, Landmarks, Mirrored, OnFaces, Wrapped
from mateline.placing.cast import casts
from mateline.placing.landmarks import NOWHERE, matched
from mateline.placing.mirror import chosen, mirrored, refuse_idle
from mateline.placing.placed import Carry, Guess, Part, PlacedArt
from mateline.placing.similarity import composed, inverse
from mateline.placing.warps import to_corners, to_landmarks
from mateline.placing.wrap import CurvedEdgeError, UnreachableError, wraps
from mateline.planar.affine import stretch
from mateline.products import mapped
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from mateline.cabinet.cabinet import Cabinet
    from mateline.cabinet.faces import Face
    from mateline.drawing.shapes import Drawing, Shape
    from mateline.errors import InputError
    from mateline.memory import Stages
    from mateline.placing.agreement import Landmark
    from mateline.placing.art import Art

    Array = NDArray[np.float64]

# What tracing calls an unpainted element that lies on a border it guessed, and how long that is.
GUESSED = re.compile(r"guessed-(\d+(?:\.\d+)?)mm-\d+")


def placed(
    art: Sequence[Art],
    cabinet: Cabinet,
    drawings: Mapping[str, Drawing],
    faults: Faults,
    stages: Stages = AFRESH,
    unit: str = "mm",
) -> tuple[PlacedArt, ...]:
    """All drawings on all faces, back to front; what can't be placed goes to `faults`, which say
    lengths in `unit`.

    Art whose drawing is not among `drawings` is passed over: whoever read them has told why.
    """
    found: list[PlacedArt] = []
    for number, each in enumerate(art, start=1):
        entry = each if each.place else replace(each, place=f"art {number}")
        if isinstance(entry.where, Mirrored):
            source = entry.where.face
            here = tuple(one for one in found if one.face == source)
            known = {one.drawing: drawings[one.drawing] for one in here}
            # Each drawing that is mirrored is a placement of its own.
            first = len(art) + len(found)
            turned, wrong = stages.recall(
                _turned_over, entry, first, cabinet, known, here, faults.file
            )
            found.extend(turned)
        elif entry.drawing in drawings:
            drawing = drawings[entry.drawing]
            drawn, wrong = stages.recall(
                _drawn, entry, number, cabinet, drawing, (faults.file, unit)
            )
            found.extend(drawn)
        else:
            continue
        faults.kept.extend(wrong)
    return tuple(found)


def _drawn(
    art: Art, number: int, cabinet: Cabinet, drawing: Drawing, told: tuple[str, str]
) -> tuple[tuple[PlacedArt, ...], tuple[InputError, ...]]:
    """One entry on each face that it reaches, and what is wrong with it, `told` of a file and in a
    unit.
    """
    file, unit = told
    faults = Faults(file, said=lambda length: printed_exact(length, unit))
    for name in (*art.only, *art.leave_out):
        _named(art, name, drawing, faults)
    refuse_idle(art, [drawing], faults)
    positions = chosen(art, drawing, range(len(drawing.shapes)))
    one_way = tuple(name for name in art.reads_one_way if _named(art, name, drawing, faults))
    shapes = [drawing.shapes[position] for position in positions]
    carriers, landmarks = _carriers(art, cabinet, drawing, shapes, faults)
    found = tuple(
        PlacedArt(
            number,
            art.drawing,
            face.name,
            carry(shapes),
            positions,
            () if at else landmarks,
            mirrored=False,
            one_way=one_way,
            enlarged=carry.stretch / stretch(drawing.to_mm),
            named=not isinstance(art.where, Cast) or face.name in art.where.onto,
            cast=isinstance(art.where, Cast),
            wrapped=isinstance(art.where, Wrapped),
            warped=carry.warped,
            hidden=carry.hidden,
            before=carry.before,
            bleed=art.bleed,
            page=None if isinstance(art.where, Cast) else _page(drawing, carry),
            guesses=() if at else _guesses(drawing, carry),
        )
        for at, (face, carry) in enumerate(carriers)
    )
    return found, tuple(faults.kept)


def _page(drawing: Drawing, carry: Carry) -> Polygon:
    """The drawing's box where it lies on the face."""
    x, y, width, height = drawing.view
    ring = np.array([(x, y), (x + width, y), (x + width, y + height), (x, y + height)])
    part = carry.parts[0]
    return Polygon(mapped(ring, part.matrix) if part.warp is None else part.warp.points(ring))


def _guesses(drawing: Drawing, carry: Carry) -> tuple[Guess, ...]:
    """What the drawing marks as guessed, where it lies on the face."""
    marks = [(name, mark) for name in drawing.landmarks if (mark := GUESSED.fullmatch(name))]
    if not marks:
        return ()
    spots = mapped(np.array([drawing.landmarks[name] for name, _ in marks]), carry.parts[0].matrix)
    return tuple(
        Guess(name, (x, y), float(mark[1]))
        for (name, mark), (x, y) in zip(marks, spots.tolist(), strict=True)
    )


def _carriers(
    art: Art, cabinet: Cabinet, drawing: Drawing, shapes: Sequence[Shape], faults: Faults
) -> tuple[list[tuple[Face, Carry]], tuple[Landmark, ...]]:
    """Each face that the entry reaches and what takes shapes there, and the entry's landmarks."""
    where = art.where
    if isinstance(where, Cast):
        return _cast(art, where, cabinet, drawing, faults)
    if isinstance(where, Wrapped):
        return _wrapped(art, where, cabinet, drawing, faults)
    names = where.faces if isinstance(where, OnFaces) else ()
    faces = _known(art, "on", names, cabinet, faults)
    if isinstance(art.put, Landmarks):  # their points are alike on all faces
        matrix, landmarks = matched(art.put, drawing, faults, f"{art.place}, landmarks")
        carry = Carry((Part(matrix),))
        if art.put.warp:
            carry = to_landmarks(landmarks, matrix, (drawing, shapes), faults, art.place) or carry
        return [(face, carry) for face in faces], landmarks
    if art.put.fit == "corners":
        bent = [(face, to_corners(face, (drawing, shapes), faults, art.place)) for face in faces]
        return [(face, carry) for face, carry in bent if carry is not None], ()
    maps = [anchored(art.put, drawing, face.outline.bounds) for face in faces]
    return [(face, Carry((Part(map_),))) for face, map_ in zip(faces, maps, strict=True)], ()


def _cast(
    art: Art, where: Cast, cabinet: Cabinet, drawing: Drawing, faults: Faults
) -> tuple[list[tuple[Face, Carry]], tuple[Landmark, ...]]:
    named = _known(art, "onto", where.onto, cabinet, faults)
    views, box = casts(where.side, named or cabinet.faces, cabinet.faces)
    reached = {view.face.name for view in views}
    way = "up" if where.side == "top" else f"to the {where.side}"
    for face in named:
        if face.name not in reached:
            faults.add(
                f"{art.place}, onto",
                f"No part of {face.name} looks {way}.",
                "Take it out of onto, or cast from a side that it looks to.",
            )
    if not views and not where.onto:
        faults.add(f"{art.place}, cast", f"No face looks {way}.", "Cast from another side.")
    matrix, landmarks = _map(art, drawing, box, faults)
    made = []
    for view in views:
        parts = tuple(replace(p, matrix=composed(p.matrix, matrix)) for p in view.parts)
        made.append((view.face, Carry(parts, view.hidden, view.before)))
    return made, landmarks


def _wrapped(
    art: Art, where: Wrapped, cabinet: Cabinet, drawing: Drawing, faults: Faults
) -> tuple[list[tuple[Face, Carry]], tuple[Landmark, ...]]:
    faces = _known(art, "wrap", [name for name, _ in where.faces], cabinet, faults)
    if not faces or len(faces) < len(where.faces):
        return [], ()
    matrix, landmarks = _map(art, drawing, faces[0].outline.bounds, faults)
    try:
        unfolded = wraps(faces, [off for _, off in where.faces])
    except UnreachableError as error:
        faults.add(
            f"{art.place}, wrap",
            f"{error.face} touches none of the faces that it could unfold from.",
            "Name the faces in an order in which each meets an earlier one.",
        )
        return [], ()
    except CurvedEdgeError as error:
        one, other = error.faces
        faults.add(
            f"{art.place}, wrap",
            f"{one} and {other} meet along a curve, over which no drawing can be unfolded.",
            "Wrap over their straight edges, or place it on each of them.",
        )
        return [], ()
    made = [
        (face, Carry((Part(composed(inverse(to_first), matrix)),)))
        for face, to_first in zip(faces, unfolded, strict=True)
    ]
    return made, landmarks


def _turned_over(
    art: Art,
    first: int,
    cabinet: Cabinet,
    drawings: Mapping[str, Drawing],
    earlier: Sequence[PlacedArt],
    file: str,
) -> tuple[tuple[PlacedArt, ...], tuple[InputError, ...]]:
    """What is on a face already on the opposite ones, placements from `first` on, and faults."""
    faults = Faults(file)
    where = art.where
    if not isinstance(where, Mirrored):
        raise TypeError(f"{art.place} is not mirrored")
    source = _known(art, "mirror", (where.face,), cabinet, faults)
    onto = _known(art, "onto", where.onto, cabinet, faults)
    made: list[PlacedArt] = []
    if source and onto:
        made = mirrored(art, (source[0], onto), cabinet, drawings, earlier, faults)
    elif source and not where.onto:
        faults.add(art.place, "It is mirrored onto nothing.", "Add onto = [a face].")
    found = tuple(replace(each, placement=first + at) for at, each in enumerate(made, start=1))
    return found, tuple(faults.kept)


def _map(
    art: Art, drawing: Drawing, box: tuple[float, float, float, float], faults: Faults
) -> tuple[Array, tuple[Landmark, ...]]:
    """From drawing units to the frame of `box`, and the landmarks that it comes from."""
    word = "wrap" if isinstance(art.where, Wrapped) else "cast"
    if isinstance(art.put, Landmarks) and art.put.warp:
        faults.add(
            f"{art.place}, warp",
            f"A drawing that is put on by {word} can't be bent to its landmarks.",
            "Remove it, or put the drawing on each face by `on`.",
        )
    if isinstance(art.put, Anchored) and art.put.fit == "corners":
        faults.add(
            f"{art.place}, fit",
            f"A drawing that is put on by {word} can't be fitted to a face's corners.",
            'Choose another fit, or put the drawing on each face by `on` with fit = "corners".',
        )
        return NOWHERE, ()
    if isinstance(art.put, Landmarks):
        return matched(art.put, drawing, faults, f"{art.place}, landmarks")
    return anchored(art.put, drawing, box), ()


def _named(art: Art, name: str, drawing: Drawing, faults: Faults) -> bool:
    if name in drawing.elements:
        return True
    faults.unknown(art.place, name, f"element of {drawing.file}", drawing.elements)
    return False


def _known(
    art: Art, word: str, names: Iterable[str], cabinet: Cabinet, faults: Faults
) -> tuple[Face, ...]:
    found = []
    for name in names:
        face = cabinet.face(name)
        if face is None:
            known = [each.name for each in cabinet.faces]
            faults.unknown(f"{art.place}, {word}", name, "face", known)
        else:
            found.append(face)
    return tuple(found)
