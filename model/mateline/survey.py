"""The road itself: read, solve, join, draw, cut, check, plan.

Stands before the exports. `surveyed` goes as far as the findings; `planned` adds painting day,
which only files show. Neither needs the kernel or writes a file.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from mateline.cabinet.cabinet import cabinet_of, reflection
from mateline.checks.findings import MirrorPair, Subject
from mateline.checks.run import findings_of
from mateline.curves import FACET
from mateline.definition.lengths import Ruler
from mateline.definition.outlines import outlines_of
from mateline.definition.schema import FILE, load
from mateline.drawing.reader import read_drawing
from mateline.errors import InputError
from mateline.paint.order import areas_of, refuse_order
from mateline.paint.shop import shop_of
from mateline.placing.place import letterings, placed
from mateline.stencil.board import board_of
from mateline.stencil.pieces import Colours
from mateline.stencil.stencil import refitted, stencil_of
from mateline.stencil.tacks.mirrored import OppositeSide
from mateline.stencil.tacks.underneath import beneath_turned

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from mateline.cabinet.cabinet import Cabinet
    from mateline.checks.findings import Finding
    from mateline.definition.schema import Definition, Palette
    from mateline.drawing.shapes import Drawing, Shape
    from mateline.paint.plan import Plan
    from mateline.placing.place import PlacedArt
    from mateline.stencil.board import Board
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline

ENLARGED = 1.25  # times: drawings that are put on larger are read again with finer facets
BORDER_TOL = 0.02  # mm: how far a refitted border may leave the facets it came from

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Job:
    """One cabinet, prepared: what every export is written from."""

    name: str
    definition: Definition
    tape: Tape
    board: Board
    colours: Colours
    cabinet: Cabinet
    art: tuple[PlacedArt, ...]
    stencils: tuple[Stencil, ...]
    findings: tuple[Finding, ...]
    pairs: tuple[MirrorPair, ...]


def measured(folder: Path) -> tuple[dict[str, Outline], Tape]:
    """Only the outlines of a cabinet, and the tape that took them.

    Raises InputError or InputFaultsError.
    """
    ruler = Ruler(definition := load(folder), _file(folder))
    return outlines_of(definition, ruler), ruler.tape


def surveyed(folder: Path, say: Say = lambda _: None) -> Job:
    """Everything from the definition in `folder` to the findings; `say` hears of each stage.

    Raises InputError or InputFaultsError.
    """
    say("reading the definition")
    definition = load(folder)
    ruler = Ruler(definition, _file(folder))
    colours = _colours(definition.palette, ruler)
    board = board_of(definition.stencil, ruler)
    ruler.settle()
    say("solving the outlines and joining the boards")
    cabinet = cabinet_of(definition, ruler)
    say("reading the drawings")
    names = dict.fromkeys(art.drawing for art in definition.art if art.drawing is not None)
    drawings = _drawings(dict.fromkeys(names, FACET), folder, colours, ruler)
    art = placed(definition.art, cabinet, drawings, ruler)
    ruler.settle()
    if finer := _too_coarse(art):
        drawings |= _drawings(finer, folder, colours, ruler)
        art = placed(definition.art, cabinet, drawings, ruler)
    say(f"cutting the stencils of {len(cabinet.faces)} faces")
    pairs = _pairs(definition, cabinet, art)
    stencils = _cut(cabinet, art, colours, board, pairs)
    say("checking")
    subject = Subject(
        stencils=stencils,
        board=board,
        tape=ruler.tape,
        outlines=cabinet.outlines,
        pairs=pairs,
        letterings=letterings(art, drawings, cabinet.faces),
        art=art,
    )
    _refuse_painting(definition, stencils, _file(folder))
    return Job(
        name=folder.resolve().name,
        definition=definition,
        tape=ruler.tape,
        board=board,
        colours=colours,
        cabinet=cabinet,
        art=art,
        stencils=stencils,
        findings=findings_of(subject),
        pairs=pairs,
    )


def planned(job: Job) -> Plan:
    """The plan for painting day. What could be wrong with its input `surveyed` has refused."""
    from mateline.paint.plan import plan_of  # noqa: PLC0415  checks don't show it

    return plan_of(job.stencils, job.definition, job.board, job.findings, job.pairs)


def with_true_borders(job: Job) -> Job:
    """The job with every border as true lines and arcs, which files need and checks don't."""
    from mateline.borders.standard_radii import radius_step  # noqa: PLC0415  as it says

    step = radius_step(job.definition.stencil.radii)
    return replace(job, stencils=tuple(refitted(each, BORDER_TOL, step) for each in job.stencils))


def _file(folder: Path) -> str:
    return str(folder / FILE)


def _colours(palette: Palette, ruler: Ruler) -> Colours:
    if palette.base not in palette.colours:
        ruler.unknown("palette, base", palette.base, "colour", palette.colours)
    for name in palette.passes or ():
        if name not in palette.colours:
            ruler.unknown("palette, passes", name, "colour", palette.colours)
    for word in ("paint", "letter"):
        seen: dict[str, str] = {}
        for name, colour in palette.colours.items():
            value = getattr(colour, word).lower()
            if value in seen:
                ruler.fault(
                    f"palette, colours, {name}",
                    f"Its {word} is that of {seen[value]} too.",
                    f"Give each colour a {word} of its own.",
                )
            seen[value] = name
    return Colours(
        paints={name: colour.paint.lower() for name, colour in palette.colours.items()},
        letters={name: colour.letter for name, colour in palette.colours.items()},
        base=palette.base,
    )


def _drawings(
    deviations: Mapping[str, float], folder: Path, colours: Colours, ruler: Ruler
) -> dict[str, Drawing]:
    """The drawings of these names, their colours by the palette's names.

    Facets leave their curves by the deviation beside each name, mm of the drawing.
    """
    found: dict[str, Drawing] = {}
    for name, deviation in deviations.items():
        try:
            drawing = read_drawing(folder / name, root=folder, deviation=deviation)
        except InputError as fault:
            ruler.faults.append(fault)
            continue
        found[name] = _named_colours(drawing, colours, ruler)
    return found


def _too_coarse(art: Sequence[PlacedArt]) -> dict[str, float]:
    """The deviation to read drawings with that are enlarged so much that facets would be cut."""
    most: dict[str, float] = {}
    for each in art:
        most[each.drawing] = max(most.get(each.drawing, 0.0), each.enlarged)
    return {name: FACET / times for name, times in most.items() if times > ENLARGED}


def _named_colours(drawing: Drawing, colours: Colours, ruler: Ruler) -> Drawing:
    names = {paint: name for name, paint in colours.paints.items()}
    shapes: list[Shape] = []
    unknown: set[str] = set()
    for shape in drawing.shapes:
        if shape.colour not in names and shape.colour not in unknown:
            unknown.add(shape.colour)
            near = min(names, key=lambda paint: _apart(paint, shape.colour))
            ruler.faults.append(
                InputError(
                    drawing.file,
                    shape.element,
                    f"Its colour {shape.colour} is not in the palette.",
                    f"The nearest is {names[near]}, {near}: change one of the two, or add it.",
                )
            )
        shapes.append(replace(shape, colour=names.get(shape.colour, colours.base)))
    return replace(drawing, shapes=tuple(shapes))


def _apart(one: str, two: str) -> int:
    channels = (slice(1, 3), slice(3, 5), slice(5, 7))
    return sum((int(one[part], 16) - int(two[part], 16)) ** 2 for part in channels)


def _cut(
    cabinet: Cabinet,
    art: tuple[PlacedArt, ...],
    colours: Colours,
    board: Board,
    pairs: tuple[MirrorPair, ...],
) -> tuple[Stencil, ...]:
    """The stencils in the order of the faces; a right side takes over what it can of its left."""
    by_right = {pair.right: pair for pair in pairs if pair.shared}
    by_left = {pair.left: pair for pair in pairs if pair.shared}
    faces = {face.name: face for face in cabinet.faces}
    found: dict[str, Stencil] = {}
    for face in cabinet.faces:
        pair = by_right.get(face.name)
        left = None if pair is None else found.get(pair.left)
        like = (
            None
            if pair is None or left is None
            else OppositeSide(left.pieces, pair.matrix, left.grid)
        )
        over = by_left.get(face.name)
        beyond = () if over is None else beneath_turned(faces[over.right], over.matrix)
        shapes = _shapes_on(face.name, art)
        found[face.name] = stencil_of(face, shapes, colours, board, like, beyond)
    return tuple(found.values())


def _refuse_painting(definition: Definition, stencils: tuple[Stencil, ...], file: str) -> None:
    """Raise what the plan would: a check tells all that a build would stop at."""
    shop_of(definition, file)
    if definition.palette.passes is not None:
        refuse_order(definition.palette, areas_of(stencils, definition.palette.base), file)


def _shapes_on(face: str, art: tuple[PlacedArt, ...]) -> list[Shape]:
    return [shape for each in art if each.face == face for shape in each.shapes]


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
