"""What a hand does on one sheet of board: marks to measure, strokes between them, holes to punch.

Stands after runs. Places are in the sheet's frame, mm: across from its left edge, up from its
bottom edge, which a tape measures from.

    mark      a place to measure and prick: a small letter and a number, "c12"; letters go up the
              sheet, numbers across it
    stroke    a run to draw and to cut, by its number: the order of cutting
    template  a disc to draw round, by its diameter: a bought one, or one cut from waste board
"""

from __future__ import annotations

import itertools
import math
from collections import Counter, defaultdict
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

import numpy as np

from mateline.curves import Chain, moved
from mateline.exports.by_hand.runs import LEAST, Run, runs_of
from mateline.exports.cut.layers import punched, scores
from mateline.exports.cut.sheets import join_lines, window_of
from mateline.stencil.cutting.cut_path import ordered, trims
from mateline.stencil.sheets.clipping import within

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

    from mateline.curves import Point
    from mateline.stencil.board import Punch, Tack
    from mateline.stencil.cutting.cut_path import CutPath
    from mateline.stencil.sheets.joins import Sheet
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

# Circle templates by unit, diameters: how fine the steps are and how far they go, mm.
# Common practice, no source.
METRIC = (Fraction(1), Fraction(40))
INCHES = (Fraction(254, 160), Fraction(381, 10))  # 1/16 in, to 1 1/2 in
LARGEST_DISC = 300.0  # mm across: the largest that is worth cutting from waste board
EQUAL = 3  # arcs that are worth a disc of their own
COMPASS = 600.0  # mm: the largest radius that a trammel on a table reaches; common practice
FLAT = 3.0  # mm off its chord: a flatter arc is surer by three points than by compass
LETTERS = "abcdefghjkmnpqrstuvwxyz"  # without those that look like numbers

How = Literal["edge", "template", "compass", "points"]


@dataclass(frozen=True, slots=True)
class Mark:
    """A place to measure, in the sheet's frame, mm."""

    name: str
    at: Point


@dataclass(frozen=True, slots=True)
class Stroke:
    """One run between two marks (none of a circle), and how it is drawn.

    An arc turns left from `start` to `to`. `template` is a diameter, mm.
    """

    number: int
    run: Run
    start: str | None
    to: str | None
    how: How
    template: Fraction | None = None


@dataclass(frozen=True, slots=True)
class HandSheet:
    """All of one sheet: `name` is "" where the face takes one only; `size` is that of the board.

    `corner` is its lower-left corner in the face frame. `holes` are those to punch for tacks, and
    `punches` how many there are of each size. `trim` is how many of the strokes, the last, free
    the board. Where one `piece` alone is cut it is called so, and its box is the board.
    """

    face: str
    name: str
    size: tuple[float, float]
    corner: Point
    marks: tuple[Mark, ...]
    strokes: tuple[Stroke, ...]
    punches: tuple[tuple[Punch, int], ...]
    holes: tuple[Chain, ...]
    folds: tuple[Chain, ...]
    trim: int
    piece: str | None = None


def hand_sheets(stencil: Stencil, tape: Tape, path: CutPath) -> tuple[HandSheet, ...]:
    """The sheets of a face's stencil, in the order of its grid."""
    rim = {_plain(border) for loop in trims(stencil.pattern) for border in loop}
    sequence = [_plain(border) for stroke in path.strokes for border in stroke]
    chains = [
        (order, chain, border in rim)
        for order, (border, chain) in enumerate(
            zip(sequence, ordered(path, stencil.chains), strict=True)
        )
    ]
    chains += [(len(chains), chain, True) for chain in join_lines(stencil.grid)]
    return tuple(_sheet(stencil, sheet, chains, tape) for sheet in stencil.grid.sheets)


def piece_sheets(
    stencil: Stencil, tape: Tape, path: CutPath, own: Collection[str]
) -> tuple[HandSheet, ...]:
    """A sheet for each piece of `own`: of a face whose other pieces another face's set does."""
    place = {
        _plain(border): at for at, border in enumerate(itertools.chain.from_iterable(path.strokes))
    }
    found = []
    for piece in stencil.pieces:
        if piece.id in own:
            rim, *holes = stencil.pattern.regions[piece.region].loops
            sequence = [
                *sorted(map(_plain, itertools.chain.from_iterable(holes)), key=place.__getitem__),
                *sorted(map(_plain, rim), key=place.__getitem__),
            ]
            parts = [
                (order, stencil.chains[border], border in sequence[len(sequence) - len(rim) :])
                for order, border in enumerate(sequence)
            ]
            bounds = piece.area.bounds
            folds = [part for fold in scores(stencil) for part in within(fold, bounds)]
            cut = _Cut(f"piece {piece.letter}{piece.number}", bounds, parts, piece.tacks, folds)
            found.append(replace(_hand_sheet(stencil, cut, tape), piece=piece.id))
    return tuple(found)


def template(diameter: float, unit: str) -> Fraction | None:
    """The nearest bought circle template's diameter, mm; None where they don't go that far."""
    step, largest = INCHES if unit in {"in", "ft"} else METRIC
    nearest = max(step, round(Fraction(diameter) / step) * step)
    return nearest if nearest <= largest else None


def rise(reach: float, turn: float) -> float:
    """Height of a circular segment over its chord, mm: r (1 - cos(turn / 2)) (elementary)."""
    return reach * (1 - math.cos(turn / 2))


def _plain(signed: int) -> int:
    return signed if signed >= 0 else ~signed


@dataclass(frozen=True, slots=True)
class _Cut:
    """What is cut from one board, in the face frame: the borders with their places in the order of
    cutting and whether they free the board; the tacks and folds on it.
    """

    name: str
    bounds: tuple[float, float, float, float]
    parts: Sequence[tuple[int, Chain, bool]]
    tacks: Sequence[Tack]
    folds: Sequence[Chain]


def _sheet(
    stencil: Stencil, sheet: Sheet, chains: Sequence[tuple[int, Chain, bool]], tape: Tape
) -> HandSheet:
    alone = len(stencil.grid.sheets) == 1
    window = window_of(sheet, stencil.grid)
    left, low, right, high = sheet.bounds

    def here(chain: Chain) -> tuple[Chain, ...]:
        return (chain,) if alone else within(chain, window)

    tacks = [
        tack
        for piece in stencil.pieces
        for tack in piece.tacks
        if left <= tack.centre[0] < right and low <= tack.centre[1] < high
    ]
    cut = _Cut(
        "" if alone else sheet.name,
        sheet.bounds,
        [(order, part, rim) for order, chain, rim in chains for part in here(chain)],
        tacks,
        [part for fold in scores(stencil) for part in here(fold)],
    )
    return _hand_sheet(stencil, cut, tape)


def _hand_sheet(stencil: Stencil, cut: _Cut, tape: Tape) -> HandSheet:
    left, low, right, high = cut.bounds
    shift = np.array([[1.0, 0.0, -left], [0.0, 1.0, -low]])

    def here(chain: Chain) -> Chain:
        return chain if left == low == 0 else moved(chain, shift)

    runs = runs_of([(order, here(part), rim) for order, part, rim in cut.parts])
    size = (right - left, high - low)
    marks, names = _marks(runs, size)
    by_size = {(tack.punch.length, tack.punch.width): tack.punch for tack in cut.tacks}
    count = Counter((tack.punch.length, tack.punch.width) for tack in cut.tacks)
    return HandSheet(
        stencil.face.name,
        cut.name,
        size,
        (left, low),
        marks,
        tuple(_strokes(runs, names, size, tape)),
        tuple((by_size[key], count[key]) for key in sorted(count, reverse=True)),
        tuple(moved(punched(tack), shift) for tack in cut.tacks),
        tuple(map(here, cut.folds)),
        _freeing(runs, {order for order, _, rim in cut.parts if rim}),
    )


def _freeing(runs: Sequence[Run], rim: set[int]) -> int:
    """How many of the strokes, the last, are the trim; 0 where a face of two parts has two."""
    count = sum(run.order in rim for run in runs)
    return count if all(run.order in rim for run in runs[len(runs) - count :]) else 0


def _marks(
    runs: Sequence[Run], size: tuple[float, float]
) -> tuple[tuple[Mark, ...], dict[Point, str]]:
    """The marks, and the name of the mark at each end of a run.

    Ends that are nearer to each other than a step are one mark. Bands of the sheet have a letter
    each, from the bottom up, so that a name tells where to look.
    """
    found = dict.fromkeys(end for run in runs if not run.circle for end in (run.start, run.to))
    ends = sorted(found, key=_settled)
    cells: dict[tuple[int, int], list[Point]] = defaultdict(list)
    leader: dict[Point, Point] = {}
    for end in ends:
        column, row = (int(value // LEAST) for value in _settled(end))
        near = [
            other
            for i in (column - 1, column, column + 1)
            for j in (row - 1, row, row + 1)
            for other in cells.get((i, j), ())
            if math.dist(other, end) < LEAST
        ]
        leader[end] = min(near, key=_settled, default=end)
        if not near:
            cells[column, row].append(end)
    places = sorted(dict.fromkeys(leader.values()), key=_settled)
    bands = max(1, min(len(LETTERS), math.ceil(math.sqrt(len(places) * size[1] / size[0] / 2))))
    count: Counter[str] = Counter()
    named: dict[Point, str] = {}
    for place in places:
        band = min(bands - 1, max(0, int(place[1] / size[1] * bands + 1e-6)))
        letter = LETTERS[band]
        count[letter] += 1
        named[place] = f"{letter}{count[letter]}"
    order = sorted(named, key=lambda place: (named[place][0], int(named[place][1:])))
    marks = tuple(Mark(named[place], place) for place in order)
    return marks, {end: named[place] for end, place in leader.items()}


def _settled(place: Point) -> Point:
    """A place without its last bits, which are each machine's own."""
    return round(place[0], 4), round(place[1], 4)


def _strokes(
    runs: Sequence[Run], names: dict[Point, str], size: tuple[float, float], tape: Tape
) -> Iterator[Stroke]:
    sizes = Counter(_diameter(run, tape) for run in runs if run.centre is not None)
    for number, run in enumerate(runs, start=1):
        disc = None
        if run.centre is not None:
            disc = template(2 * run.reach, tape.unit)
            own = _diameter(run, tape)
            if disc is None and sizes[own] >= EQUAL and own <= LARGEST_DISC:
                disc = own
        left = _turned_left(run)
        start, to = (None, None) if run.circle else (names[left.start], names[left.to])
        yield Stroke(number, left, start, to, _how(run, disc, size), disc)


def _turned_left(run: Run) -> Run:
    """The run from its other end, if it turns right: then all arcs of a table turn one way."""
    if not run.clockwise:
        return run
    return replace(run, start=run.to, to=run.start, clockwise=False, course=run.course[::-1])


def _how(run: Run, disc: Fraction | None, size: tuple[float, float]) -> How:
    if run.centre is None:
        return "edge"
    if disc is not None:
        return "template"
    (x, y), (wide, high) = run.centre, size
    on_board = -LEAST <= x <= wide + LEAST and -LEAST <= y <= high + LEAST
    if run.circle or (on_board and run.reach <= COMPASS and rise(run.reach, run.turn) >= FLAT):
        return "compass"
    return "points"


def _diameter(run: Run, tape: Tape) -> Fraction:
    """The diameter as a tape reads it, mm."""
    return round(Fraction(2 * run.reach) / tape.graduation) * tape.graduation
