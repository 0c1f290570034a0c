"""The road itself: read, settle, solve, join, draw, cut, check, plan.

Stands before the exports. `surveyed` goes as far as the findings; `planned` adds painting day,
which only files show. Neither needs the kernel or writes a file.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from mateline.cabinet.cabinet import cabinet_of
from mateline.cabinet.outlines import solved_or_refused, views_of
from mateline.checks.findings import MirrorPair, Subject, with_consequences
from mateline.checks.grouping.settlements import settled_apart
from mateline.checks.mended import faceted
from mateline.checks.run import findings_of, in_order
from mateline.definition.definition import measured_only, settled, usual_shop
from mateline.definition.schema import FILE, load
from mateline.errors import Faults, InputError
from mateline.memory import AFRESH, Memory
from mateline.paint.order import areas_of, own_order
from mateline.placed_art import Reader, given, in_folder, placed_art, refuse_untraced
from mateline.placing.letter_rows import letter_rows
from mateline.placing.placed import letterings, notes_of
from mateline.stencil.stencil import refitted
from mateline.stencils import mirror_pairs, stencils_of
from mateline.tape.quantities import limit_said
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from mateline.cabinet.cabinet import Cabinet
    from mateline.cabinet.specification import Carcase, Hardware
    from mateline.checks.findings import Finding, Settled, Settlement
    from mateline.definition.definition import Definition
    from mateline.definition.schema import DefinitionTable
    from mateline.drawing.shapes import Drawing
    from mateline.memory import Stages
    from mateline.paint.plan import Plan
    from mateline.paint.turned_sets import TurnedSet
    from mateline.placing.placed import PlacedArt
    from mateline.stencil.board import Board
    from mateline.stencil.pieces import Colours
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Outline
    from mateline.tape.sureness import View

BORDER_TOL = 0.02  # mm: how far a refitted border may leave the facets it came from
OF_TRUE_BORDERS = "border-faceted"  # the code of what is found when borders are fitted

Say = Callable[[str], None]


def silent(stage: str) -> None:
    """Hear of a stage and say nothing."""


@dataclass(frozen=True, slots=True)
class Job:
    """One cabinet, prepared: what every export is written from.

    `settled` are findings that the definition settles; they are not among `findings`.
    """

    name: str
    definition: Definition
    cabinet: Cabinet
    art: tuple[PlacedArt, ...]
    stencils: tuple[Stencil, ...]
    findings: tuple[Finding, ...]
    pairs: tuple[MirrorPair, ...]
    file: str = ""
    settled: tuple[Settled, ...] = ()

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


def measured(
    folder: Path, table: DefinitionTable | None = None, stages: Stages = AFRESH
) -> tuple[dict[str, Outline | InputError], Tape, dict[str, View]]:
    """Only the outlines of a cabinet, each or why there is none, the tape that took them, and the
    view that each is drawn in. A `table` stands for what is in the file of the definition.

    Raises InputError or InputFaultsError where the definition itself can't be read.
    """
    faults = Faults(str(folder / FILE))
    carcases, tape = measured_only(table or load(folder), faults)
    solved = solved_or_refused(carcases, tape, faults.file, stages)
    return dict(solved), tape, views_of(carcases)


def surveyed(
    folder: Path,
    say: Say = silent,
    stages: Stages | None = None,
    table: DefinitionTable | None = None,
) -> Job:
    """Everything from the definition in `folder` to the findings; `say` hears of each stage. A
    `table` stands for what is in the file of the definition.

    Raises InputError or InputFaultsError; UntracedError for drawings that photos are to become.
    """
    say("reading the definition")
    stages = AFRESH if stages is None else stages
    file = str(folder / FILE)
    definition = settled(table or load(folder), Faults(file))
    refuse_untraced(definition, folder, file)
    read = partial(in_folder, folder, stages)
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
    read = read if callable(read) else partial(given, read)
    say("solving the outlines and joining the boards")
    cabinet = stages.recall(
        _cabinet, definition.carcases, definition.hardware, definition.tape, file
    )
    say("reading the drawings")
    art, drawings = placed_art(definition, cabinet, read, file, stages)
    say(f"cutting the stencils of {len(cabinet.faces)} faces")
    pairs = mirror_pairs(definition, cabinet, art)
    try:
        stencils = stencils_of(definition, cabinet, art, pairs, stages)
    except InputError as fault:  # stencils don't know what file their board is from
        raise InputError(fault.file or file, fault.place, fault.what, fault.remedy) from fault
    say("checking")
    subject = Subject(
        stencils=stencils,
        board=definition.board,
        tape=definition.tape,
        outlines=cabinet.outlines,
        pairs=pairs,
        letterings=letterings(art, drawings, cabinet.faces, stages),
        art=art,
        notes=notes_of(definition.art, art, drawings),
        idle=definition.idle,
        rows=letter_rows(art, drawings, stages),
        ends=cabinet.ends,
    )
    if definition.passes is not None:  # a check tells all that a build would stop at
        base = definition.colours.base
        own_order(definition.passes, base, areas_of(stencils, base), file)
    now, _ = _by_when_judged(definition.settlements)
    findings, apart = settled_apart(findings_of(subject, stages), now)
    job = Job(name, definition, cabinet, art, stencils, in_order(findings), pairs, file, apart)
    if definition.done:  # as above: whether the plan has what is done shows when it is made
        planned(job)
    return job


class Surveyor:
    """Surveys a cabinet again after each change, and does again only what the change reaches.

    What it gives is the same, byte for byte, as from a first survey. For one thread at a time.
    """

    def __init__(self, memory: Memory | None = None) -> None:
        self.memory = Memory() if memory is None else memory

    def surveyed(
        self, folder: Path, say: Say = silent, table: DefinitionTable | None = None
    ) -> Job:
        """As `surveyed`."""
        self.memory.begin_turn()
        return surveyed(folder, say, self.memory, table)

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
    painting = Painting(
        shop, stated.board, stated.colours, stated.passes, job.file, job.cabinet.ends, stated.done
    )
    return plan_of(job.stencils, painting, _found(job), job.pairs)


def turned_sets(job: Job) -> tuple[TurnedSet, ...]:
    """The sets that are turned over for the other side, as the plan has them."""
    from mateline.paint.turned_sets import sets_of  # noqa: PLC0415  as in `planned`

    return sets_of(job.stencils, job.pairs, _found(job))


def as_laid_out(job: Job, sets: Sequence[TurnedSet]) -> Job:
    """The job as it is on paper: on the face that a set is turned over for, pieces have the names
    that are on that set's board. For whoever draws and tells, not for data.
    """
    if not sets:
        return job
    from mateline.paint.turned_sets import as_laid, on_board, renamed  # noqa: PLC0415  as in `planned`

    here = {each.right: each for each in sets}
    names = on_board(sets)
    return replace(
        job,
        stencils=tuple(
            as_laid(each, here[each.face.name]) if each.face.name in here else each
            for each in job.stencils
        ),
        findings=tuple(renamed(each, names) for each in job.findings),
        settled=tuple(replace(each, finding=renamed(each.finding, names)) for each in job.settled),
    )


def _found(job: Job) -> tuple[Finding, ...]:
    """All that the checks found. A piece that can't be turned over can't, settled or not."""
    settled = (each.finding for each in job.settled)
    return tuple(with_consequences((*job.findings, *settled)))


def with_true_borders(job: Job, stages: Stages | None = None, say: Say = silent) -> Job:
    """The job with every border as true lines and arcs, which files need and checks don't, and
    with a finding for borders that no lines and arcs were good enough for.

    Pieces have their exact areas then. A job that has true borders already stays as it is.
    """
    if all(each.chains for each in job.stencils):
        return job
    say("fitting lines and arcs to the borders")
    from mateline.borders.standard_radii import radius_step  # noqa: PLC0415  as it says

    recall = (AFRESH if stages is None else stages).recall
    step = radius_step(job.definition.radii)
    fitted = tuple(recall(refitted, each, BORDER_TOL, step) for each in job.stencils)
    _, then = _by_when_judged(job.definition.settlements)
    more, apart = settled_apart(faceted(fitted, job.tape), then)
    findings = in_order((*job.findings, *more))
    return replace(job, stencils=fitted, findings=findings, settled=(*job.settled, *apart))


def _by_when_judged(
    settlements: tuple[Settlement, ...],
) -> tuple[tuple[Settlement, ...], tuple[Settlement, ...]]:
    """Those of what a survey finds, and those of what only shows with true borders."""
    then = tuple(each for each in settlements if each.code == OF_TRUE_BORDERS)
    return tuple(each for each in settlements if each not in then), then


def _cabinet(
    carcases: tuple[Carcase, ...], hardware: tuple[Hardware, ...], tape: Tape, file: str
) -> Cabinet:
    faults = Faults(
        file,
        said=lambda length: printed_exact(length, tape.unit),
        limit=lambda length: limit_said(length, tape.unit),
    )
    return cabinet_of(carcases, hardware, tape, faults)
