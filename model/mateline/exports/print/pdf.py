"""stencil.pdf: a face at true size on one page, and again over sheets that a printer takes.

Stands after layers, tiles and pdf_file. Page 1 is the whole face, for a plotter or a print shop;
then a map of the sheets, and the sheets. Every true-size page has two bars to be measured before
anything is cut.
"""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from mateline.curves import Chain, Segment
from mateline.exports.cut.layers import BACK, layers_of
from mateline.exports.cut.sheets import join_lines, join_marks
from mateline.exports.cut.svg import INK
from mateline.exports.print.line_legend import DASHES, FRAME, LINE, PAPER, height_of, legend
from mateline.exports.print.pdf_file import (
    Form,
    Page,
    clipped,
    ink,
    pdf_bytes,
    placed,
    stroked,
    text,
)
from mateline.exports.print.tiles import (
    FOOT,
    INCH,
    MARGIN,
    OVERLAP,
    paper_for,
    tiles_for,
    window_size,
)
from mateline.tape.quantities import is_inches
from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.cabinet.faces import Face
    from mateline.curves import Point
    from mateline.exports.cut.layers import Layers
    from mateline.exports.print.tiles import Tile, Tiles
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

ROOM = 2.0  # mm round the face: its outline is still whole where the map makes it small
BAR, BAR_US = (100.0, "100 mm"), (4 * INCH, '4"')  # of jobs that are metric, and in inches
MEASURE = (
    "Measure this bar with your own rule before you cut anything.",
    "If it is off, print again at 100 %, without fitting to the page.",
)
BEHIND = (
    "Names in violet, mirrored, are for the back: letter each piece there with the same name when"
    " it is cut, its arrow up."
)
JOINING = (
    "Cut each paper along its frame at the left and at the bottom, lay it on its neighbour",
    "so that the lines in the shared strip meet, and tape it down. The strip is {overlap} wide.",
    "The name outside a side of the frame is the paper that goes on there.",
)
TICK = 5.0  # mm: crop marks
BESIDE = 2.2  # mm: height of the names of papers beside a sheet
LETTERS, LEADING = 3.2, 4.5  # mm: height of words above a drawing, and from line to line


def stencil_pdf(
    stencil: Stencil,
    tape: Tape,
    paper: str | None = None,
    layers: Layers | None = None,
    how: str = "",
) -> bytes:
    """The file's bytes; the same stencil gives the same ones.

    `paper` is a name of `tiles.PAPERS`; without it the sheets are A4, or Letter for an inch tape.
    `layers` are the stencil's own, where they are known already; joins of sheets are drawn with
    them. `how` says how the set is turned over, on the first two pages.
    """
    drawn = {
        **(layers or layers_of(stencil)),
        "join": join_lines(stencil.grid),
        "mark": join_marks(stencil.grid),
    }
    forms = _forms(stencil.face, drawn)
    tiles = tiles_for(stencil.face.outline, paper_for(tape.unit, paper))
    there = [layer for layer, chains in drawn.items() if chains]
    said = (how, BEHIND) if drawn[BACK] else (how,) if how else ()
    pages = [
        _whole(stencil, tape, forms, said, there),
        _map(stencil, tape, tiles, forms, said, [*there, PAPER]),
    ]
    pages += [_sheet(tile, tiles, stencil, tape, forms) for tile in tiles.tiles]
    return pdf_bytes(f"Stencil of {stencil.face.name}", pages, forms)


def _forms(face: Face, layers: Layers) -> list[Form]:
    left, low, right, high = face.outline.bounds
    room = (left - ROOM, low - ROOM, right + ROOM, high + ROOM)
    return [
        Form(layer, room, f"{ink(INK[layer], LINE, DASHES.get(layer, ()))}\n{stroked(chains)}")
        for layer, chains in layers.items()
        if chains or layer not in {BACK, "join", "mark"}
    ]


def _whole(
    stencil: Stencil, tape: Tape, forms: list[Form], said: Sequence[str], there: Sequence[str]
) -> Page:
    _, _, width, height = stencil.face.outline.bounds
    wide = max(width, 200.0)  # a face narrower than the words still needs room for them
    lines = list(_wrapped(said, wide))
    head = len(lines) * LEADING + height_of(there, wide) + 3.0
    top = height + MARGIN + FOOT + head
    title = f"{stencil.face.name}, {_sized(stencil.face, tape)}, true size"
    content = [placed(forms, (MARGIN, MARGIN + FOOT)), _foot(title, tape)]
    content += [text((MARGIN, top - at * LEADING), LETTERS, line) for at, line in enumerate(lines)]
    content += legend(there, (MARGIN, top - (len(lines) - 0.6) * LEADING), wide)
    size = (wide + 2 * MARGIN, top + MARGIN)
    return Page(f"{stencil.face.name} whole", size, "\n".join(content))


def _sized(face: Face, tape: Tape) -> str:
    _, _, width, height = face.outline.bounds
    return f"{printed(width, tape)} x {printed(height, tape)}"


def _wrapped(said: Sequence[str], wide: float) -> Iterator[str]:
    """Sentences in lines that fit on paper `wide` mm, at about half a sign's height a sign."""
    for words in said:
        yield from textwrap.wrap(words, int(wide / (0.52 * LETTERS)))


def _map(
    stencil: Stencil,
    tape: Tape,
    tiles: Tiles,
    forms: list[Form],
    said: Sequence[str],
    there: Sequence[str],
) -> Page:
    """The face made small, with the windows of all sheets over it; the paper is turned so that it
    is largest, however the sheets lie.
    """
    windows = [tile.window for tile in tiles.tiles]
    left, low = min(w[0] for w in windows), min(w[1] for w in windows)
    right, high = max(w[2] for w in windows), max(w[3] for w in windows)

    def laid(page: tuple[float, float]) -> tuple[float, list[str], float]:
        """The scale on a page, the words in lines, and where these end, mm from above."""
        wide, tall = window_size(page)
        lines = [*JOINING, *_wrapped(said, wide)]
        words_end = 14.5 + LEADING * len(lines)
        head = words_end + height_of(there, wide) + 1.0
        scale = min(wide / (right - left), (tall + FOOT - head) / (high - low))
        return scale, lines, words_end

    page = max((tiles.size, tiles.size[::-1]), key=lambda each: laid(each)[0])
    scale, lines, words_end = laid(page)
    wide, _ = window_size(page)
    head = words_end + height_of(there, wide) + 1.0
    origin = (MARGIN - left * scale, page[1] - MARGIN - head - high * scale)

    def small(x: float, y: float) -> Point:
        return origin[0] + x * scale, origin[1] + y * scale

    parts = [placed(forms, origin, scale), ink(FRAME, 0.3)]
    size = min(
        4.5, scale * (window_size(tiles.size)[0] - 2 * OVERLAP) / 4.8
    )  # "paper 100" fits into the narrowest
    for tile in tiles.tiles:
        x0, y0, x1, y1 = tile.window
        parts.append(stroked([_box(*small(x0, y0), *small(x1, y1))]))
        corner = small(x0 + OVERLAP, y1 - OVERLAP)
        parts.append(text((corner[0] + 1, corner[1] - 1.2 * size), size, _called(tile)))
    top = page[1] - MARGIN
    name = f"{stencil.face.name}, {_sized(stencil.face, tape)}, on {len(tiles.tiles)} papers, "
    parts.append(
        text((MARGIN, top - 5), 4.5, f"{name}{tiles.paper.name}. This page is no template.")
    )
    overlap = printed(OVERLAP, tape)
    parts += legend(there, (MARGIN, top - words_end + 2.5), wide)
    parts += [
        text((MARGIN, top - 12 - LEADING * at), LETTERS, line.format(overlap=overlap))
        for at, line in enumerate(lines)
    ]
    return Page(f"{stencil.face.name} map", page, "\n".join(parts))


def _sheet(tile: Tile, tiles: Tiles, stencil: Stencil, tape: Tape, forms: list[Form]) -> Page:
    (left, low, _, _), face = tile.window, stencil.face
    wide, tall = window_size(tiles.size)
    window = (MARGIN, MARGIN + FOOT, MARGIN + wide, MARGIN + FOOT + tall)
    drawing = clipped(window, placed(forms, (window[0] - left, window[1] - low)))
    place = f"row {tile.row}, column {tile.column}"
    title = f"{face.name}, {_called(tile)} of {len(tiles.tiles)}: {place}"
    parts = [drawing, ink("#000000", 0.15), stroked(_crops(window)), ink("#999999", 0.1, (2, 2))]
    parts.append(stroked([_box(*window)]))
    parts += [text(at, BESIDE, words) for at, words in _beside(tile, tiles, window)]
    return Page(f"{face.name} {_called(tile)}", tiles.size, "\n".join([*parts, _foot(title, tape)]))


def _beside(
    tile: Tile, tiles: Tiles, window: tuple[float, float, float, float]
) -> Iterator[tuple[Point, str]]:
    """The names of the papers that go on, each outside its side of the window: one word over the
    other at the left and right, where there is no room for both.
    """
    left, low, right, high = window
    middle = ((left + right) / 2, (low + high) / 2)
    (x0, y0, x1, y1), step = tile.window, 1e-6
    for other in tiles.tiles:
        a0, b0, a1, b1 = other.window
        if abs(b0 - y0) < step and (a0 < x0 <= a1 or x0 < a0 <= x1):
            x = left - 6.6 if a0 < x0 else right + 1.0
            yield (x, middle[1] + 2.8), PAPER
            yield (x, middle[1]), str(other.number)
        elif abs(a0 - x0) < step and y0 < b0 <= y1:
            yield (middle[0], high + 1.0), _called(other)
        elif abs(a0 - x0) < step and b0 < y0 <= b1:
            yield (middle[0], low - 3.0), _called(other)


def _called(tile: Tile) -> str:
    """Its name beside sheets of board and loads, which are counted too."""
    return f"{PAPER} {tile.number}"


def _crops(window: tuple[float, float, float, float]) -> list[Chain]:
    """Marks outside the window's corners, in line with its sides."""
    left, low, right, high = window
    ticks = []
    for x, out in ((left, -TICK), (right, TICK)):
        ticks += [_line((x + out / 5, y), (x + out, y)) for y in (low, high)]
    for y, out in ((low, -TICK), (high, TICK)):
        ticks += [_line((x, y + out / 5), (x, y + out)) for x in (left, right)]
    return ticks


def _foot(title: str, tape: Tape) -> str:
    """The page's name, a bar of the job's unit, and what to do with it."""
    (length, name), y = BAR_US if is_inches(tape.unit) else BAR, MARGIN + 4
    right = MARGIN + length
    ends = [_line((at, y - 1.5), (at, y + 1.5)) for at in (MARGIN, right)]
    parts = [ink("#000000", LINE), stroked([_line((MARGIN, y), (right, y)), *ends])]
    parts.append(text((right + 1.5, y - 1), 3.0, name))
    parts.append(text((MARGIN, MARGIN + 8.5), 3.4, title))
    parts += [text((MARGIN + 118, MARGIN + 4.5 - 3.3 * at), 2.5, line) for at, line in
              enumerate(MEASURE)]  # fmt: skip
    return "\n".join(parts)


def _line(a: Point, b: Point) -> Chain:
    return Chain(a, (Segment(b),))


def _box(left: float, low: float, right: float, high: float) -> Chain:
    corners = ((right, low), (right, high), (left, high), (left, low))
    return Chain((left, low), tuple(map(Segment, corners)))
