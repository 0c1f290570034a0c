"""The road itself: read, settle, solve, join, draw, cut, check, plan.

Stands before the exports. `surveyed` goes as far as the findings; `planned` adds painting day,
which only files show. Neither needs the kernel or writes a file.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from hashlib import file_digest
from typing import TYPE_CHECKING, Any

import shapely

from mateline.cabinet.cabinet import cabinet_of, reflection
from mateline.cabinet.outlines import outlines_of
from mateline.checks.findings import MirrorPair, Subject
from mateline.checks.run import findings_of
from mateline.curves import FACET
from mateline.definition.definition import measured_only, settled, usual_shop
from mateline.definition.schema import FILE, load
from mateline.drawing.reader import read_drawing
from mateline.errors import Faults, InputError
from mateline.memory import AFRESH, Memory
from mateline.paint.order import areas_of, own_order
from mateline.placing.place import placed
from mateline.placing.placed import letterings
from mateline.stencil.stencil import refitted, stencil_of
from mateline.stencil.tacks.mirrored import OppositeSide
from mateline.stencil.tacks.underneath import beneath_turned
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from mateline.cabinet.cabinet import Cabinet
    from mateline.cabinet.specification import Carcase, Hardware
    from mateline.checks.findings import Finding
    from mateline.definition.definition import Definition
    from mateline.drawing.shapes import Drawing, Shape
    from mateline.memory import Stages
    from mateline.paint.plan import Plan
    from mateline.placing.placed import PlacedArt
    from mateline.stencil.board import Board
    from mateline.stencil.pieces import Colours
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline

ENLARGED = 1.25  # times: drawings that are put on larger are read again with finer facets
BORDER_TOL = 0.02  # mm: how far a refitted border may leave the facets it came from

Say = Callable[[str], None]
Reader = Callable[[str, float], "Drawing"]  # by name, with facets within a deviation in mm


def silent(stage: str) -> None:
    """Hear of a stage and say nothing."""


@dataclass(frozen=True, slots=True)
class Job:
    """One cabinet, prepared: what every export is written from."""

    name: str
    definition: Definition
    cabinet: Cabinet
    art: tuple[PlacedArt, ...]
    stencils: tuple[Stencil, ...]
    findings: tuple[Finding, ...]
    pairs: tuple[MirrorPair, ...]
    file: str = ""

    @property
    def tape(self) -> Tape:
        """The tape that took the readings, whose unit lengths are said in."""
        return self.definition.tape

    @property
    def board(self) -> Board:
        """The stencil board."""
        return self.definition.board

    @property
    def colours(self) -> Colours:
        """The palette."""
        return self.definition.colours


def measured(folder: Path) -> tuple[dict[str, Outline], Tape]:
    """Only the outlines of a cabinet, and the tape that took them.

    Raises InputError or InputFaultsError.
    """
    faults = Faults(str(folder / FILE))
    carcases, tape = measured_only(load(folder), faults)
    outlines = outlines_of(carcases, tape, faults)
    faults.settle()
    return outlines, tape


def surveyed(folder: Path, say: Say = silent, stages: Stages | None = None) -> Job:
    """Everything from the definition in `folder` to the findings; `say` hears of each stage.

    Raises InputError or InputFaultsError.
    """
    say("reading the definition")
    stages = AFRESH if stages is None else stages
    file = str(folder / FILE)
    definition = settled(load(folder), Faults(file))
    read = partial(_read, folder, stages)
    return survey_of(definition, read, folder.resolve().name, file=file, say=say, stages=stages)


def survey_of(
    definition: Definition,
    read: Reader | Mapping[str, Drawing],
    name: str = "cabinet",
    *,
    file: str = "",
    say: Say = silent,
    stages: Stages | None = None,
) -> Job:
    """Everything from a settled definition to the findings, for the cabinet called `name`.

    `read` has the drawings by name, or gives one with facets within a deviation, mm; `file` is what
    messages call the definition. Raises InputError or InputFaultsError.
    """
    stages = AFRESH if stages is None else stages
    read = read if callable(read) else partial(_given, read)
    say("solving the outlines and joining the boards")
    cabinet = stages.recall(
        _cabinet, definition.carcases, definition.hardware, definition.tape, file
    )
    say("reading the drawings")
    art, drawings = _placed(definition, cabinet, read, file, stages)
    say(f"cutting the stencils of {len(cabinet.faces)} faces")
    pairs = _pairs(definition, cabinet, art)
    stencils = _cut(definition, cabinet, art, pairs, stages)
    say("checking")
    subject = Subject(
        stencils=stencils,
        board=definition.board,
        tape=definition.tape,
        outlines=cabinet.outlines,
        pairs=pairs,
        letterings=letterings(art, drawings, cabinet.faces, stages),
        art=art,
    )
    if definition.passes is not None:  # a check tells all that a build would stop at
        base = definition.colours.base
        own_order(definition.passes, base, areas_of(stencils, base), file)
    findings = findings_of(subject, stages)
    return Job(name, definition, cabinet, art, stencils, findings, pairs, file)


class Surveyor:
    """Surveys a cabinet again after each change, and does again only what the change reaches.

    What it gives is the same, byte for byte, as from a first survey. For one thread at a time.
    """

    def __init__(self, memory: Memory | None = None) -> None:
        self.memory = Memory() if memory is None else memory

    def surveyed(self, folder: Path, say: Say = silent) -> Job:
        """As `surveyed`."""
        self.memory.begin_turn()
        return surveyed(folder, say, self.memory)

    def survey_of(
        self,
        definition: Definition,
        read: Reader | Mapping[str, Drawing],
        name: str = "cabinet",
    ) -> Job:
        """As `survey_of`."""
        self.memory.begin_turn()
        return survey_of(definition, read, name, stages=self.memory)

    def with_true_borders(self, job: Job) -> Job:
        """As `with_true_borders`, in the same turn as the job."""
        return with_true_borders(job, self.memory)


def planned(job: Job) -> Plan:
    """The plan for painting day. What could be wrong with its input `surveyed` has refused."""
    from mateline.paint.plan import Painting, plan_of  # noqa: PLC0415  checks don't show it

    stated = job.definition
    shop = stated.shop or usual_shop(stated.colours, stated.tape)
    painting = Painting(shop, stated.board, stated.colours, stated.passes, job.file)
    return plan_of(job.stencils, painting, job.findings, job.pairs)


def with_true_borders(job: Job, stages: Stages | None = None) -> Job:
    """The job with every border as true lines and arcs, which files need and checks don't."""
    from mateline.borders.standard_radii import radius_step  # noqa: PLC0415  as it says

    recall = (AFRESH if stages is None else stages).recall
    step = radius_step(job.definition.radii)
    fitted = tuple(recall(refitted, each, BORDER_TOL, step) for each in job.stencils)
    return replace(job, stencils=fitted)


def _cabinet(
    carcases: tuple[Carcase, ...], hardware: tuple[Hardware, ...], tape: Tape, file: str
) -> Cabinet:
    faults = Faults(file, said=lambda length: printed_exact(length, tape.unit))
    return cabinet_of(carcases, hardware, tape, faults)


def _given(drawings: Mapping[str, Drawing], name: str, deviation: float) -> Drawing:  # noqa: ARG001
    """A drawing that is there already, whatever its facets."""
    if name not in drawings:
        known = ", ".join(sorted(drawings)) or "none"
        raise InputError(name, "", "There is no such drawing.", f"Given are: {known}.")
    return drawings[name]


def _read(folder: Path, stages: Stages, name: str, deviation: float) -> Drawing:
    """A drawing of the folder, read again where its file holds something else."""
    path = folder / name
    inside = path.resolve().is_relative_to(folder.resolve())
    while stages.remembers and inside and path.is_file():
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


def _placed(
    definition: Definition, cabinet: Cabinet, read: Reader, file: str, stages: Stages
) -> tuple[tuple[PlacedArt, ...], dict[str, Drawing]]:
    """All art on all faces, and the drawings it comes from; their faults are told together."""
    faults = Faults(file)
    names = dict.fromkeys(art.drawing for art in definition.art if art.drawing)
    drawings = _drawings(dict.fromkeys(names, FACET), read, definition.colours, stages, faults)
    art = placed(definition.art, cabinet, drawings, faults, stages)
    faults.settle()
    if finer := _too_coarse(art):
        drawings |= _drawings(finer, read, definition.colours, stages, faults)
        art = placed(definition.art, cabinet, drawings, faults, stages)
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


def _cut(
    definition: Definition,
    cabinet: Cabinet,
    art: tuple[PlacedArt, ...],
    pairs: tuple[MirrorPair, ...],
    stages: Stages,
) -> tuple[Stencil, ...]:
    """The stencils in the order of the faces; a right side takes over what it can of its left."""
    faces = {face.name: face for face in cabinet.faces}
    sides = {pair.right: pair for pair in pairs if pair.shared and pair.left in faces}
    beyond = {
        pair.left: beneath_turned(faces[pair.right], pair.matrix)
        for pair in pairs
        if pair.shared and pair.right in faces
    }
    found: dict[str, Stencil] = {}

    def call(name: str, like: OppositeSide | None) -> tuple[Any, ...]:
        shapes = tuple(shape for each in art if each.face == name for shape in each.shapes)
        colours, board = definition.colours, definition.board
        return faces[name], shapes, colours, board, like, beyond.get(name, ())

    # By what there is to cut: a crew begins at both ends, and each hand with a long one (see Crew).
    first = _long_ends(
        sorted(set(faces) - set(sides), key=lambda name: (-_corners(name, art), name))
    )
    calls = [call(name, None) for name in first]
    found |= zip(first, stages.recall_each(stencil_of, calls), strict=True)
    lefts = {name: found[pair.left] for name, pair in sides.items()}
    calls = [
        call(name, OppositeSide(left.pieces, sides[name].matrix, left.grid))
        for name, left in lefts.items()
    ]
    found |= zip(lefts, stages.recall_each(stencil_of, calls), strict=True)
    return tuple(found[name] for name in faces)


def _long_ends(names: list[str]) -> list[str]:
    """Names that come from the longest to the shortest, the longest at both ends."""
    return [*names[0::2], *reversed(names[1::2])]


def _corners(face: str, art: tuple[PlacedArt, ...]) -> int:
    """How many corners the shapes on a face have: about how long it takes to cut."""
    areas = [shape.area for each in art if each.face == face for shape in each.shapes]
    return int(shapely.get_num_coordinates(areas).sum()) if areas else 0


def _pairs(
    definition: Definition, cabinet: Cabinet, art: tuple[PlacedArt, ...]
) -> tuple[MirrorPair, ...]:
    pairs = []
    for name in cabinet.middles:
        matrix = reflection(cabinet, name)
        if matrix is not None:
            left, right = f"{name}-left", f"{name}-right"
            turned = any(each.mirrored and each.face in {left, right} for each in art)
            pairs.append(MirrorPair(left, right, matrix, definition.turned_over and turned))
    return tuple(pairs)
