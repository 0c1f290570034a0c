"""The art of a cabinet: its drawings read, their colours called by the palette's names, and placed.

Stands after definition, before survey. Drawings that are enlarged on a face are read again, so that
their curves are as fine as all others.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from hashlib import file_digest
from typing import TYPE_CHECKING

from mateline.curves import FACET
from mateline.drawing.file import located
from mateline.drawing.reader import read_drawing
from mateline.errors import Faults, InputError
from mateline.placing.art import OnFaces
from mateline.placing.place import placed

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from mateline.cabinet.cabinet import Cabinet
    from mateline.definition.definition import Definition
    from mateline.drawing.shapes import Drawing, Shape
    from mateline.memory import Stages
    from mateline.placing.placed import PlacedArt
    from mateline.stencil.pieces import Colours

ENLARGED = 1.25  # times: drawings that are put on larger are read again with finer facets

Reader = Callable[[str, float], "Drawing"]  # by name, with facets within a deviation in mm


def given(drawings: Mapping[str, Drawing], name: str, deviation: float) -> Drawing:  # noqa: ARG001
    """A drawing that is there already, whatever its facets."""
    if name not in drawings:
        known = ", ".join(sorted(drawings)) or "none"
        raise InputError(name, "", "There is no such drawing.", f"Given are: {known}.")
    return drawings[name]


def in_folder(folder: Path, stages: Stages, name: str, deviation: float) -> Drawing:
    """A drawing of the folder, read again where its file holds something else."""
    path = folder / name
    if stages.remembers:
        located(path, root=folder)
    while stages.remembers and path.is_file():
        content = _digest(path)
        drawing = stages.recall(_parsed, folder, name, deviation, content)
        if _digest(path) == content:  # nobody saved it while it was read
            return drawing
    return read_drawing(path, root=folder, deviation=deviation)


def _digest(path: Path) -> bytes:
    with path.open("rb") as file:
        return file_digest(file, "blake2b").digest()


def _parsed(folder: Path, name: str, deviation: float, content: bytes) -> Drawing:  # noqa: ARG001
    """The drawing; `content` stands for what is in the file, and makes the key."""
    return read_drawing(folder / name, root=folder, deviation=deviation)


class UntracedError(InputError):
    """A drawing that is traced from photos of `faces`, and is not there yet."""

    def __init__(
        self, file: str, place: str, what: str, remedy: str, faces: tuple[str, ...] = ()
    ) -> None:
        super().__init__(file, place, what, remedy)
        self.faces = faces


def refuse_untraced(definition: Definition, folder: Path, file: str) -> None:
    """Raise UntracedError where art names drawings that are still to be traced from photos."""
    shown = {photo.face for photo in definition.photos}
    wanted = {
        art.drawing: art.where.faces[0]
        for art in definition.art
        if isinstance(art.where, OnFaces) and art.where.faces and art.where.faces[0] in shown
    }
    missing = {name: face for name, face in wanted.items() if not (folder / name).exists()}
    if missing:
        name, face = next(iter(missing.items()))
        raise UntracedError(
            file, name, f"It is not there yet: it is traced from photos of {face}.",
            f"Run `mateline trace {folder} {face}`, or build the cabinet.", (*missing.values(),),
        )  # fmt: skip


def placed_art(
    definition: Definition, cabinet: Cabinet, read: Reader, file: str, stages: Stages
) -> tuple[tuple[PlacedArt, ...], dict[str, Drawing]]:
    """All art on all faces, and the drawings it comes from; their faults are told together."""
    faults = Faults(file)
    names = dict.fromkeys(art.drawing for art in definition.art if art.drawing)
    drawings = _drawings(dict.fromkeys(names, FACET), read, definition.colours, stages, faults)
    art = placed(definition.art, cabinet, drawings, faults, stages, definition.tape.unit)
    faults.settle()
    if finer := _too_coarse(art):
        drawings |= _drawings(finer, read, definition.colours, stages, faults)
        art = placed(definition.art, cabinet, drawings, faults, stages, definition.tape.unit)
    return art, drawings


def _drawings(
    deviations: Mapping[str, float],
    read: Reader,
    colours: Colours,
    stages: Stages,
    faults: Faults,
) -> dict[str, Drawing]:
    """The drawings of these names, their colours by the palette's names.

    Facets leave their curves by the deviation beside each name, mm of the drawing.
    """
    found: dict[str, Drawing] = {}
    for name, deviation in deviations.items():
        try:
            drawing = read(name, deviation)
        except InputError as fault:
            faults.kept.append(fault)
            continue
        found[name], wrong = stages.recall(_named_colours, drawing, colours)
        faults.kept.extend(wrong)
    return found


def _too_coarse(art: Sequence[PlacedArt]) -> dict[str, float]:
    """The deviation to read drawings with that are enlarged so much that facets would be cut."""
    most: dict[str, float] = {}
    for each in art:
        most[each.drawing] = max(most.get(each.drawing, 0.0), each.enlarged)
    return {name: FACET / times for name, times in most.items() if times > ENLARGED}


def _named_colours(drawing: Drawing, colours: Colours) -> tuple[Drawing, tuple[InputError, ...]]:
    """The drawing in the palette's names, and a fault for each colour that has none."""
    names = {paint: name for name, paint in colours.paints.items()}
    shapes: list[Shape] = []
    unknown: dict[str, InputError] = {}
    for shape in drawing.shapes:
        if shape.colour in colours.paints:  # drawn in the palette's names, as Python code may
            shapes.append(shape)
            continue
        if shape.colour not in names and shape.colour not in unknown:
            near = min(names, key=lambda paint: _apart(paint, shape.colour))
            unknown[shape.colour] = InputError(
                drawing.file,
                shape.element,
                f"Its colour {shape.colour} is not in the palette.",
                f"The nearest is {names[near]}, {near}: change one of the two, or add it.",
            )
        shapes.append(replace(shape, colour=names.get(shape.colour, colours.base)))
    return replace(drawing, shapes=tuple(shapes)), tuple(unknown.values())


def _apart(one: str, two: str) -> int:
    channels = (slice(1, 3), slice(3, 5), slice(5, 7))
    return sum((int(one[part], 16) - int(two[part], 16)) ** 2 for part in channels)
