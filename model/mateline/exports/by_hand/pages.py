"""hand-cutting.pdf: the drawing of each sheet, and its table beside it.

Stands after drawing and table. Where marks and numbers have no room on a page, the sheet is halved,
and each part has a page of its own and is larger there; a page before them shows which is where.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from mateline.exports.by_hand.drawing import (
    EDGE,
    HEAD,
    MARGIN,
    PT,
    drawing_of,
    drawn_of,
    inside,
    laid,
    overview_of,
)
from mateline.exports.by_hand.table import SPACE, sections, size_words, steps, title_of
from mateline.exports.print.figure import Figure, Words, figure_page, width_of
from mateline.exports.print.pdf_file import pdf_bytes
from mateline.exports.print.tiles import paper_for

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from mateline.curves import Point
    from mateline.exports.by_hand.drawing import Box, Drawing, Drawn
    from mateline.exports.by_hand.strokes import HandSheet
    from mateline.exports.print.figure import Clipped, Mark
    from mateline.exports.print.pdf_file import Page
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

ROW = 7.5 * PT  # mm: lettering of the table
LEAD = 1.34  # no unit: from one row to the next, in sizes of lettering
GUTTER = 6.0  # mm between columns
CELL_GAP = 3.0  # mm between cells of a row
LEAST_ROOM = 30.0  # mm: a lower place beside a drawing has no part of the table
MOST_BELOW = 0.5  # no unit: share of a page that the table may take below its drawing
MOST_HALVED = 8  # times: a part of a sheet is then a 256th of it
LABEL = 10.0  # mm²: what a name or a number takes with the room round it
CROWDED = 0.15  # no unit: share of a drawing that labels take at the most
GREY = "#555555"
FEW = 4  # rows: what a heading keeps with it


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: cells side by side, each with its place from the column's left."""

    cells: tuple[tuple[float, str], ...]
    bold: bool = False
    before: float = 0.0  # mm of space above it


def hand_pages(
    sheets: Sequence[HandSheet],
    stencil: Stencil,
    places: Mapping[str, Point],
    tape: Tape,
    paper: str | None = None,
) -> tuple[Page, ...]:
    """The pages of all sheets, without numbers: each book that they stand in counts its own.

    `places` are where each piece's id goes, in the face frame.
    """
    found = paper_for(tape.unit, paper)
    size = (found.width, found.height)
    return tuple(
        figure_page(figure)
        for sheet in sheets
        for figure in sheet_figures(drawn_of(sheet, stencil, places, size), tape)
    )


def said_page(title: str, words: str, size: tuple[float, float]) -> Page:
    """A page that says why there is nothing to cut."""
    return figure_page(_titled(size, title, words, ()))


def hand_cutting_pdf(face: str, pages: Sequence[Page]) -> bytes:
    """The file's bytes, its pages counted."""
    count = len(pages)
    counted = []
    for number, page in enumerate(pages, start=1):
        at = (page.size[0] - MARGIN, MARGIN - 4)
        words = Words(at, 2.6, f"page {number} of {count}", "end", GREY)
        foot = figure_page(Figure("", page.size, (words,))).content
        counted.append(replace(page, content=f"{page.content}\n{foot}"))
    return pdf_bytes(f"Cutting by hand: {face}", counted, [])


def sheet_figures(drawn: Drawn, tape: Tape) -> Iterator[Figure]:
    """The pages of one sheet: its drawing, in parts where it is crowded, and its table."""
    sheet = drawn.sheet
    title, said = title_of(sheet), size_words(sheet, tape).replace(SPACE, " ")
    wide = (drawn.paper[0] - 2 * MARGIN - GUTTER) / 2
    rows = list(_rows(sheet, tape, wide))
    parts = _parts(drawn, rows)
    first = parts[0][1]
    if len(parts) > 1:
        first = overview_of(drawn, [window for window, _ in parts])
        said += f" Marks and numbers are on {len(parts)} pages, after the table."
    here = _levelled(rows, _free(first, wide))
    yield _titled(first.size, title, said, (*first.marks, *here.marks))
    rest = rows[here.count :]
    page = _columns((MARGIN, MARGIN, drawn.paper[0] - MARGIN, _top(drawn.paper)), wide)
    while rest:
        flowed = _levelled(rest, page)
        yield _titled(drawn.paper, title, "", flowed.marks)
        rest = rest[flowed.count :]
    if len(parts) > 1:
        for number, (_, drawing) in enumerate(parts, start=1):
            name = f"part {number} of {len(parts)}"
            yield _titled(drawing.size, f"{title}, {name}", "", drawing.marks)


def _parts(drawn: Drawn, rows: Sequence[Row]) -> list[tuple[Box, Drawing]]:
    """The windows that the sheet is drawn in: the whole, above its table, where there is room."""
    whole = (0.0, 0.0, *drawn.sheet.size)
    need = sum(row.before + LEAD * ROW for row in rows) / 2 + 2 * FEW * LEAD * ROW
    if need < MOST_BELOW * drawn.paper[1] and not _crowded(drawn, whole, need):
        both = drawing_of(drawn, whole, need)
        if both is not None:
            return [(whole, both)]
    return list(_halved(drawn, whole, 0))


def _halved(drawn: Drawn, window: Box, depth: int) -> Iterator[tuple[Box, Drawing]]:
    """The window on one page, or in two halves where labels have no room."""
    final = depth == MOST_HALVED
    page = None
    if final or not _crowded(drawn, window):
        page = drawing_of(drawn, window, final=final)
    if page is not None:
        yield window, page
        return
    left, low, right, high = window
    if right - left > high - low:
        middle = (left + right) / 2
        halves = ((left, low, middle, high), (middle, low, right, high))
    else:
        middle = (low + high) / 2
        halves = ((left, middle, right, high), (left, low, right, middle))
    for half in halves:
        if _holds_any(drawn, half):
            yield from _halved(drawn, half, depth + 1)


def _crowded(drawn: Drawn, window: Box, below: float = 0.0) -> bool:
    """Whether labels would take more of the drawing than there can be room for."""
    left, low, right, high = window
    _, scale, _ = laid(window, drawn.paper, below)
    room = (right - left) * (high - low) * scale**2
    sheet = drawn.sheet
    count = sum(inside(mark.at, window) for mark in sheet.marks)
    count += sum(inside(stroke.run.start, window) for stroke in sheet.strokes)
    return count * LABEL > CROWDED * room


def _holds_any(drawn: Drawn, window: Box) -> bool:
    places = [mark.at for mark in drawn.sheet.marks]
    places += [stroke.run.start for stroke in drawn.sheet.strokes]
    return any(inside(place, window) for place in (*places, *(at for _, at in drawn.ids)))


def _top(size: tuple[float, float]) -> float:
    return size[1] - MARGIN - HEAD


def _titled(
    size: tuple[float, float], title: str, said: str, marks: Sequence[Mark | Clipped]
) -> Figure:
    """A page with its title, and what is said of it."""
    top = size[1] - MARGIN - 2.5
    head = [Words((MARGIN, top), 5.0, title, bold=True)]
    if said:
        head.append(Words((MARGIN, top - 5.2), 3.0, said, colour=GREY))
    return Figure(title, size, (*head, *marks))


def _free(drawing: Drawing, column: float) -> list[Box]:
    """Columns of the table beside or below a drawing, where more of it has room."""
    (wide, _), (_, low, right, _) = drawing.size, drawing.taken
    beside = (right + GUTTER - EDGE, MARGIN, wide - MARGIN, _top(drawing.size))
    below = (MARGIN, MARGIN, wide - MARGIN, low)
    places = (_columns(beside, column), _columns(below, column))
    return max(places, key=lambda columns: sum(high - low for _, low, _, high in columns))


def _columns(box: Box, wide: float) -> list[Box]:
    """Columns of the table that a box has room for."""
    left, low, right, high = box
    if high - low < LEAST_ROOM:
        return []
    count = int((right - left + GUTTER + 1e-6) / (wide + GUTTER))
    return [
        (left + at * (wide + GUTTER), low, left + at * (wide + GUTTER) + wide, high)
        for at in range(count)
    ]


@dataclass(frozen=True, slots=True)
class _Flowed:
    """Rows set into columns, and how many of them had room."""

    marks: tuple[Mark, ...]
    count: int


def _levelled(rows: Sequence[Row], columns: Sequence[Box]) -> _Flowed:
    """Rows in columns alike in height where there is room for all of them."""
    lead = LEAD * ROW
    shares = (sum(row.before + lead for row in rows) / max(len(columns), 1) + at * lead
              for at in range(2 * FEW))  # fmt: skip
    for share in shares:
        level = [(left, max(low, high - share), right, high) for left, low, right, high in columns]
        flowed = _flowed(rows, level)
        if flowed.count == len(rows):
            return flowed
    return _flowed(rows, columns)


def _flowed(rows: Sequence[Row], columns: Sequence[Box]) -> _Flowed:
    marks: list[Mark] = []
    at = 0
    for left, low, _, high in columns:
        y = high
        while at < len(rows):
            row = rows[at]
            y -= (0.0 if y == high else row.before) + LEAD * ROW
            keep = FEW * LEAD * ROW if row.bold else 0.0  # a heading is never last
            if y - keep < low:
                break
            marks += [
                Words((left + across, y + ROW / 2), ROW, words, bold=row.bold)
                for across, words in row.cells
            ]
            at += 1
    return _Flowed(tuple(marks), at)


def _rows(sheet: HandSheet, tape: Tape, wide: float) -> Iterator[Row]:
    """The table in a column that is `wide`."""
    for number, step in enumerate(steps(sheet, tape, "The drawing has"), start=1):
        lines = _lines(step, wide - 4.0)
        yield Row(((0.0, f"{number}."), (4.0, lines[0])), before=0.8)
        yield from (Row(((4.0, line),)) for line in lines[1:])
    for section in sections(sheet, tape):
        yield Row(((0.0, section.title.replace(SPACE, " ")),), bold=True, before=2.4)
        if section.words:
            yield from (Row(((0.0, line),)) for line in _lines(section.words, wide))
        cells = [cell.replace(SPACE, " ") for cell in section.cells]
        widest = max((width_of(cell, ROW) for cell in cells), default=0.0) + CELL_GAP
        count = max(1, int((wide + CELL_GAP) / widest))
        for first in range(0, len(cells), count):
            here = cells[first : first + count]
            yield Row(tuple((at * widest, cell) for at, cell in enumerate(here)))


def _lines(words: str, wide: float) -> list[str]:
    """Words in lines that are `wide`; no reading is parted."""
    lines = [""]
    for word in words.split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and width_of(longer.replace(SPACE, " "), ROW) > wide:
            lines.append(word)
        else:
            lines[-1] = longer
    return [line.replace(SPACE, " ") for line in lines]
