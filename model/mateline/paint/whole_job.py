"""The whole job on one page: what to cut, what to buy, what to do, in what order.

The last of paint, after plan. Plain content in words; the book's first page and the wall's set it,
and say the files beside it. Figures without a source say so.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.curves import length
from mateline.paint.days import DAY, is_off
from mateline.paint.quantity import amount
from mateline.stencil.sheets.guillotine import Part, packed
from mateline.tape.quantities import counted, run_said, whole_area_said
from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from mateline.paint.plan import Plan
    from mateline.paint.turned_sets import TurnedSet
    from mateline.stencil.board import Board, Tack
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

A_BLADE = 10_000.0  # mm of cut that a blade stays sharp for; common practice, no source
PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Fact:
    """A figure of the job, or a thing to buy: what it is and how much, in words."""

    what: str
    said: str


@dataclass(frozen=True, slots=True)
class BoardSheet:
    """A whole board as it is bought, by its number, and what is cut from it."""

    number: int
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CutFace:
    """A face with a stencil. `sheets` are the names of its sheets where it takes several.

    `note` says how its set is turned over, or what alone is cut of a face that another's set does;
    "" where neither. `pieces` counts those that are cut: of a set that is cut in full `whole`.
    """

    face: str
    pieces: int
    tacks: int
    sheets: tuple[str, ...]
    note: str
    whole: bool


@dataclass(frozen=True, slots=True)
class UncutFace:
    """A face that needs no stencil of its own, and why; `mask` is what is taped over on it."""

    face: str
    why: str
    mask: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WholeJob:
    """All of it. `sets` says whether one set or two are cut for both sides and how to change that;
    "" where no side mirrors another.
    """

    numbers: tuple[Fact, ...]
    sets: str
    boards: tuple[BoardSheet, ...]
    cut: tuple[CutFace, ...]
    uncut: tuple[UncutFace, ...]
    steps: tuple[str, ...]
    buy: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Stated:
    """What the page needs of the definition: `twice` says that two sets are cut though one, turned
    over, could do; `stops` counts findings that say stop.
    """

    board: Board
    tape: Tape
    twice: bool = False
    stops: int = 0


def whole_job(stencils: Sequence[Stencil], plan: Plan, stated: Stated) -> WholeJob:
    """The content of the page. `stencils` as they are laid out, with the names on the board."""
    boards = tuple(_boards(stencils, plan.sets, stated))
    return WholeJob(
        numbers=tuple(_numbers(stencils, plan, len(boards))),
        sets=_sets(plan, stated),
        boards=boards,
        cut=tuple(_cut(stencils, plan.sets)),
        uncut=tuple(_uncut(stencils, plan.sets)),
        steps=tuple(_steps(stencils, plan, stated)),
        buy=tuple(_buy(stencils, plan, stated, len(boards))),
    )


def _cut_stencils(stencils: Sequence[Stencil], sets: Sequence[TurnedSet]) -> list[Stencil]:
    """The faces whose stencils are cut in full."""
    rights = {each.right for each in sets}
    return [each for each in stencils if each.has_board and each.face.name not in rights]


def _numbers(stencils: Sequence[Stencil], plan: Plan, boards: int) -> Iterator[Fact]:
    names = {piece.id for stencil in stencils for piece in stencil.pieces}
    bare = sum(not stencil.has_board for stencil in stencils)
    own = sum(len(each.own) for each in plan.sets)
    cut = len(_cut_stencils(stencils, plan.sets))
    without = f"; {counted(bare, 'face')} with base coat only" if bare else ""
    yield Fact("Faces to paint", f"{len(stencils)}{without}")
    yield Fact("Stencils to cut", f"{cut}" + (f", and {counted(own, 'piece')} extra" * bool(own)))
    yield Fact("Pieces of board", str(len(names)))
    counts = {name: len(held) for name, held in _tacks(stencils).items()}
    laid, again = _taped(plan, counts)
    if names:
        yield Fact(
            "Tape tacks", f"{laid:.0f} when all is laid, {again:.0f} again as pieces go back"
        )
    runs = len(plan.runs)
    yield Fact("Passes", f"base coat and {runs}" + _twice(plan))
    days = f"{plan.days} from first to last at the earliest"
    yield Fact("Working days", f"{_days_worked(plan)} ({days})")
    yield Fact("Whole boards", str(boards))


def _twice(plan: Plan) -> str:
    counts = Counter(run.round for run in plan.runs)
    if len(counts) < 2:
        return ""
    return f": {counts[1]}, then {counts[2]} with sets turned over"


def _days_worked(plan: Plan) -> int:
    days = {
        day
        for step in plan.steps
        if step.kind != "dry"
        for day in range(step.begins // DAY, (max(step.ends - 1, step.begins)) // DAY + 1)
    }
    return sum(not is_off(plan.shop, day) for day in days)


def _sets(plan: Plan, stated: Stated) -> str:
    if stated.twice:
        return (
            "Two sets: each side has its own. One set, turned over, would do both: take "
            "“turned_over = false” out of cabinet.toml."
        )
    if plan.whole is None:
        return ""
    pairs = "; ".join(f"the set of {each.left} does {each.right} too" for each in plan.sets)
    one, two = plan.whole.one_set, plan.whole.two_sets
    once, twice = (whole_area_said(way.board, stated.tape.unit) for way in (one, two))
    return (
        f"One set, turned over: {pairs}. It is laid on the left first, then on the right by its "
        f"back. That takes {one.days} days and {once} of board for these "
        f"sides; two sets take {two.days} days and {twice}. For two sets write "
        "“turned_over = false” into cabinet.toml, above its first [table]."
    )


def _boards(
    stencils: Sequence[Stencil], sets: Sequence[TurnedSet], stated: Stated
) -> Iterator[BoardSheet]:
    parts: list[Part] = []
    for stencil in _cut_stencils(stencils, sets):
        sheets = stencil.grid.sheets
        for sheet in sheets:
            left, low, right, high = sheet.bounds
            name = f"{sheet.name} of " * (len(sheets) > 1) + stencil.face.name
            parts.append(Part(name, right - left, high - low))
    for stencil in stencils:
        for piece in stencil.pieces:
            left, low, right, high = piece.area.bounds
            if piece.own and _fits(right - left, high - low, stated.board.sheet):
                parts.append(Part(piece.id, right - left, high - low))
    laid = packed(parts, stated.board.sheet)
    for number in range(1 + max((each.sheet for each in laid), default=-1)):
        here = [each for each in laid if each.sheet == number]
        yield BoardSheet(
            number + 1,
            tuple(_part(each.part, stated.tape, turned=each.turned) for each in here),
        )


def _fits(wide: float, high: float, sheet: tuple[float, float]) -> bool:
    return max(wide, high) <= max(sheet) and min(wide, high) <= min(sheet)


def _part(part: Part, tape: Tape, *, turned: bool) -> str:
    size = f"{printed(part.wide, tape)} x {printed(part.high, tape)}"
    return f"{part.name}, {size}{', turned by a quarter' * turned}"


def _cut(stencils: Sequence[Stencil], sets: Sequence[TurnedSet]) -> Iterator[CutFace]:
    lefts = {each.left: each for each in sets}
    rights = {each.right: each for each in sets}
    for stencil in stencils:
        name = stencil.face.name
        sheets = tuple(sheet.name for sheet in stencil.grid.sheets)
        several = sheets if len(sheets) > 1 else ()
        if name in rights:
            own = [piece for piece in stencil.pieces if piece.own]
            if own:
                ids = ", ".join(piece.id for piece in own)
                note = f"only {ids}: the set of {rights[name].left}, turned over, does the rest"
                tacks = sum(len(piece.tacks) for piece in own)
                yield CutFace(name, len(own), tacks, (), note, whole=False)
        elif stencil.has_board:
            note = f"also for {lefts[name].right}, turned over" if name in lefts else ""
            tacks = sum(len(piece.tacks) for piece in stencil.pieces)
            yield CutFace(name, len(stencil.pieces), tacks, several, note, whole=True)


def _uncut(stencils: Sequence[Stencil], sets: Sequence[TurnedSet]) -> Iterator[UncutFace]:
    rights = {each.right: each for each in sets if not each.own}
    for stencil in stencils:
        name = stencil.face.name
        if name in rights:
            why = f"the set of {rights[name].left}, turned over, does it"
            yield UncutFace(name, why, ())
        elif not stencil.has_board:
            yield UncutFace(name, f"{stencil.base} only: sprayed whole", _stays(stencil))


def _stays(stencil: Stencil) -> tuple[str, ...]:
    return tuple(hole.name for hole in stencil.face.holes if hole.stays)


def _steps(stencils: Sequence[Stencil], plan: Plan, stated: Stated) -> Iterator[str]:
    if stated.stops:
        say = "finding says" if stated.stops == 1 else "findings say"
        yield f"Mend what stops the work: {stated.stops} {say} stop."
    yield "Buy what is listed above."
    yield from _cutting(stencils, plan.sets)
    yield from _masking(stencils)
    base = plan.passes[0]
    coats = counted(plan.shop.coatings[base.colour].coats, "coat")
    yield f"Spray the base coat, {base.colour}, on all faces: {coats}. Let it dry."
    bare = [each.face.name for each in stencils if not each.has_board]
    if bare and plan.runs:
        yield f"Cover what is done with paper, against spray: {', '.join(bare)}."
    for number in range(1, len(plan.rounds) + 1):
        yield from _round(number, plan)
    if any(_stays(each) for each in stencils):
        yield "Take the tape off what stays."


def _cutting(stencils: Sequence[Stencil], sets: Sequence[TurnedSet]) -> Iterator[str]:
    cut = ", ".join(each.face.name for each in _cut_stencils(stencils, sets))
    if cut:
        yield f"Cut the stencils: {cut}. Measure a bar, or a test cut, before the whole board."
    for each in sets:
        if each.own:
            yield f"Cut from board of its own for {each.right}: {', '.join(each.own)}."
    for each in sets:
        yield f"Letter the backs of the pieces of {each.left} with the names on their fronts."


def _round(number: int, plan: Plan) -> Iterator[str]:
    """What is done from laying all board to taking it off."""
    here = plan.rounds[number - 1]
    on = ", ".join(here.faces)
    if here.turned:
        sets = "the set" if len(here.turned) == 1 else "the sets"
        yield f"Turn {sets} of {' and '.join(here.turned)} over, lay and tape on {on}."
    else:
        yield f"Lay and tape the board on {on}."
    for run in (each for each in plan.runs if each.round == number):
        faces = ", ".join(there.face for there in run.each.faces)
        turned = ", turned over" * bool(here.turned)
        yield f"Pass {run.each.order}{turned}: {run.each.colour}, on {faces}."
    yield f"Take all board off {on}."


def _masking(stencils: Sequence[Stencil]) -> Iterator[str]:
    """What is covered with tape and trimmed along its edge: no board is cut for it."""
    kept = [(each.face.name, _stays(each)) for each in stencils if _stays(each)]
    if kept:
        said = "; ".join(f"{name}: {_listed(names)}" for name, names in kept)
        yield (
            "Tape over the hardware that stays, trim the tape along its edge, and leave it on "
            f"until the end. {said}."
        )


def _listed(names: Sequence[str]) -> str:
    return ", ".join(f"{name} ({count})" * (count > 1) or name
                     for name, count in Counter(names).items())  # fmt: skip


def _buy(stencils: Sequence[Stencil], plan: Plan, stated: Stated, boards: int) -> Iterator[Fact]:
    board, tape = stated.board, stated.tape
    if boards:
        size = " x ".join(printed(side, tape) for side in board.sheet)
        yield Fact("Stencil board", f"{counted(boards, 'sheet')} of {size}")
        yield from _tape(stencils, plan, stated)
    for need in plan.needs:
        yield Fact(f"Paint: {need.label} ({need.colour})", amount(need, tape.unit))
    cut = sum(length(chain) for each in _cut_stencils(stencils, plan.sets) for chain in each.chains)
    if cut:
        blades = math.ceil(cut / A_BLADE)
        every = f"one for {run_said(A_BLADE, tape.unit)} of cut, {run_said(cut, tape.unit)} in all"
        yield Fact("Knife blades", f"{blades}: {every} ({PRACTICE})")
    bare = sum(sum(each.sizes) for each in stencils if not each.has_board)
    if bare and plan.runs:
        yield Fact(
            "Masking paper", f"for {whole_area_said(bare, stated.tape.unit)} of faces that are done"
        )


def _tape(stencils: Sequence[Stencil], plan: Plan, stated: Stated) -> Iterator[Fact]:
    """Painter's tape for tacks, each time they are taped, and for joins, once on each side."""
    board, tape = stated.board, stated.tape
    tacks = _tacks(stencils)
    if any(tacks.values()):
        lengths = {
            name: sum(each.punch.length + 2 * board.tape_margin for each in held)
            for name, held in tacks.items()
        }
        laid, again = _taped(plan, lengths)
        wide = max(each.punch.width for held in tacks.values() for each in held)
        width = printed(wide + 2 * board.tape_margin, tape)
        whole, first, more = (run_said(each, tape.unit) for each in (laid + again, laid, again))
        yield Fact(
            "Painter's tape for tacks",
            f"{whole}, at least {width} wide: {first} to lay all, {more} as pieces go back",
        )
    joins = sum(
        join.tape for each in _cut_stencils(stencils, plan.sets) for join in each.grid.joins
    )
    if joins:
        width = printed(board.join_tape, tape)
        yield Fact(
            "Tape over joins",
            f"{run_said(2 * joins, tape.unit)} of {width} tape, both sides of the board",
        )


def _tacks(stencils: Sequence[Stencil]) -> dict[str, tuple[Tack, ...]]:
    """The tacks of each piece of board, by its name; a set's own are those of its left face."""
    found: dict[str, tuple[Tack, ...]] = {}
    for stencil in stencils:
        for piece in stencil.pieces:
            if piece.own or piece.id.rsplit(" ", 1)[0] == stencil.face.name:
                found[piece.id] = piece.tacks
    return found


def _taped(plan: Plan, of: Mapping[str, float]) -> tuple[float, float]:
    """What is taped when board is laid, and what when pieces go back; `of` each piece so much."""
    here = [there for run in plan.runs for there in run.each.faces]
    laid = {there.face: (*there.off, *there.stays) for there in here}  # each face in one round
    again = [there.back for there in here]
    return (
        sum(of[name] for names in laid.values() for name in names),
        sum(of[name] for names in again for name in names),
    )
