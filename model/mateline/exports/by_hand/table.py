"""The table of a sheet that is cut by hand: what to do in which order, marks and strokes.

Stands after strokes. hand-cutting.txt is this table, in 80 columns; hand-cutting.pdf has the same
lines beside the drawing.
"""

from __future__ import annotations

import math
import textwrap
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.curves import Point
    from mateline.exports.by_hand.strokes import HandSheet, Stroke
    from mateline.tape.accuracy import Tape

WIDTH = 80  # characters of a terminal, and of a page that a text editor prints
GAP = 2  # characters between columns
SPACE = "\u00a0"  # keeps a reading on its line
DRAWING = "hand-cutting.pdf"


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the table: its heading, what to do, and its cells, which are read row by row."""

    title: str
    words: str
    cells: tuple[str, ...]


def hand_cutting(sheets: Sequence[HandSheet], tape: Tape) -> str:
    """The text of a face's hand-cutting.txt."""
    lines: list[str] = []
    for sheet in sheets:
        title = title_of(sheet)
        lines += [title, "=" * len(title), *wrapped(size_words(sheet, tape)), ""]
        for number, step in enumerate(steps(sheet, tape, f"The drawing is {DRAWING}:"), start=1):
            lines += wrapped(step, f"{number}. ", "   ")
        for section in sections(sheet, tape):
            lines += ["", section.title.replace(SPACE, " "), "-" * len(section.title)]
            lines += wrapped(section.words) if section.words else []
            lines += in_columns(section.cells)
        lines += ["", ""]
    return "\n".join([*lines[:-2], ""])


def title_of(sheet: HandSheet) -> str:
    """What a sheet's page is called."""
    return f"Cutting by hand: {sheet.face}" + (f", {sheet.name}" if sheet.name else "")


def size_words(sheet: HandSheet, tape: Tape) -> str:
    """How large the board is, and how much there is to do."""
    wide, high = (_said(side, tape) for side in sheet.size)
    cut = _said(sum(stroke.run.length for stroke in sheet.strokes), tape)
    count = len(sheet.strokes)
    strokes = f"{count} stroke{'s' * (count != 1)}"
    return f"Board {wide} wide, {high} high. {strokes}, {cut} of cut."


def steps(sheet: HandSheet, tape: Tape, drawing: str) -> Iterator[str]:
    """What to do, in the order of the work. `drawing` begins the sentence that says what the
    drawing has: it stands beside, or is another file.
    """
    yield (
        f"{drawing} every mark, and the number of every stroke at its start. "
        "Square the board to its size first. All is measured from its left edge (across) and "
        "from its bottom edge (up)."
    )
    yield (
        "Measure the marks, prick them and write their names beside them. Then draw the "
        "strokes from mark to mark, tool by tool. Every arc turns left on its way from its "
        "first mark to its second, as drawn; a template's size is its diameter."
    )
    if sheet.punches:
        sizes = " and ".join(
            f"{count} of {_said(punch.length, tape)}"
            + (" round" if punch.round else f" by {_said(punch.width, tape)}")
            for punch, count in sheet.punches
        )
        yield f"Punch the holes for the tape tacks where the drawing has them: {sizes}."
    if sheet.folds:
        yield "Score the dashed fold lines of the drawing, but do not cut them."
    last = ""
    if 0 < sheet.trim < len(sheet.strokes):
        first = len(sheet.strokes) - sheet.trim + 1
        last = f" Strokes {first} to {len(sheet.strokes)} free the board: leave them to the end."
    yield f"Write the ids on the pieces, then cut the strokes in the order of their numbers.{last}"


def sections(sheet: HandSheet, tape: Tape) -> Iterator[Section]:
    """The marks, then the strokes by tool, those alike together."""
    unit = _unit(tape)
    if sheet.marks:
        cells = tuple(f"{mark.name}  {_place(mark.at, tape)}" for mark in sheet.marks)
        yield Section(f"Marks ({len(cells)}): across, up{unit}", "", cells)
    by_tool: dict[tuple[int, float, str], list[Stroke]] = defaultdict(list)
    for stroke in sheet.strokes:
        by_tool[_tool(stroke, tape)].append(stroke)
    for (kind, _, tool), strokes in sorted(by_tool.items(), key=lambda item: item[0][:2]):
        words = POINTS if kind == _KINDS["points"] else ""
        yield Section(
            f"{tool}: {_counted(strokes)}",
            words,
            tuple(_cell(stroke, tape) for stroke in strokes),
        )


POINTS = (
    "No compass reaches these from a centre on the board: measure the point between, and bend "
    "a lath round pins in all three."
)
_KINDS = {"edge": 0, "template": 1, "compass": 2, "points": 3}


def _tool(stroke: Stroke, tape: Tape) -> tuple[int, float, str]:
    """How a stroke is drawn: a place in the order of tools, and its words."""
    kind = _KINDS[stroke.how]
    if stroke.how == "edge":
        return kind, 0.0, "Straight edge"
    if stroke.how == "points":
        return kind, 0.0, "By three points"
    reach = _said(stroke.run.reach, tape)
    if stroke.template is not None:
        size = _said(float(stroke.template), tape)
        return kind, float(stroke.template), f"Template {size} across (R {reach})"
    return kind, round(stroke.run.reach / tape.graduation), f"Compass, R {reach}"


def _counted(strokes: Sequence[Stroke]) -> str:
    """How many of what: "13 arcs and 2 circles"."""
    circles = sum(stroke.run.circle for stroke in strokes)
    arcs = sum(stroke.run.centre is not None for stroke in strokes) - circles
    lines = len(strokes) - arcs - circles
    counts = ((lines, "line"), (arcs, "arc"), (circles, "circle"))
    return " and ".join(f"{count} {word}{'s' * (count != 1)}" for count, word in counts if count)


def _cell(stroke: Stroke, tape: Tape) -> str:
    run = stroke.run
    number = f"{stroke.number}".rjust(3)
    centre = "" if run.centre is None else _place(run.centre, tape)
    if run.circle:
        return f"{number}  centre {centre}"
    ends = f"{number}  {stroke.start} to {stroke.to}"
    if stroke.how == "compass":
        return f"{ends}, centre {centre}"
    if stroke.how == "points":
        return f"{ends} by {_place(run.at(0.5), tape)}"
    return ends


def _place(at: Point, tape: Tape) -> str:
    across, up = (_said(value, tape).removesuffix(SPACE + tape.unit) for value in at)
    return f"{across}, {up}".replace(" ", SPACE)


def _unit(tape: Tape) -> str:
    return "" if tape.unit in {"in", "ft"} else f" ({tape.unit})"


def _said(length: float, tape: Tape) -> str:
    return printed(length, tape).replace(" ", SPACE)


def wrapped(words: str, first: str = "", other: str = "") -> list[str]:
    """Lines of `WIDTH` signs; no reading is parted."""
    lines = textwrap.wrap(words, WIDTH, initial_indent=first, subsequent_indent=other)
    return [line.replace(SPACE, " ") for line in lines]


def in_columns(cells: Sequence[str]) -> list[str]:
    """Cells row by row, in as many columns as `WIDTH` holds."""
    wide = max(map(len, cells), default=0) + GAP
    count = max(1, (WIDTH + GAP) // wide)
    rows = math.ceil(len(cells) / count)
    found = []
    for row in range(rows):
        here = cells[row * count : (row + 1) * count]
        line = "".join(cell.ljust(wide) for cell in here).rstrip()
        found.append(line.replace(SPACE, " "))
    return found
