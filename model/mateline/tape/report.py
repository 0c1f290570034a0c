"""What `mateline tape` says of an outline: a table in the user's unit, or plain data in mm.

Stands after the outline, at the tape's edge: lengths become texts here, radians degrees.
"""

from __future__ import annotations

import math
from itertools import combinations
from typing import TYPE_CHECKING, Any

from mateline.tape.blunders import LEAST_SHARE
from mateline.tape.reading import printed, printed_exact

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from mateline.tape.accuracy import Tape
    from mateline.tape.outline import Closure, Outline

# Whole marks that an eye slips by, mm, and how to say so. Common practice, no source.
_MARKS = {
    "SI": ((100.0, "a whole decimetre"), (10.0, "a whole centimetre")),
    "US": ((304.8, "a whole foot"), (25.4, "a whole inch")),
}
_LIKE = 2.0  # deviations of a slip within which it is like a whole mark
_GAP = "  "


def table(outline: Outline, tape: Tape) -> str:
    """The outline in the tape's unit: corners, readings, and the verdict in sentences."""
    parts = [_columns(corner_rows(outline, tape))]
    if outline.closures:
        parts.append(_columns(reading_rows(outline, tape)))
    parts.append("\n".join(sentences(outline, tape)))
    return "\n\n".join(parts)


def sentences(outline: Outline, tape: Tape) -> tuple[str, ...]:
    """The verdict, what it does not cover, what was taken on trust, and what to do about it."""
    return (*_verdict(outline, tape), *_loose_ends(outline), *_trust(outline))


def as_json(outline: Outline) -> dict[str, Any]:
    """The outline as plain data, mm and degrees; None where a number is infinite or unknown."""
    corners = [
        {
            "name": name,
            "x": float(x),
            "y": float(y),
            "deviation": [float(dx), float(dy)],
            "ellipse_95": {
                "long": ellipse.long,
                "short": ellipse.short,
                "direction_deg": math.degrees(ellipse.direction),
            },
        }
        for name, (x, y), (dx, dy), ellipse in zip(
            outline.corners, outline.points, outline.deviations, outline.ellipses, strict=True
        )
    ]
    return {
        "corners": corners,
        "readings": [_closure_json(closure) for closure in outline.closures],
        "redundancy": outline.redundancy,
        "scatter": outline.scatter,
        "verdict": outline.verdict,
        "suspect": None if outline.suspect is None else _closure_json(outline.suspect),
        "candidates": [closure.label for closure in outline.candidates],
        "more_than_one": outline.more_than_one,
        "assumed_square": list(outline.assumption),
        "square_corners": [
            {
                "corner": each.corner,
                "off_deg": math.degrees(each.off),
                "deviation_deg": math.degrees(each.deviation),
                "assumed": each.taken,
            }
            for each in outline.squares
        ],
    }


def slip_said(closure: Closure, tape: Tape) -> str:
    """The likely slip in a reading: `A-C reads about 20.1 mm too long`."""
    if closure.kind == "square":
        return f"the {closure.label} is off square by about {_degrees(abs(closure.slip))}"
    way = "long" if closure.slip > 0 else "short"
    said = f"{closure.label} reads about {printed_exact(abs(closure.slip), tape.unit)} too {way}"
    mark = _mark(closure, tape)
    return f"{said}, like {mark} misread" if mark else said


def _mark(closure: Closure, tape: Tape) -> str | None:
    own = closure.deviation / math.sqrt(closure.share)
    family = "US" if tape.unit in {"in", "ft"} else "SI"
    for length, said in _MARKS[family]:
        if abs(abs(closure.slip) - length) < _LIKE * own < length / 5:
            return said
    return None


def _verdict(outline: Outline, tape: Tape) -> Iterable[str]:
    if outline.verdict == "stated":
        return ("The corners are stated by their coordinates; no reading checks them.",)
    if outline.verdict == "unchecked":
        return _unchecked(outline)
    if outline.verdict == "closes":
        worst = max(outline.closures, key=lambda closure: abs(closure.residual) / closure.deviation)
        out = f"the one that fits worst, {worst.label}, is {_off(abs(worst.residual), worst, tape)}"
        return (f"The readings close. {_more(outline.redundancy)}, and {out} out.",)
    if outline.suspect is not None:
        said = slip_said(outline.suspect, tape)
        return (
            f"{said[0].upper()}{said[1:]}. All other readings agree without it.",
            f"The corners above still use it; measure {outline.suspect.label} again.",
        )
    return _cannot_tell(outline, tape)


def _unchecked(outline: Outline) -> Iterable[str]:
    yield "No reading is checked by another, so a wrong one would not show."
    free = _unread(outline)
    if free:
        yield f"Measure one more distance, such as {free}, to check them."


def _cannot_tell(outline: Outline, tape: Tape) -> Iterable[str]:
    slips = [f"  {slip_said(closure, tape)}" for closure in outline.candidates]
    if outline.more_than_one:
        yield "More than one reading is wrong. Taken one by one, those that fit worst:"
        yield from slips
        yield f"Measure {outline.candidates[0].label} again first."
        return
    yield "A reading is wrong, but these readings cannot tell which. It may be any one of these:"
    yield from slips
    free = _unread(outline)
    yield f"Measure one more distance, such as {free}." if free else "Measure them again."


def _loose_ends(outline: Outline) -> Iterable[str]:
    """Readings that no other one checks, where others are checked."""
    labels = [each.label for each in outline.closures if each.share <= LEAST_SHARE]
    if outline.verdict not in {"stated", "unchecked"} and labels:
        yield f"Nothing checks {', '.join(labels)}."


def _trust(outline: Outline) -> Iterable[str]:
    if outline.assumption:
        corners = ", ".join(outline.assumption)
        one = len(outline.assumption) == 1
        yield f"Corner{'' if one else 's'} {corners} {'is' if one else 'are'} taken as square."
    for each in outline.squares:
        if not each.taken:
            yield (
                f"The readings make {each.corner} {_degrees(math.pi / 2 + each.off)}, give or "
                f"take {_degrees(each.deviation)}; that it was named square is not used."
            )


def _unread(outline: Outline) -> str | None:
    read = {closure.label for closure in outline.closures}
    corners = outline.corners
    sides = {frozenset(pair) for pair in zip(corners, (*corners[1:], corners[0]), strict=True)}
    pairs = sorted(combinations(corners, 2), key=lambda pair: frozenset(pair) in sides)
    free = (f"{a}-{b}" for a, b in pairs if not {f"{a}-{b}", f"{b}-{a}"} & read)
    return next(free, None)


def _more(number: int) -> str:
    return "One is more than needed" if number == 1 else f"{number} are more than needed"


def _off(size: float, closure: Closure, tape: Tape) -> str:
    return _degrees(size) if closure.kind == "square" else printed_exact(size, tape.unit)


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.2f}°"


def corner_rows(outline: Outline, tape: Tape) -> list[list[str]]:
    """The corners as texts in the tape's unit, a heading first."""
    rows = [["corner", "x", "y", "± x", "± y", "95 % ellipse"]]
    for name, point, spread, ellipse in zip(
        outline.corners, outline.points, outline.deviations, outline.ellipses, strict=True
    ):
        axes = [printed_exact(axis, tape.unit) for axis in (ellipse.long, ellipse.short)]
        rows.append([
            name,
            *(printed_exact(float(number), tape.unit) for number in (*point, *spread)),
            f"{axes[0]} by {axes[1]} at {math.degrees(ellipse.direction):.0f}°"
            if ellipse.long > 0
            else "held",
        ])  # fmt: skip
    return rows


def reading_rows(outline: Outline, tape: Tape) -> list[list[str]]:
    """What was read and how it closes, as texts in the tape's unit, a heading first."""
    rows = [["reading", "read", "fits", "residual", "w", "a slip would show from"]]
    for closure in outline.closures:
        checked = closure.share > LEAST_SHARE
        rows.append([
            closure.label,
            _degrees(closure.read) if closure.kind == "square" else printed(closure.read, tape),
            _off(closure.adjusted, closure, tape),
            _off(closure.residual, closure, tape),
            f"{closure.w:.1f}" if checked else "-",
            _off(closure.findable, closure, tape) if checked else "never: nothing checks it",
        ])  # fmt: skip
    return rows


def _columns(rows: Sequence[Sequence[str]]) -> str:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join(
        _GAP.join(
            cell.ljust(width) if at in {0, len(row) - 1} else cell.rjust(width)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    )


def _closure_json(closure: Closure) -> dict[str, Any]:
    in_deg = closure.kind == "square"
    unit = math.degrees if in_deg else float
    return {
        "label": closure.label,
        "kind": closure.kind,
        "unit": "deg" if in_deg else "mm",
        "read": unit(closure.read),
        "adjusted": unit(closure.adjusted),
        "residual": unit(closure.residual),
        "deviation": unit(closure.deviation),
        "redundancy_number": closure.share,
        "w": closure.w,
        "slip": unit(closure.slip),
        "findable_slip": unit(closure.findable) if math.isfinite(closure.findable) else None,
    }
