"""What `mateline tape` says of an outline: a table in the user's unit, or plain data in mm.

Stands after the outline, at the tape's edge: lengths become texts here, radians degrees.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from mateline.tape.arcs.told import arc_json, arc_reading_rows, arc_rows, arc_sentences, doubtful
from mateline.tape.quantities import TERMINAL, columns, wrapped
from mateline.tape.reading import printed, printed_exact
from mateline.tape.solving.statistics import LEAST_SHARE, W_LIMIT
from mateline.tape.sureness import axes_said, sure_said

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mateline.errors import InputError
    from mateline.tape.accuracy import Tape
    from mateline.tape.blunders import Shift
    from mateline.tape.next_reading import NextReading
    from mateline.tape.outline import Closure, Outline
    from mateline.tape.sureness import View

# Whole marks that an eye slips by, mm, and how to say so. Common practice, no source.
_MARKS = {
    "SI": ((100.0, "a whole decimetre"), (10.0, "a whole centimetre")),
    "US": ((304.8, "a whole foot"), (25.4, "a whole inch")),
}
KEY = (
    "The first corner is held, and the others are told from it. “Within” holds nineteen times out "
    "of twenty. “Times the usual” is how far off a reading is against what its tape explains: over "
    f"{W_LIMIT:.1f} times, one is doubted."
)
_LIKE = 2.0  # deviations of a slip within which it is like a whole mark


def table(outline: Outline, tape: Tape, width: int = TERMINAL, view: View | None = None) -> str:
    """The outline in the tape's unit: corners, readings, and the verdict in sentences.

    No line is longer than `width` characters; `view` is how the outline is seen.
    """
    tables = [corner_rows(outline, tape, view)]
    if outline.closures:
        tables.append(reading_rows(outline, tape))
    if outline.arcs:
        tables += [arc_rows(outline.arcs, tape, view), arc_reading_rows(outline.arcs, tape)]
    parts = ["\n".join(columns(rows, (0,), width)) for rows in tables]
    if outline.closures:
        parts.append("\n".join(wrapped(KEY, width)))
    lines = [line for each in sentences(outline, tape) for line in _filled(each, width)]
    return "\n\n".join([*parts, "\n".join(lines)])


def _filled(sentence: str, width: int) -> list[str]:
    indent = " " * (len(sentence) - len(sentence.lstrip()))
    return wrapped(sentence.lstrip(), width, indent, indent)


def sentences(outline: Outline, tape: Tape) -> tuple[str, ...]:
    """The verdict, what it does not cover, what was taken on trust, and what to do about it."""
    curves = arc_sentences(outline.arcs, tape)
    return (*_verdict(outline, tape), *_loose_ends(outline), *_trust(outline), *curves)


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
        "curves": [arc_json(arc) for arc in outline.arcs],
        "readings": [_closure_json(closure) for closure in outline.closures],
        "redundancy": outline.redundancy,
        "scatter": outline.scatter,
        "verdict": outline.verdict,
        "suspect": None if outline.suspect is None else _closure_json(outline.suspect),
        "candidates": [closure.label for closure in outline.candidates],
        "more_than_one": outline.more_than_one,
        "left_out": outline.left_out,
        "others_close": outline.others_close,
        "shift": None if outline.shift is None else _shift_json(outline.shift),
        "measure_next": None if outline.advice is None else _next_json(outline, outline.advice),
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


def refusal_json(fault: InputError) -> dict[str, str]:
    """Why there is no outline, as plain data."""
    return {"place": fault.place, "message": fault.what, "remedy": fault.remedy}


def doubts(outline: Outline) -> bool:
    """Whether a reading is wrong, known which or not."""
    curved = any(doubtful(arc) is not None for arc in outline.arcs)
    return curved or outline.verdict in {"suspect", "cannot-tell"}


def slip_said(closure: Closure, tape: Tape) -> str:
    """The likely slip in a reading: `A-C reads about 20.1 mm too long`.

    0 where no other reading says what it should be, but that it does not reach.
    """
    if closure.slip == 0:
        return f"{closure.label} does not reach, and nothing else says how long it is"
    if closure.kind == "square":
        return f"the {closure.label} is off square by about {_degrees(abs(closure.slip))}"
    if closure.angular:
        way = "large" if closure.slip > 0 else "small"
        return f"{closure.label} reads about {_degrees(abs(closure.slip))} too {way}"
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
        return _suspect(outline, outline.suspect, tape)
    return _cannot_tell(outline, tape)


def _suspect(outline: Outline, suspect: Closure, tape: Tape) -> Iterable[str]:
    said = slip_said(suspect, tape)
    yield f"{said[0].upper()}{said[1:]}. {_others(outline, tape)}"
    if outline.left_out:
        yield f"No outline has it, so the corners above do without it; {_again(suspect)}."
    else:
        yield f"The corners above still use it; {_again(suspect)}."
        yield from _moved(outline, tape)


def _again(closure: Closure) -> str:
    if closure.kind == "square":
        return f"take {closure.label} out, or measure a diagonal across it"
    return f"measure {closure.label} again"


def _others(outline: Outline, tape: Tape) -> str:
    if outline.redundancy == 1 and not outline.left_out:
        return "If one reading alone is wrong, no other one can be."
    if outline.others_close:
        return "All other readings agree without it."
    rest = [each for each in outline.closures if each is not outline.suspect]
    worst = max(rest, key=lambda each: abs(each.w))
    return (
        "The others agree far better without it, yet not as well as they should: look at "
        f"{worst.label} too, {_off(abs(worst.residual), worst, tape)} out."
    )


def _moved(outline: Outline, tape: Tape) -> Iterable[str]:
    """What a wrong reading does to the corners, where it does more than the tape explains."""
    shift = outline.shift
    if shift is not None and shift.beyond:
        size = printed_exact(shift.size, tape.unit)
        least = "" if outline.suspect is not None else "at least "
        yield f"It moves corner {shift.corner} by {least}{size}, more than the tape explains."


def _unchecked(outline: Outline) -> Iterable[str]:
    yield "No reading is checked by another, so a wrong one would not show."
    if outline.advice is not None:
        yield f"Measure one more distance, best {outline.advice.label}: {checks(outline.advice)}."


def checks(advice: NextReading) -> str:
    """What a reading that nobody has taken would check: `it checks 4 of 7 readings`."""
    if advice.done == advice.wanted:
        return "it checks them all"
    return f"it checks {advice.done} of {advice.wanted} readings"


def _cannot_tell(outline: Outline, tape: Tape) -> Iterable[str]:
    advice = outline.advice
    slips = [f"  {slip_said(closure, tape)}" for closure in outline.candidates]
    if outline.more_than_one and not slips:
        yield "More than one reading is wrong, and no single one left out leaves an outline."
        yield "Measure all of them again."
        return
    if outline.more_than_one:
        yield "More than one reading is wrong. Taken one by one, those that fit worst:"
        yield from slips
        yield from _moved(outline, tape)
        yield f"Measure {outline.candidates[0].label} again first."
        return
    yield "A reading is wrong, but these readings cannot tell which. It may be any one of these:"
    if advice is None:
        yield from slips
    else:
        for slip, length in zip(slips, advice.lengths, strict=True):
            yield f"{slip}; then {advice.label} is {printed_exact(length, tape.unit)}"
    yield from _moved(outline, tape)
    yield "Measure them again." if advice is None else f"Measure {advice.label}: {parts(advice)}."


def parts(advice: NextReading) -> str:
    """What a reading that nobody has taken would do: `it tells which`."""
    if advice.done == advice.wanted:
        return "it tells which"
    return f"of {advice.wanted} pairs of these it tells {advice.done} apart, more than any other"


def _loose_ends(outline: Outline) -> Iterable[str]:
    """Readings that no other one checks, where others are checked."""
    labels = [each.label for each in outline.closures if each.share <= LEAST_SHARE]
    if outline.verdict not in {"stated", "unchecked"} and labels:
        yield f"Nothing checks {', '.join(labels)}."
        if outline.verdict == "closes" and outline.advice is not None and outline.advice.done:
            yield f"Measure {outline.advice.label} next: {checks(outline.advice)}."


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


def _more(number: int) -> str:
    return "One is more than needed" if number == 1 else f"{number} are more than needed"


def _off(size: float, closure: Closure, tape: Tape) -> str:
    return _degrees(size) if closure.angular else printed_exact(size, tape.unit)


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.2f}°"


def corner_rows(outline: Outline, tape: Tape, view: View | None = None) -> list[list[str]]:
    """The corners as texts in the tape's unit, a heading first."""
    rows = [["corner", *axes_said(view), "how sure"]]
    runs = _directions(outline)
    for name, point, ellipse in zip(outline.corners, outline.points, outline.ellipses, strict=True):
        sides = [(label, way) for ends, label, way in runs if name in ends]
        held = "held" if outline.closures else "as stated"
        rows.append([
            name,
            *(printed_exact(float(number), tape.unit) for number in point),
            sure_said(ellipse, sides, tape.unit, view) or held,
        ])  # fmt: skip
    return rows


def _directions(outline: Outline) -> list[tuple[tuple[str, str], str, float]]:
    """Each side's corners, its name and its direction; of a curved one that of its chord."""
    return [
        (side.ends, side_name(side.ends), math.atan2(*np.subtract(side.to, side.start)[::-1]))
        for side in outline.sides
    ]


def side_name(ends: tuple[str, str]) -> str:
    """What a side is called: `C-D`, or `C` for a round corner."""
    return "-".join(dict.fromkeys(ends))


def reading_rows(outline: Outline, tape: Tape) -> list[list[str]]:
    """What was read and how it closes, as texts in the tape's unit, a heading first."""
    rows = [["reading", "read", "fits", "off", "times the usual", "a slip shows from"]]
    for closure in outline.closures:
        checked = closure.share > LEAST_SHARE
        rows.append([
            closure.label,
            _degrees(closure.read) if closure.angular else printed(closure.read, tape),
            _off(closure.adjusted, closure, tape),
            _off(closure.residual, closure, tape),
            f"{abs(closure.w):.1f}" if checked else "-",
            _off(closure.findable, closure, tape) if checked else "never: nothing checks it",
        ])  # fmt: skip
    return rows


def _shift_json(shift: Shift) -> dict[str, Any]:
    return {"corner": shift.corner, "size": shift.size, "beyond_tape": shift.beyond}


def _next_json(outline: Outline, advice: NextReading) -> dict[str, Any]:
    labels = [closure.label for closure in outline.candidates]
    return {
        "label": advice.label,
        "expected": dict(zip(labels, advice.lengths, strict=False)),  # none where it only checks
        "tells": advice.done,
        "of": advice.wanted,
    }


def _closure_json(closure: Closure) -> dict[str, Any]:
    in_deg = closure.angular
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
