"""The plan of painting day: passes, witness lines, both sides, paint, days, cautions.

The last of paint; `plan_of` puts the others together. It is cheap enough for every check; what
each pass leaves on the plane (shaded.py) is for files only.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import chain
from typing import TYPE_CHECKING

from mateline.paint.cautions import CAUTIONS, Caution
from mateline.paint.days import last_day, paced, rounds_of, steps_of
from mateline.paint.dew_point import Dew, dew_of
from mateline.paint.done import finished
from mateline.paint.order import areas_of, ordered, own_order
from mateline.paint.passes import Pass, painted_once, passes_of
from mateline.paint.quantity import Need, needs_of
from mateline.paint.sides import Sides, Whole, sides_of, whole_of
from mateline.paint.turned_sets import TurnedSet, as_on_board, in_words, on_board
from mateline.paint.witness.advice import advice_of
from mateline.paint.witness.lines import (
    Limits,
    Spread,
    Witness,
    limits_of,
    rank_of,
    spread_of,
    witness_lines,
    worst,
)
from mateline.paint.witness.shared_borders import meetings_of, shared_lengths
from mateline.tape.quantities import is_inches

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mateline.cabinet.edges.ends import SeenEnd
    from mateline.checks.findings import Finding, MirrorPair
    from mateline.paint.days import Round, Step
    from mateline.paint.done import Done
    from mateline.paint.shop import Shop
    from mateline.stencil.board import Board
    from mateline.stencil.pieces import Colours
    from mateline.stencil.stencil import Stencil


@dataclass(frozen=True, slots=True)
class Painting:
    """What a plan is made for. `passes` is the user's own order, `file` where it stands; `ends` are
    the ends of boards that are seen, `done` what is finished already.
    """

    shop: Shop
    board: Board
    colours: Colours
    passes: tuple[str, ...] | None = None
    file: str = ""
    ends: tuple[SeenEnd, ...] = ()
    done: tuple[Done, ...] = ()


@dataclass(frozen=True, slots=True)
class FaceLines:
    """The witness lines of one face; `worst` is None where no two painted colours meet.

    `bare` is the base coat that may show along all of them, mm², at most.
    """

    face: str
    lines: tuple[Witness, ...]
    worst: Witness | None
    bare: float


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything about painting day. `passes[0]` is the base coat.

    Passes name pieces as the board does that lies there: on a right face that another set is turned
    over for, those of the left one. `rounds` are the faces that are painted together, and `whole`
    compares both ways of doing all sides; None where no set is turned over. `limits` is None where
    no two painted colours meet; `dew` where no weather is stated. `days` counts from the first to
    the last, `days_range` as fast and as slowly as paint may dry.
    """

    shop: Shop
    passes: tuple[Pass, ...]
    spread: Spread
    faces: tuple[FaceLines, ...]
    limits: Limits | None
    advice: tuple[str, ...]
    sides: tuple[Sides, ...]
    whole: Whole | None
    rounds: tuple[Round, ...]
    needs: tuple[Need, ...]
    steps: tuple[Step, ...]
    days: int
    days_range: tuple[int, int]
    dew: Dew | None
    cautions: tuple[Caution, ...]

    @property
    def sets(self) -> tuple[TurnedSet, ...]:
        """The sets that are turned over."""
        return tuple(each.turned for each in self.sides)

    @property
    def runs(self) -> tuple[Run, ...]:
        """The colours in the order of the work: all of the first round, then of the next."""
        return tuple(
            Run(number, replace(each, faces=here))
            for number, round_ in enumerate(self.rounds, start=1)
            for each in self.passes[1:]
            if (here := tuple(there for there in each.faces if there.face in round_.faces))
        )


@dataclass(frozen=True, slots=True)
class Run:
    """One pass of one round: what is done at one time. `each` has the faces of that round only."""

    round: int
    each: Pass


def plan_of(
    stencils: Sequence[Stencil],
    painting: Painting,
    findings: Sequence[Finding],
    pairs: Sequence[MirrorPair],
) -> Plan:
    """The plan for painting `stencils`.

    Raises InputError where the user's own order of passes can't be worked with, or what is done is
    none of them, RuntimeError where
    a place would be painted twice or not at all (our bug).
    """
    shop, board, base = painting.shop, painting.board, painting.colours.base
    meetings = [meetings_of(stencil) for stencil in stencils]
    areas = areas_of(stencils, base)
    if painting.passes is not None:
        order = own_order(painting.passes, base, areas, painting.file)
    else:
        order = ordered(painting.colours, areas, shared_lengths(chain.from_iterable(meetings)))
    passes = passes_of(stencils, order, base, painting.ends)
    _prove(stencils, passes)
    spread = spread_of(shop, board)
    rank = rank_of(passes)
    faces = tuple(
        _lines(stencil, witness_lines(stencil, rank, spread, own))
        for stencil, own in zip(stencils, meetings, strict=True)
    )
    lines = tuple(chain.from_iterable(face.lines for face in faces))
    limits = limits_of(lines, spread)
    sides = sides_of(stencils, passes, pairs, findings, board, shop)
    sets = [each.turned for each in sides]
    rounds = rounds_of(stencils, [(each.left, each.right) for each in sets])
    ready = finished(painting.done, passes, rounds, shop, painting.file)
    passes, names = as_on_board(passes, sets), on_board(sets)
    steps = steps_of(passes, rounds, shop, ready)
    fast, slow = (last_day(steps_of(passes, rounds, each, ready)) for each in _paces(shop))
    return Plan(
        shop=shop,
        passes=passes,
        spread=spread,
        faces=tuple(_named(face, names) for face in faces),
        limits=limits,
        advice=tuple(in_words(line, names) for line in advice_of(lines, limits, spread, shop.unit)),
        sides=sides,
        whole=whole_of(sides, stencils, board),
        rounds=rounds,
        needs=needs_of(passes, shop),
        steps=steps,
        days=last_day(steps),
        days_range=(fast, slow),
        dew=_dew(shop),
        cautions=CAUTIONS,
    )


def _prove(stencils: Sequence[Stencil], passes: Sequence[Pass]) -> None:
    for stencil in stencils:
        proof = painted_once(stencil, passes)
        if not proof.holds:
            raise RuntimeError(f"the passes don't paint every place once: {proof}")


def _lines(stencil: Stencil, lines: tuple[Witness, ...]) -> FaceLines:
    return FaceLines(stencil.face.name, lines, worst(lines), sum(line.bare for line in lines))


def _named(face: FaceLines, names: Mapping[str, str]) -> FaceLines:
    """The lines with the names on the board in the worst of them, which is told."""
    if face.worst is None:
        return face
    first, second = (names.get(each, each) for each in (face.worst.first, face.worst.second))
    return replace(face, worst=replace(face.worst, first=first, second=second))


def _paces(shop: Shop) -> tuple[Shop, Shop]:
    return paced(shop, "low"), paced(shop, "high")


def _dew(shop: Shop) -> Dew | None:
    """None unless the weather is stated."""
    if shop.air is None or shop.humidity is None:
        return None
    both = shop.fahrenheit or is_inches(shop.unit)
    return dew_of(shop.air, shop.humidity, shop.surface, fahrenheit=shop.fahrenheit, both=both)
