"""What the laying page says: how to mark the cabinet, the order, what to measure, the legend.

Stands after sets. Paragraphs, each with its number; readings keep their spaces together.
"""

from __future__ import annotations

import math
from collections import defaultdict
from typing import TYPE_CHECKING

from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.exports.laying.sets import LaidSet
    from mateline.stencil.laying.laying import Laying
    from mateline.stencil.laying.order import Step
    from mateline.stencil.laying.sides import Side
    from mateline.tape.accuracy import Tape

SPACE = "\u00a0"  # keeps a reading on its line
MOST_NAMED = 12  # pieces that a sentence names
SHOWN = 0.5  # mm: a board that ends this near to its edge is said to end at it


def steps_said(laid: LaidSet, tape: Tape, *, listed: bool = False) -> Iterator[str]:
    """What to do, in the order of the work, which is `listed` or drawn as red numbers."""
    laying = laid.laying
    seen = "The face is seen square on from outside; left and right are the player's."
    if laying.turned_from is not None:
        seen += (
            f" This is the set of {laying.turned_from}, turned over: the same pieces with the "
            "same names, their backs to you."
        )
        own = [piece.short for piece in laid.stencil.pieces if piece.own]
        if own:
            seen += f" Cut for this side alone, their fronts to you: {_listed(own)}."
    yield seen
    parted = _parted(laid)
    if parted:
        yield f"Tape the parts of {parted} together at their joins first."
    marked = _marking(laying, tape)
    if marked:
        yield marked
    yield from _short(laying, tape)
    yield _order(laid, listed=listed)
    alone = _alone(laid)
    if alone:
        yield alone
    if laying.diagonal is not None:
        one, two = laying.diagonal.names
        yield (
            f"Before you press the tacks, measure the dashed line from {one} to {two}, from rim "
            f"to rim of the board: {said(laying.diagonal.length, tape)}. If it is off, push the "
            "set square and measure again."
        )


def said(length: float, tape: Tape) -> str:
    """A length as the tape reads it, which no line parts."""
    return printed(length, tape).replace(" ", SPACE)


def name_of(laid: LaidSet, at: int) -> str:
    """Letter and number of a piece; "own" is before those of a face that another's set does."""
    return laid.stencil.pieces[at].short


def order_said(laid: LaidSet) -> str:
    """All pieces in the order of laying: "1 G3, 2 N3, ..."."""
    return ", ".join(
        f"{number}{SPACE}{name_of(laid, step.piece)}"
        for number, step in enumerate(laid.laying.steps, start=1)
    )


def against_said(laid: LaidSet, step: Step) -> str:
    """What a piece is laid against: "G3 and the left side"."""
    names = [name_of(laid, at) for at in step.against]
    names += dict.fromkeys(f"the {side_said(laid.laying.sides[at])}" for at in step.sides)
    return _listed(names) if names else "nothing yet"


def side_said(side: Side) -> str:
    """What a side is called in a sentence."""
    return f"{side.way} edge" if side.way else f"edge with {side.beyond or 'no board'}"


def _marking(laying: Laying, tape: Tape) -> str:
    """How to pencil the twins of the board's ticks on the cabinet."""
    by_side: dict[int, list[float | None]] = defaultdict(list)
    for tick in laying.ticks:
        by_side[tick.side].append(tick.along)
    if not by_side:
        return ""
    ends = {said(along, tape) for each in by_side.values() for along in each if along is not None}
    middles = [
        f"{side_name(laying.sides[at])} {said(_half(laying.sides[at]), tape)}"
        for at, each in sorted(by_side.items())
        if None in each
    ]
    first = f"{_listed(sorted(ends))} from both ends, and " if ends else ""
    return (
        "Mark the cabinet, on masking tape: along the edges that have ticks here, "
        f"{first}at the middle: {_listed(middles)}. Lay the set so that the ticks on the board "
        "point at these marks."
    )


def side_name(side: Side) -> str:
    """A side's name as on the drawing."""
    if side.way and side.beyond:
        return f"{side.way} ({side.beyond})"
    return side.way or side.beyond or "open edge"


def _half(side: Side) -> float:
    return math.dist(*side.ends) / 2


def _short(laying: Laying, tape: Tape) -> Iterator[str]:
    by_size: dict[str, list[str]] = defaultdict(list)
    for side in laying.sides:
        if side.short >= SHOWN:
            by_size[said(side.short, tape)].append(side_name(side))
    if by_size:
        parts = [f"{size} short of {_listed(names)}" for size, names in by_size.items()]
        yield f"The board does not reach every edge of the cabinet: it ends {_listed(parts)}."


def _order(laid: LaidSet, *, listed: bool) -> str:
    """Where to begin, and how it goes on."""
    first = laid.laying.steps[0]
    if len(laid.laying.steps) == 1:
        return f"Lay {name_of(laid, first.piece)}."
    where = f" at {against_said(laid, first)}" if first.sides else ""
    how = "of the red numbers"
    if listed:
        how = "that is listed on the next pages (the key's parts show where each is)"
    return (
        f"Lay the pieces in the order {how}, from 1: {name_of(laid, first.piece)}"
        f"{where}. Each next one goes against two that lie already, or one and an edge."
    )


def _alone(laid: LaidSet) -> str:
    """The pieces that have less than two to go against."""
    alone = [
        (number, step)
        for number, step in enumerate(laid.laying.steps, start=1)
        if not step.held and number > 1
    ]
    if not alone:
        return ""
    if len(alone) > MOST_NAMED:
        first = alone[0][0]
        together = len(laid.laying.steps) - first + 1 == len(alone)
        which = f"from {first} on" if together else f"{len(alone)} of them"
        return (
            f"For others there is only one to go against, {which}: they lie in a hole of it, or "
            "along it. Lay these by their outline."
        )
    each = [
        f"{number}{SPACE}{name_of(laid, step.piece)} ({against_said(laid, step)})"
        for number, step in alone
    ]
    return f"Only one to go against have {_listed(each)}: lay these by their outline."


def _parted(laid: LaidSet) -> str:
    """The pieces that go over more than one sheet of board."""
    names = [piece.short for piece in laid.stencil.pieces if piece.id in laid.joined]
    if len(names) > MOST_NAMED:
        return f"the {len(names)} pieces that go over two sheets"
    return _listed(names)


def _listed(names: Sequence[str]) -> str:
    """Words with commas, and "and" before the last."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
