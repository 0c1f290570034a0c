"""hand-cutting.txt: every border as something to draw with rule, compass and circle template.

Stands after cut_path and joins. Tacks and folds come first, as they are done first. Borders come
in cutting order, each once, with the places of its ends measured from the face's lower-left
corner. An arc is given by its radius, where its centre is, and

    template  the nearest circle template, where there is one that large
    rise      how far a flat arc stands off its chord, where no compass reaches its centre
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

from mateline.curves import length, radius, sweep
from mateline.exports.cut.layers import scores
from mateline.exports.findings_table import place
from mateline.stencil.cutting.cut_path import cut_path, ordered
from mateline.tape.reading import printed, printed_exact

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.curves import Chain, Point, Segment
    from mateline.pattern.pattern import Border
    from mateline.stencil.cutting.cut_path import CutPath
    from mateline.stencil.sheets.joins import Grid
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

# Circle templates by unit, diameters: how fine the steps are and how far they go, mm.
# Common practice, no source.
METRIC = (Fraction(1), Fraction(40))
INCHES = (Fraction(254, 160), Fraction(381, 10))  # 1/16 in, to 1 1/2 in
COMPASS = 600.0  # mm: the largest radius that a trammel on a table reaches; common practice


def hand_sheet(
    stencil: Stencil, tape: Tape, grid: Grid | None = None, path: CutPath | None = None
) -> str:
    """The text for one face, lengths as `tape` is read; with `grid`, its sheets and tape too.

    `path` is the stencil's cut path, where it is known already.
    """
    path = path or cut_path(stencil.pattern)
    chains = iter(ordered(path, stencil.chains))
    _, _, width, height = stencil.face.outline.bounds
    total = printed(sum(map(length, stencil.chains)), tape)
    lines = [
        f"Hand-cutting sheet: {stencil.face.name}",
        f"{printed(width, tape)} wide, {printed(height, tape)} high.",
        f"{len(stencil.chains)} borders, {total} of cut.",
        "Places are measured from the lower-left corner of the face.",
    ]
    if grid is not None:
        lines += ["", *_board(grid, tape)]
    lines += [*_tacks(stencil, tape), *_folds(stencil, tape)]
    names = {piece.region: piece.id for piece in stencil.pieces}
    for number, stroke in enumerate(path.strokes, start=1):
        lines += ["", f"Stroke {number} of {len(path.strokes)}"]
        for signed in stroke:
            border = stencil.pattern.borders[signed if signed >= 0 else ~signed]
            lines.append(f"  {_sides(names, border)}")
            lines += [f"    {line}" for line in _steps(next(chains), tape)]
    return "\n".join([*lines, ""])


def template(diameter: float, unit: str) -> Fraction | None:
    """The nearest circle template's diameter, mm; None where templates don't go that far."""
    step, largest = INCHES if unit in {"in", "ft"} else METRIC
    nearest = max(step, round(Fraction(diameter) / step) * step)
    return nearest if nearest <= largest else None


def rise(reach: float, turn: float) -> float:
    """Height of a circular segment over its chord, mm: r (1 - cos(turn / 2)) (elementary)."""
    return reach * (1 - math.cos(turn / 2))


def _board(grid: Grid, tape: Tape) -> Iterator[str]:
    if len(grid.sheets) == 1:
        yield "One sheet of board" + (", turned." if grid.turned else ".")
        return
    yield f"{len(grid.sheets)} sheets of board" + (", turned:" if grid.turned else ":")
    for sheet in grid.sheets:
        left, low, right, high = sheet.bounds
        size = f"{printed(right - left, tape)} x {printed(high - low, tape)}"
        yield f"  {sheet.name}  {size} at {place((left, low), tape)}"
    if grid.joins:
        yield f"  {printed(sum(join.tape for join in grid.joins), tape)} of tape over joins:"
    for join in grid.joins:
        start, end = place(join.start, tape), place(join.end, tape)
        yield f"  tape {printed(join.tape, tape)} on {join.piece}, from {start} to {end}"


def _tacks(stencil: Stencil, tape: Tape) -> Iterator[str]:
    """What to punch, piece by piece; nothing where no piece has a tack."""
    if any(piece.tacks for piece in stencil.pieces):
        yield from ("", "Punch the tacks first, by their middles")
    for piece in stencil.pieces:
        for tack in piece.tacks:
            punch = tack.punch
            size = f"{printed(punch.length, tape)} x {printed(punch.width, tape)}"
            turn = math.degrees(tack.turn) % 180
            if punch.round:
                size = f"{printed(punch.length, tape)} round"
            elif 0.5 <= turn < 179.5:
                size += f", turned left by {turn:.0f}°"
            yield f"  {piece.id}: {size}, {place(tack.centre, tape)}"


def _folds(stencil: Stencil, tape: Tape) -> Iterator[str]:
    """The lines to score, where board goes over a bevel or a round."""
    folds = scores(stencil)
    if folds:
        yield from ("", "Score the folds, but do not cut them")
    for fold in folds:
        start, end = place(fold.start, tape), place(fold.points[-1], tape)
        yield f"  {printed(length(fold), tape)}, from {start} to {end}"


def _sides(names: dict[int, str], border: Border) -> str:
    sides = [names[side] for side in (border.left, border.right) if side in names]
    return f"round {sides[0]}" if len(sides) == 1 else f"between {sides[0]} and {sides[1]}"


def _steps(chain: Chain, tape: Tape) -> Iterator[str]:
    centre = chain.segments[0].centre
    if centre and chain.closed and all(part.centre == centre for part in chain.segments):
        reach = radius(chain.segments[0])
        size = _template(reach, tape) or ""
        yield f"circle radius {printed(reach, tape)}{size}, centre {place(centre, tape)}"
        return
    yield f"from {place(chain.start, tape)}"
    at = chain.start
    for segment in chain.segments:
        yield f"{_step(at, segment, tape)}, to {place(segment.to, tape)}"
        at = segment.to


def _step(at: Point, segment: Segment, tape: Tape) -> str:
    chord = math.dist(at, segment.to)
    if segment.centre is None:
        return f"line {printed(chord, tape)}"
    reach, turn = radius(segment), sweep(at, segment)
    way = "left" if turn > 0 else "right"
    words = f"arc  radius {printed(reach, tape)}, turning {way} by {abs(math.degrees(turn)):.0f}°"
    size = _template(reach, tape)
    if size is not None:
        return f"{words}{size}, centre {place(segment.centre, tape)}"
    if reach > COMPASS:
        high = printed_exact(rise(reach, abs(turn)), tape.unit)
        return f"{words}, {high} high over a chord of {printed(chord, tape)}"
    return f"{words}, centre {place(segment.centre, tape)}"


def _template(reach: float, tape: Tape) -> str | None:
    size = template(2 * reach, tape.unit)
    if size is None:
        return None
    off = printed_exact(float(size) - 2 * reach, tape.unit)
    return f", template {printed(size, tape)} ({off} off)"
