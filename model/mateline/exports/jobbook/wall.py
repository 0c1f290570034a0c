"""One face in one pass on the wall: its drawing at a round scale, and a list to tick.

Stands after passes. A page is drawn straight onto a reportlab canvas, points, y up as in the face
frame, so that the face is only moved and scaled.

    +-------------------------------+---------------+
    | Pass 3 of 5: red   body-left  | off back      |
    |   drawing                     | [ ] [ ]  R1   |
    |   scale bar, key              | [ ] [ ]  R2   |
    +-------------------------------+---------------+
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import shapely
from shapely import Polygon

from mateline.cabinet.hole import keep_clear, on_face, opening
from mateline.curves import flattened
from mateline.exports.jobbook.passes import BOARD
from mateline.exports.picture.legend import ink_on

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from mateline.curves import Chain
    from mateline.exports.picture.widest import Lines
    from mateline.paint.passes import FacePass, Pass
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil

    Array = NDArray[np.float64]

MM = 72 / 25.4  # points a mm
COARSE = 0.12  # mm on paper: borders are drawn this roughly, a hair
SCALES = (1, 2, 2.5, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 16, 20, 25, 30, 40, 50, 75, 100)
BESIDE = 6.5  # points: lettering of an id beside its piece
LIST = 46 * MM  # width of the list to tick
HEAD = 16 * MM  # height of the heading
FOOT = 14 * MM  # height of the scale bar and the key
ROW = (6.2 * MM, 3.4 * MM)  # largest and smallest height of a row
TICK = 3.4 * MM
STEP = 6.5 * MM  # from one box to the next
UNDER = 0.72  # no unit: how much of the board's colour lies over paint that is done
KEY = (
    "Thick edge: off and wet. Tinted: board over paint that is done. Plain: board, not painted yet."
)
LETTER = (9.0, 4.5)  # points: largest and smallest lettering of an id


@dataclass(frozen=True, slots=True)
class Sheet:
    """A face prepared for all its passes, at 1:`denominator`, points from its lower-left corner.

    `paths` are reportlab's, by piece; `spots` are x, y and the radius of the widest circle, where
    the id goes; `hardware` are paths and fills.
    """

    stencil: Stencil
    denominator: float
    paths: Mapping[str, Any]
    spots: Mapping[str, tuple[float, float, float]]
    hardware: tuple[tuple[Any, str], ...]


def sheet_of(stencil: Stencil, box: tuple[float, float], places: Lines) -> Sheet:
    """Prepare a face for pages of `box` (width, height in points); ids stand in `places`.

    Pieces are simplified together, so that neighbours still meet. Raises ValueError as
    `scale_for` does.
    """
    _, _, wide, high = stencil.face.outline.bounds
    denominator = scale_for((wide, high), (box[0] - LIST - 8 * MM, box[1] - HEAD - FOOT))
    factor = MM / denominator
    whole = [piece.area for piece in stencil.pieces]
    areas = shapely.coverage_simplify(whole, COARSE * denominator)
    ids = [piece.id for piece in stencil.pieces]
    hardware: list[tuple[Any, str]] = []
    outline = stencil.face.outline
    for hole in stencil.face.holes:
        if hole.stays:
            hardware.append((_path(_shown(keep_clear(hole), outline, factor)), "#e3e6e9"))
        fill = "#9aa1a9" if hole.stays else "#26292d"
        hardware.append((_path(_shown(opening(hole), outline, factor)), fill))
    paths = [_path(ring * factor for ring in _rings(area)) for area in areas]
    spots = [_spot(circle, factor) for circle in places]
    return Sheet(
        stencil,
        denominator,
        dict(zip(ids, paths, strict=True)),
        dict(zip(ids, spots, strict=True)),
        tuple(hardware),
    )


def draw(canvas: Any, box: tuple[float, float], sheet: Sheet, shown: Shown) -> None:
    """Draw the page into `box` (width, height in points), its lower-left corner at (0, 0)."""
    width, height = box
    first, *_ = lists(shown.there, box)
    _heading(canvas, height, sheet.stencil.paints[shown.each.colour], shown)
    high = sheet.stencil.face.outline.bounds[3] * MM / sheet.denominator
    canvas.saveState()
    canvas.translate(0, height - HEAD - high)
    _drawing(canvas, sheet, shown)
    _bar(canvas, sheet.denominator, shown.bar)
    canvas.restoreState()
    _ticks(canvas, (width - LIST, 0, width, height - HEAD), shown.there, first)


def draw_list(
    canvas: Any, box: tuple[float, float], shown: Shown, paint: str, off: Sequence[str]
) -> None:
    """Draw a page that goes on with the list of a page before it."""
    width, height = box
    _heading(canvas, height, paint, shown)
    _ticks(canvas, (0, 0, width, height - HEAD), shown.there, off)


def lists(there: FacePass, box: tuple[float, float]) -> list[tuple[str, ...]]:
    """The pieces that are off, parted into what one page after the other has room for."""
    rows = _rows(box[1] - HEAD)
    first, more = 2 * rows, int(2 * box[0] / LIST) * rows
    off = there.off
    rest = [off[at : at + more] for at in range(first, len(off), more)]
    return [off[:first], *rest]


def _rows(height: float) -> int:
    """How many rows of boxes fit under one another at the least, beside heading and closing."""
    return int((height - 5 * MM - 2 * ROW[0]) / ROW[1])


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


def scale_for(size: tuple[float, float], room: tuple[float, float]) -> float:
    """The least denominator of `SCALES` at which `size` mm fits into `room` points.

    Raises ValueError where none does: no face is that large.
    """
    need = max(size[0] * MM / room[0], size[1] * MM / room[1])
    fitting = [scale for scale in SCALES if scale >= need]
    if not fitting:
        raise ValueError(f"a face of {size[0]:.0f} by {size[1]:.0f} mm fits on no page")
    return fitting[0]


def _heading(canvas: Any, top: float, paint: str, shown: Shown) -> None:
    each, there = shown.each, shown.there
    canvas.setFillColor(paint)
    canvas.setStrokeColor("#000000")
    canvas.setLineWidth(0.7)
    canvas.rect(0, top - 8 * MM, 8 * MM, 8 * MM, fill=1, stroke=1)
    canvas.setFillColor("#000000")
    canvas.setFont("Helvetica-Bold", 20)
    title = f"Pass {each.order} of {shown.last}: {each.colour}   {there.face}"
    canvas.drawString(11 * MM, top - 6.5 * MM, title)
    canvas.setFont("Helvetica", 11)
    after = "goes back when dry" if there.back else "then all board comes off"
    said = f"{len(there.off)} off and wet, {after}; {len(there.stays)} stay"
    if shown.set_of:
        said += f". The set of {shown.set_of}, turned over: names as on its board"
    canvas.drawString(11 * MM, top - 11.5 * MM, said)


def _drawing(canvas: Any, sheet: Sheet, shown: Shown) -> None:
    off = frozenset(shown.there.off)
    order = sorted(sheet.stencil.pieces, key=lambda piece: piece.id in off)  # wet edges on top
    fills = {piece.id: _fill(piece, sheet, shown) for piece in order}
    for piece in order:
        canvas.setFillColor(fills[piece.id])
        canvas.setLineWidth(1.6 if piece.id in off else 0.35)
        _painted(canvas, sheet.paths[piece.id])
    canvas.setLineWidth(0.35)
    for path, fill in sheet.hardware:
        canvas.setFillColor(fill)
        _painted(canvas, path)
    for piece in order:
        _id(canvas, piece, sheet, (fills[piece.id], piece.id in off))


def _id(canvas: Any, piece: Piece, sheet: Sheet, look: tuple[str, bool]) -> None:
    """The piece's letter and number in it; where there is no room, beside it if it is off."""
    fill, off = look
    x, y, radius = sheet.spots[piece.id]
    name = piece.short
    size = min(LETTER[0], 0.8 * 2 * radius / (0.36 + 0.5 * len(name)))
    canvas.setFillColor(ink_on(fill))
    if size >= LETTER[1]:
        canvas.setFont("Helvetica-Bold" if off else "Helvetica", size)
        canvas.drawCentredString(x, y - 0.36 * size, name)
    elif off:
        canvas.setFont("Helvetica-Bold", BESIDE)
        canvas.setLineWidth(1.6)
        for ink, mode in (("#ffffff", 1), ("#000000", 0)):  # a white rim, then the letters
            canvas.setStrokeColor(ink)
            canvas.setFillColor(ink)
            canvas.drawString(x + radius + 1.5, y - 0.36 * BESIDE, name, mode=mode)
        canvas.setStrokeColor("#000000")


def _fill(piece: Piece, sheet: Sheet, shown: Shown) -> str:
    paint = sheet.stencil.paints[piece.colour]
    if piece.id in shown.there.off:
        return paint
    if piece.id in shown.done or piece.colour == sheet.stencil.base:
        return _mixed(paint, BOARD, UNDER)
    return BOARD


def _mixed(paint: str, other: str, share: float) -> str:
    pairs = [(int(paint[at : at + 2], 16), int(other[at : at + 2], 16)) for at in (1, 3, 5)]
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)


def _path(rings: Iterable[Array]) -> Any:
    from reportlab.pdfgen.pathobject import PDFPathObject  # noqa: PLC0415  only files need it

    path = PDFPathObject()
    for ring in rings:
        start, *rest = ring.tolist()
        path.moveTo(*start)
        for point in rest:
            path.lineTo(*point)
        path.close()
    return path


def _painted(canvas: Any, path: Any) -> None:
    canvas.drawPath(path, fill=1, stroke=1, fillMode=0)  # 0: even-odd


def _bar(canvas: Any, denominator: float, lengths: Sequence[tuple[float, str]]) -> None:
    fitting = [pair for pair in lengths if pair[0] / denominator <= 60] or [lengths[0]]
    length, words = fitting[-1]
    drawn = length * MM / denominator
    canvas.setFillColor("#000000")
    canvas.rect(0, -6 * MM, drawn, 1.4 * MM, fill=1, stroke=0)
    canvas.setFont("Helvetica", 10)
    canvas.drawString(drawn + 3 * MM, -6 * MM, f"{words}, scale 1:{denominator:g}")
    canvas.drawString(0, -12 * MM, KEY)


def _ticks(
    canvas: Any,
    place: tuple[float, float, float, float],
    there: FacePass,
    off: Sequence[str],
) -> None:
    """Boxes to tick, in as few columns as hold them; `place` is left, bottom, right and top."""
    left, bottom, right, top = place
    most = int((top - bottom - 5 * MM - 2 * ROW[0]) / ROW[0])
    columns = 1 if len(off) <= most else int(2 * (right - left) / LIST)
    rows = max(-(-len(off) // columns), 1)
    row = max(ROW[1], min(ROW[0], (top - bottom - 5 * MM - 2 * ROW[0]) / rows))
    boxes = ("off", "back") if there.back else ("off",)
    wide, size = (right - left) / columns, min(TICK, 0.8 * row)
    canvas.setFillColor("#000000")
    canvas.setStrokeColor("#000000")
    canvas.setLineWidth(0.7)
    for index, piece in enumerate(off):
        column, at = divmod(index, rows)
        x, y = left + column * wide, top - 5 * MM - (at + 1) * row
        for step, word in enumerate(boxes):
            if at == 0:
                canvas.setFont("Helvetica", 9)
                canvas.drawString(x + step * STEP, top - 3 * MM, word)
            canvas.rect(x + step * STEP, y, size, size, fill=0, stroke=1)
        name, room = there.short(piece), wide - len(boxes) * STEP - 1 * MM
        canvas.setFont("Helvetica-Bold", min(12, 2.4 * size / MM + 3, room / (0.65 * len(name))))
        canvas.drawString(x + len(boxes) * STEP, y + 0.15 * size, name)
    if off[-1:] == there.off[-1:]:
        y = top - 5 * MM - rows * row - 1.6 * ROW[0]
        canvas.rect(left, y, TICK, TICK, fill=0, stroke=1)
        canvas.setFont("Helvetica", 9)
        closing = "dry to tape" if there.back else "dry, all board off: done"
        canvas.drawString(left + 6 * MM, y + 0.15 * TICK, closing)


def _rings(area: Polygon) -> tuple[Array, ...]:
    return tuple(shapely.get_coordinates(ring)[:-1] for ring in shapely.get_rings(area))


def _shown(chain: Chain, outline: Polygon, factor: float) -> list[Any]:
    return [flattened(part) * factor for part in on_face(chain, outline)]


def _spot(circle: Any, factor: float) -> tuple[float, float, float]:
    """x, y and radius of a circle given by a line from its centre to its rim, times `factor`."""
    if circle.is_empty:
        return 0.0, 0.0, 0.0
    (x, y), _ = circle.coords
    return float(x) * factor, float(y) * factor, float(circle.length) * factor
