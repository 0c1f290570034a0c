"""Pages of the book for the wall: a face's key, one face in one pass, and lists to tick.

Stands after passes. A page is drawn straight onto a reportlab canvas, points, y up as in the face
frame, so that the face is only moved and scaled.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from mateline.exports.jobbook.paper.labels import HIGH, leader
from mateline.exports.jobbook.paper.sheet import ENTRY, FOOT, GAP, HEAD, MM, ROW, STEP, TICK, TITLES
from mateline.exports.jobbook.passes import BOARD
from mateline.exports.picture.legend import ink_on
from mateline.exports.print.figure import width_of
from mateline.tape.quantities import counted

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from mateline.exports.jobbook.paper.labels import Label
    from mateline.exports.jobbook.paper.sheet import Layout, Sheet
    from mateline.paint.passes import FacePass, Pass

UNDER = 0.72  # no unit: how much of the board's colour lies over paint that is done
WORDS = 9.0  # points: lettering of the legend
KEYED = 4 * MM  # from one line of the legend to the next
FINE, WET = 0.35, 1.6  # points: a border's line, and the edge of what is off
RING = 1.2  # points: the white edge by which a hole is seen on dark paint
BOLD = 1.08  # no unit: how much wider an id is in bold
STAYS = "#9aa1a9"
FOUND = "#b3261e"  # a finding's number


@dataclass(frozen=True, slots=True)
class Shown:
    """What a page is about: the pass, what it does here, and what was painted before on the face.

    `set_of` is the face whose set lies here, turned over, if another one's does. `bar` is a length
    in mm and its text in the user's unit.
    """

    each: Pass
    last: int
    there: FacePass
    done: frozenset[str]
    bar: tuple[tuple[float, str], ...]
    set_of: str = ""


@dataclass(frozen=True, slots=True)
class Key:
    """What a key page is about. `part` tells which part of the face is on it, "" for all of it;
    `said` is the line under the heading.
    """

    part: str
    said: str
    bar: tuple[tuple[float, str], ...]


def draw(canvas: Any, sheet: Sheet, shown: Shown, off: Sequence[str], *, last: bool) -> None:
    """Draw a pass into the sheet's frame, its lower-left corner at (0, 0); `off` are listed, and
    are the `last` of them or go on.
    """
    _pass_heading(canvas, sheet.layout.frame, sheet.stencil.paints[shown.each.colour], shown)
    pieces = frozenset(shown.there.off)
    fills = {piece: _fill(piece, colour, sheet, shown) for piece, colour in _colours(sheet)}
    _drawing(canvas, sheet, fills, pieces)
    _foot(canvas, sheet, shown.bar, _pass_keys(sheet, shown), _left_out(sheet, shown))
    _ticks(canvas, sheet.layout, shown.there, off)
    if last:
        _closing(canvas, (sheet.layout.frame[0] - 50 * MM, FOOT - 4.5 * MM), shown.there)


def draw_key(canvas: Any, sheet: Sheet, key: Key) -> None:
    """Draw the face, or a part of it, in its colours with every id."""
    name, (wide, high) = sheet.stencil.face.name, sheet.layout.frame
    canvas.setFillColor(_ink("#000000"))
    canvas.setFont("Helvetica-Bold", 20)
    canvas.drawString(0, high - 6.5 * MM, f"Key: {name}{key.part}")
    _fitted(canvas, (0, high - 11.5 * MM), wide, key.said)
    fills = {piece: sheet.stencil.paints[colour] for piece, colour in _colours(sheet)}
    _drawing(canvas, sheet, fills, frozenset())
    _foot(canvas, sheet, key.bar, _key_keys(sheet), _unnamed(sheet))


def draw_list(
    canvas: Any,
    frame: tuple[float, float],
    shown: Shown,
    paint: str,
    off: Sequence[str],
    *,
    last: bool,
) -> None:
    """Draw a page that goes on with the list of a page before it."""
    wide, high = frame
    _pass_heading(canvas, frame, paint, shown)
    columns, rows = _list_page(frame)
    _boxes(canvas, (0, high - HEAD), (columns, rows), shown.there, off)
    if last:
        _closing(canvas, (wide - 52 * MM, 2 * MM), shown.there)


def lists(there: FacePass, first: int, frame: tuple[float, float]) -> list[tuple[str, ...]]:
    """The pieces that are off, parted into what one page after the other has room for: `first`
    beside the drawing, then lists alone.
    """
    columns, rows = _list_page(frame)
    more, off = columns * rows, there.off
    rest = [off[at : at + more] for at in range(first, len(off), more)]
    return [off[:first], *rest]


def _list_page(frame: tuple[float, float]) -> tuple[int, int]:
    return int(frame[0] / ENTRY), int((frame[1] - HEAD - TITLES - 8 * MM) / ROW)


def _pass_heading(canvas: Any, frame: tuple[float, float], paint: str, shown: Shown) -> None:
    each, there, (wide, top) = shown.each, shown.there, frame
    canvas.setFillColor(_ink(paint))
    canvas.setStrokeColor(_ink("#000000"))
    canvas.setLineWidth(0.7)
    canvas.rect(0, top - 8 * MM, 8 * MM, 8 * MM, fill=1, stroke=1)
    canvas.setFillColor(_ink("#000000"))
    canvas.setFont("Helvetica-Bold", 20)
    title = f"Pass {each.order} of {shown.last}: {each.colour}   {there.face}"
    canvas.drawString(11 * MM, top - 6.5 * MM, title)
    back = "goes back when dry" if len(there.back) == 1 else "go back when dry"
    after = back if there.back else "then all board comes off"
    said = f"{len(there.off)} off and wet, {after}; {len(there.stays)} stay"
    if shown.set_of:
        said += f". The set of {shown.set_of}, turned over: names as on its board"
    _fitted(canvas, (11 * MM, top - 11.5 * MM), wide - 11 * MM, said)


def _fitted(canvas: Any, at: tuple[float, float], wide: float, words: str) -> None:
    """Words in a line, smaller where they are too long for it."""
    size = min(11.0, 11.0 * wide / (width_of(words, 11.0) or 1.0))
    canvas.setFont("Helvetica", max(size, 6.5))
    canvas.drawString(*at, words)


def _colours(sheet: Sheet) -> list[tuple[str, str]]:
    return [(each.id, each.colour) for each in sheet.stencil.pieces if each.id in sheet.paths]


def _drawing(canvas: Any, sheet: Sheet, fills: Mapping[str, str], off: frozenset[str]) -> None:
    """The pieces, those that are off on top with wet edges, hardware, then every id."""
    canvas.saveState()
    canvas.translate(*sheet.origin)
    canvas.setStrokeColor(_ink("#000000"))
    canvas.saveState()
    clip = canvas.beginPath()
    wide, high, edge = sheet.size[0] * MM, sheet.size[1] * MM, WET
    clip.moveTo(-edge, -edge)
    for point in ((wide + edge, -edge), (wide + edge, high + edge), (-edge, high + edge)):
        clip.lineTo(*point)
    canvas.clipPath(clip, stroke=0, fill=0)
    canvas.setLineJoin(1)
    for piece in sorted(fills, key=lambda each: each in off):
        canvas.setFillColor(_ink(fills[piece]))
        canvas.setLineWidth(WET if piece in off else FINE)
        _painted(canvas, sheet.paths[piece])
    canvas.setLineWidth(RING)
    canvas.setStrokeColor(_ink("#ffffff"))
    for path, fill in sheet.hardware:
        canvas.setFillColor(_ink(fill))
        _painted(canvas, path)
    canvas.restoreState()
    for piece, label in sheet.labels.items():  # all lines before any words: none is struck out
        if label.led is not None:
            _line(canvas, label, heavy=piece in off, finding=piece not in fills)
    for piece, label in sheet.labels.items():
        if label.led is not None:
            _tag(canvas, label, heavy=piece in off, finding=piece not in fills)
        else:
            _inside(canvas, label, fills[piece], heavy=piece in off)
    canvas.restoreState()


def _inside(canvas: Any, label: Label, fill: str, *, heavy: bool) -> None:
    canvas.setFillColor(_ink(ink_on(fill)))
    canvas.setFont("Helvetica-Bold" if heavy else "Helvetica", label.size)
    x, y = label.at[0] * MM, label.at[1] * MM
    canvas.drawCentredString(x, y - HIGH / 2 * label.size, label.name)


def _line(canvas: Any, label: Label, *, heavy: bool, finding: bool) -> None:
    """From a dot on a piece to the box of its id."""
    ink = FOUND if finding else "#000000"
    canvas.setStrokeColor(_ink(ink))
    canvas.setFillColor(_ink(ink))
    canvas.setLineWidth(1.0 if heavy else 0.5)
    for start, end in leader(label):
        x, y = start[0] * MM, start[1] * MM
        line = f"n {x:.2f} {y:.2f} m {end[0] * MM:.2f} {end[1] * MM:.2f} l S"
        canvas._code += [line, f"{_octagon(x, y, 2.2, 2.2)} f"]  # noqa: SLF001  see _octagon


def _octagon(x: float, y: float, wide: float, high: float) -> str:
    """A box about a place, its corners cut off; the library's rounded ones take a page's time."""
    cut, half, tall = 0.3 * min(wide, high), wide / 2, high / 2
    corners = (
        (x - half + cut, y - tall), (x + half - cut, y - tall),
        (x + half, y - tall + cut), (x + half, y + tall - cut),
        (x + half - cut, y + tall), (x - half + cut, y + tall),
        (x - half, y + tall - cut), (x - half, y - tall + cut),
    )  # fmt: skip
    first, *others = (f"{u:.2f} {v:.2f}" for u, v in corners)
    return f"n {first} m {' '.join(f'{each} l' for each in others)} h"


def _tag(canvas: Any, label: Label, *, heavy: bool, finding: bool) -> None:
    """An id in a box; a finding's is dark."""
    ink = FOUND if finding else "#000000"
    canvas.setStrokeColor(_ink(ink))
    canvas.setLineWidth(1.0 if heavy else 0.5)
    x, y = label.at[0] * MM, label.at[1] * MM
    wide, high = label.wide * MM + 2.0, label.size
    canvas.setFillColor(_ink(ink if finding else "#ffffff"))
    canvas._code.append(f"{_octagon(x, y, wide, high)} B")  # noqa: SLF001  see _octagon
    canvas.setFillColor(_ink("#ffffff" if finding else ink))
    canvas.setFont("Helvetica-Bold" if heavy or finding else "Helvetica", label.size)
    canvas.drawCentredString(x, y - HIGH / 2 * label.size, label.name)
    canvas.setStrokeColor(_ink("#000000"))


def _fill(piece: str, colour: str, sheet: Sheet, shown: Shown) -> str:
    paint = sheet.stencil.paints[colour]
    if piece in shown.there.off:
        return paint
    if piece in shown.done or colour == sheet.stencil.base:
        return _mixed(paint, BOARD, UNDER)
    return BOARD


def _mixed(paint: str, other: str, share: float) -> str:
    pairs = [(int(paint[at : at + 2], 16), int(other[at : at + 2], 16)) for at in (1, 3, 5)]
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)


def _painted(canvas: Any, path: Any) -> None:
    canvas.drawPath(path, fill=1, stroke=1, fillMode=0)  # 0: even-odd


Sign = tuple[str, str, float, str]  # fill, shape, width of its edge, words


def _pass_keys(sheet: Sheet, shown: Shown) -> Iterator[Sign]:
    """Only what is on the page."""
    stencil, there = sheet.stencil, shown.there
    yield stencil.paints[shown.each.colour], "box", WET, "off and wet (thick edge)"
    stays = {piece.id: piece.colour for piece in stencil.pieces if piece.id not in there.off}
    done = {each for each, colour in stays.items() if each in shown.done or colour == stencil.base}
    if done:
        tint = _mixed(stencil.paints[stays[min(done)]], BOARD, UNDER)
        yield tint, "box", FINE, "board over paint that is done (tinted)"
    if len(done) < len(stays):
        yield BOARD, "box", FINE, "board, not painted yet (plain)"
    yield from _common_keys(sheet)


def _key_keys(sheet: Sheet) -> Iterator[Sign]:
    counts = Counter(piece.colour for piece in sheet.stencil.pieces)
    letters = {piece.colour: piece.letter for piece in sheet.stencil.pieces}
    for colour, paint in sheet.stencil.paints.items():
        if counts[colour]:
            base = ", base coat" * (colour == sheet.stencil.base)
            words = f"{letters[colour]}: {colour}{base}, {counted(counts[colour])}"
            yield paint, "box", FINE, words
    yield from _common_keys(sheet)
    if any(piece not in sheet.paths for piece in sheet.labels):
        yield FOUND, "tag", FINE, "finding of that number"


def _common_keys(sheet: Sheet) -> Iterator[Sign]:
    holes = sheet.stencil.face.holes
    if any(not hole.stays for hole in holes):
        yield "#26292d", "dot", FINE, "open hole under the board"
    if any(hole.stays for hole in holes):
        yield STAYS, "dot", FINE, "hardware that stays, and room round it"
    if any(label.led for piece, label in sheet.labels.items() if piece in sheet.paths):
        yield "#ffffff", "tag", 0.5, "name of a small piece, with a line to it"


def _unnamed(sheet: Sheet) -> str:
    missed = [each for each in sheet.missed if each in sheet.paths]
    if not missed:
        return ""
    return f"{counted(len(missed))} too small to be named at this size."


def _left_out(sheet: Sheet, shown: Shown) -> str:
    off, stays = frozenset(shown.there.off), shown.there.stays
    unnamed = sum(piece in off for piece in sheet.missed)
    parts = []
    if unnamed:
        parts.append(f"{counted(unnamed)} without room for a name: see the list.")
    if stays and not any(piece in sheet.labels for piece in stays):
        parts.append("What stays is named on the key.")
    return " ".join(parts)


def _foot(
    canvas: Any,
    sheet: Sheet,
    lengths: Sequence[tuple[float, str]],
    keys: Iterator[Sign],
    said: str,
) -> None:
    """The scale bar, what is left out, and the legend in as many lines as it takes."""
    denominator, wide = sheet.layout.denominator, sheet.layout.frame[0]
    fitting = [pair for pair in lengths if pair[0] / denominator <= 60] or [lengths[0]]
    length, words = fitting[-1]
    drawn, y = length * MM / denominator, FOOT - 7.5 * MM
    canvas.setFillColor(_ink("#000000"))
    canvas.rect(0, y, drawn, 1.4 * MM, fill=1, stroke=0)
    canvas.setFont("Helvetica", 10)
    words = f"{words}, scale 1:{denominator:g}"
    canvas.drawString(drawn + 3 * MM, y, words)
    if said:
        left = drawn + 8 * MM + canvas.stringWidth(words, "Helvetica", 10)
        canvas.setFont("Helvetica-Bold", WORDS)
        canvas.drawString(left, y, said)
    x, y = 0.0, y - 5 * MM
    for fill, shape, edge, text in keys:
        needed = 7 * MM + canvas.stringWidth(text, "Helvetica", WORDS)
        if x and x + needed > wide:
            x, y = 0.0, y - KEYED
        _sign(canvas, (x, y), fill, shape, edge)
        canvas.setFillColor(_ink("#000000"))
        canvas.setFont("Helvetica", WORDS)
        canvas.drawString(x + 5.5 * MM, y, text)
        x += needed + 4 * MM


def _sign(canvas: Any, at: tuple[float, float], fill: str, shape: str, edge: float) -> None:
    (x, y), high = at, 2.7 * MM
    canvas.setFillColor(_ink(fill))
    canvas.setStrokeColor(_ink("#000000"))
    canvas.setLineWidth(edge)
    if shape == "dot":
        canvas.circle(x + 2 * MM, y + 1.1 * MM, 1.3 * MM, stroke=1, fill=1)
    else:
        canvas.roundRect(x, y - 0.2 * MM, 4 * MM, high, 1.5 if shape == "tag" else 0.2,
                         stroke=1, fill=1)  # fmt: skip


def _ticks(canvas: Any, layout: Layout, there: FacePass, off: Sequence[str]) -> None:
    """The list beside or below the drawing."""
    left, _, _, top = layout.list_at
    _boxes(canvas, (left, top), (layout.columns, layout.rows), there, off)


def _boxes(
    canvas: Any,
    corner: tuple[float, float],
    grid: tuple[int, int],
    there: FacePass,
    off: Sequence[str],
) -> None:
    """Boxes to tick for each piece, column by column from the upper-left `corner`."""
    (left, top), (columns, rows) = corner, grid
    rows = min(rows, -(-len(off) // columns)) if columns > MOST_BESIDE else rows
    boxes = ("off", "back") if there.back else ("off",)
    canvas.setFillColor(_ink("#000000"))
    canvas.setStrokeColor(_ink("#000000"))
    canvas.setLineWidth(0.7)
    for index, piece in enumerate(off):
        column, at = divmod(index, rows)
        x, y = left + column * ENTRY, top - TITLES - (at + 1) * ROW + 1.5 * MM
        for step, word in enumerate(boxes):
            if at == 0:
                canvas.setFont("Helvetica", 8.5)
                canvas.drawString(x + step * STEP, top - 4 * MM, word)
            canvas.rect(x + step * STEP, y, TICK, TICK, fill=0, stroke=1)
        name, room = there.short(piece), ENTRY - len(boxes) * STEP - GAP
        canvas.setFont("Helvetica-Bold", max(6.5, min(12, room / (BOLD * width_of(name, 1.0)))))
        canvas.drawString(x + len(boxes) * STEP, y + 0.15 * TICK, name)


MOST_BESIDE = 2  # columns: more lie below a drawing or have their own page, and are filled evenly


def _closing(canvas: Any, at: tuple[float, float], there: FacePass) -> None:
    x, y = at
    canvas.setStrokeColor(_ink("#000000"))
    canvas.setFillColor(_ink("#000000"))
    canvas.setLineWidth(0.7)
    canvas.rect(x, y, TICK, TICK, fill=0, stroke=1)
    canvas.setFont("Helvetica", 10)
    closing = "dry to tape" if there.back else "dry, all board off: done"
    canvas.drawString(x + 6 * MM, y + 0.15 * TICK, closing)


@lru_cache(maxsize=256)  # the library reads a colour's name for longer than it draws the piece
def _ink(colour: str) -> Any:
    from reportlab.lib.colors import HexColor  # noqa: PLC0415  only files need it

    return HexColor(colour)
