"""A face set on a page: upright or across, its scale, and the room for its list.

Stands after labels. Points, from the lower-left corner of the page's frame, y up.

    +--------------------------+      +----------------------------+
    | heading                  |      | heading                    |
    |               | list     |      |                            |
    |   drawing     |          |  or  |   drawing                  |
    |               |          |      | list, in rows              |
    | bar, legend              |      | bar, legend                |
    +--------------------------+      +----------------------------+
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import shapely

from mateline.cabinet.hole import keep_clear, on_face, opening
from mateline.curves import flattened
from mateline.exports.jobbook.paper.labels import AROUND, Label, labels_of, line_points

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    import numpy as np
    from numpy.typing import NDArray
    from shapely import Polygon

    from mateline.curves import Chain, Point
    from mateline.exports.picture.widest import Lines
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil

    Array = NDArray[np.float64]
    Window = tuple[float, float, float, float]

MM = 72 / 25.4  # points a mm
COARSE = 0.12  # mm on paper: borders are drawn this roughly, a hair
SCALES = (
    1.0,
    *(quarters / 4 for quarters in range(8, 40)),
    *(halves / 2 for halves in range(20, 40)),
    *(float(each) for each in range(20, 40)),
    40.0, 45.0, 50.0, 60.0, 75.0, 100.0,
)  # fmt: skip
HEAD = 15 * MM  # height of the heading
FOOT = 21 * MM  # height of the scale bar and the legend
ROW = 6.0 * MM  # of the list
TICK = 3.4 * MM
STEP = 6.0 * MM  # from one box to the next
ENTRY = 26 * MM  # width of a piece in the list: two boxes and its name
TITLES = 5 * MM  # over a column of boxes
MOST_ROWS, MOST_COLUMNS = 5, 2  # of a list beside or below a drawing; the rest has its own page
GAP = 3 * MM


@dataclass(frozen=True, slots=True)
class Layout:
    """A page: its frame's size, where the drawing may be (left, bottom, right, top), and the list's
    place with its columns and rows; no rows where there is no list.
    """

    frame: tuple[float, float]
    drawing: Window
    list_at: Window
    columns: int
    rows: int
    denominator: float

    @property
    def holds(self) -> int:
        """How many pieces the list has room for."""
        return self.columns * self.rows


@dataclass(frozen=True, slots=True)
class Sheet:
    """A face, or the `window` of it (mm), prepared for its pages.

    `paths` are reportlab's, by piece, points from the window's lower-left corner; `hardware` are
    paths and whether it stays; `origin` is that corner's place in the frame. `missed` are pieces
    whose ids have no room.
    """

    stencil: Stencil
    layout: Layout
    origin: tuple[float, float]
    size: tuple[float, float]
    paths: Mapping[str, Any]
    labels: Mapping[str, Label]
    missed: tuple[str, ...]
    hardware: tuple[tuple[Any, str], ...]
    spots: Mapping[str, tuple[float, float, float]]
    lines: Array


def named_anew(sheet: Sheet, pieces: Iterable[str]) -> Sheet:
    """The same drawing with the ids of some pieces alone."""
    names = {piece.id: piece.short for piece in sheet.stencil.pieces}
    chosen = {piece: names[piece] for piece in pieces}
    labels, missed = labels_of(chosen, sheet.spots, sheet.lines, sheet.size)
    return replace(sheet, labels=labels, missed=missed)


def scale_for(size: tuple[float, float], room: tuple[float, float]) -> float:
    """The least denominator of `SCALES` at which `size` mm fits into `room` points.

    Raises ValueError where none does: no face is that large.
    """
    need = max(size[0] * MM / room[0], size[1] * MM / room[1])
    fitting = [scale for scale in SCALES if scale >= need - 1e-9]
    if not fitting:
        raise ValueError(f"a face of {size[0]:.0f} by {size[1]:.0f} mm fits on no page")
    return fitting[0]


def layout_for(
    size: tuple[float, float], frames: Iterable[tuple[float, float]], pieces: int
) -> Layout:
    """The page on which `size` mm is drawn largest, with a list of `pieces` if it can hold them.

    `frames` are the pages upright and across. Raises ValueError as `scale_for` does.
    """
    every = [each for frame in frames for each in _layouts(size, frame, pieces)]
    most = max(min(each.holds, pieces) for each in every)
    full = [each for each in every if min(each.holds, pieces) == most]
    return min(full, key=lambda each: each.denominator)


def _layouts(
    size: tuple[float, float], frame: tuple[float, float], pieces: int
) -> Iterator[Layout]:
    wide, high = frame
    top = high - HEAD
    round_ = AROUND * MM

    def drawn(right: float, low: float, list_at: Window, columns: int, rows: int) -> Layout:
        room = (0.0, low, right, top)
        inner = (right - 2 * round_, top - low - 2 * round_)
        return Layout(frame, room, list_at, columns, rows, scale_for(size, inner))

    if not pieces:
        yield drawn(wide, FOOT, (0.0, FOOT, 0.0, FOOT), 0, 0)
        return
    for columns in range(1, MOST_COLUMNS + 1):
        rows = int((top - FOOT - TITLES) / ROW)
        left = wide - columns * ENTRY
        yield drawn(left - GAP, FOOT, (left, FOOT, wide, top), columns, rows)
    for rows in range(1, MOST_ROWS + 1):
        low = FOOT + TITLES + rows * ROW
        yield drawn(wide, low + GAP, (0.0, FOOT, wide, low), int(wide / ENTRY), rows)


@dataclass(frozen=True, slots=True)
class Outlines:
    """Pieces of a face with their widest places, and their areas as roughly as paper shows them."""

    stencil: Stencil
    pieces: tuple[Piece, ...]
    places: tuple[Any, ...]
    areas: NDArray[np.object_]


def outlines_of(
    stencil: Stencil, places: Lines, denominator: float, window: Window | None = None
) -> Outlines:
    """The pieces of a face, or of a `window` of it, for drawings at 1:`denominator` or smaller.

    They are simplified together, so that neighbours still meet.
    """
    pairs = list(zip(stencil.pieces, places, strict=True))
    if window is not None:
        whole = [piece.area for piece, _ in pairs]
        near = shapely.intersects(whole, shapely.box(*window)).tolist()
        pairs = [pair for pair, there in zip(pairs, near, strict=True) if there]
    pieces = tuple(piece for piece, _ in pairs)
    areas = shapely.coverage_simplify([piece.area for piece in pieces], COARSE * denominator)
    return Outlines(stencil, pieces, tuple(circle for _, circle in pairs), areas)


def sheet_of(
    outlines: Outlines,
    layout: Layout,
    window: Window | None = None,
    marks: Mapping[str, Point] | None = None,
) -> Sheet:
    """Prepare a face for pages of `layout`.

    With a `window` only those pieces are named whose place is in it. `marks` are other places that
    get a label, by what is written there.
    """
    stencil, pieces, areas = outlines.stencil, outlines.pieces, outlines.areas
    left, low, right, high = window or stencil.face.outline.bounds
    scale = 1 / layout.denominator
    spots = {
        piece.id: _spot(circle, piece.area, (left, low), scale)
        for piece, circle in zip(pieces, outlines.places, strict=True)
    }
    spots |= {
        name: ((x - left) * scale, (y - low) * scale, 0.0) for name, (x, y) in (marks or {}).items()
    }
    wide, tall = (right - left) * scale, (high - low) * scale
    called = {piece.id: piece.short for piece in pieces}
    called |= {name: name for name in marks or {}}
    if window is not None:
        called = {
            each: name
            for each, name in called.items()
            if 0 <= spots[each][0] < wide and 0 <= spots[each][1] < tall
        }
    lines = line_points(areas, scale) - (left * scale, low * scale)
    labels, missed = labels_of(called, spots, lines, (wide, tall))
    paths = {
        piece.id: path_of((ring - (left, low)) * (scale * MM) for ring in _rings(area))
        for piece, area in zip(pieces, areas, strict=True)
    }
    x0, y0, x1, y1 = layout.drawing
    origin = ((x0 + x1 - wide * MM) / 2, (y0 + y1 - tall * MM) / 2)
    hardware = tuple(_hardware(stencil, (left, low), scale * MM))
    return Sheet(
        stencil, layout, origin, (wide, tall), paths, labels, missed, hardware, spots, lines
    )


def _hardware(
    stencil: Stencil, corner: tuple[float, float], factor: float
) -> Iterator[tuple[Any, str]]:
    outline = stencil.face.outline
    for hole in stencil.face.holes:
        if hole.stays:
            yield path_of(_shown(keep_clear(hole), outline, corner, factor)), "#e3e6e9"
        fill = "#9aa1a9" if hole.stays else "#26292d"
        yield path_of(_shown(opening(hole), outline, corner, factor)), fill


def path_of(rings: Iterable[Array]) -> Any:
    """A path of reportlab's from closed rings."""
    from reportlab.pdfgen.pathobject import PDFPathObject  # noqa: PLC0415  only files need it

    code = ["n"]  # as the library begins its own
    for ring in rings:
        (x, y), *rest = ring.tolist()
        lines = "".join(f" {u:.2f} {v:.2f} l" for u, v in rest)
        code.append(f"{x:.2f} {y:.2f} m{lines} h")
    return PDFPathObject(code)  # it would write each point by itself, which takes most of the time


def _rings(area: Polygon) -> tuple[Array, ...]:
    return tuple(shapely.get_coordinates(ring)[:-1] for ring in shapely.get_rings(area))


def _shown(
    chain: Chain, outline: Polygon, corner: tuple[float, float], factor: float
) -> list[Array]:
    return [(flattened(part) - corner) * factor for part in on_face(chain, outline)]


def _spot(
    circle: Any, area: Polygon, corner: tuple[float, float], scale: float
) -> tuple[float, float, float]:
    """x, y and radius of a circle given by a line from its centre to its rim, mm on paper.

    A piece that is all tack and hole is named over them.
    """
    if circle.is_empty:
        at = area.representative_point()
        x, y, reach = at.x, at.y, 0.0
    else:
        (x, y), _ = circle.coords
        reach = circle.length
    return (float(x) - corner[0]) * scale, (float(y) - corner[1]) * scale, float(reach) * scale
