"""Drawings for a machine whose bed is smaller than a sheet of board: one set a load.

Stands after layers and sheets, beside the formats. Beside the layers of a sheet:

    mark   also the crosses that the next loads are laid to: draw or prick them
    align  crosses that earlier loads drew, where they must lie now: draw nothing
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.curves import moved
from mateline.exports.cut.dxf import layers_dxf
from mateline.exports.cut.gcode import layers_gcode
from mateline.exports.cut.layers import BACK
from mateline.exports.cut.sheets import on_sheet
from mateline.exports.cut.svg import layers_svg
from mateline.exports.findings_table import place
from mateline.products import product
from mateline.stencil.sheets.bed_loads import Bed, Work, loads_for
from mateline.stencil.sheets.clipping import shared_out
from mateline.stencil.sheets.crosses import cross
from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.curves import Chain, Point
    from mateline.exports.cut.layers import Layers
    from mateline.stencil.board import Board
    from mateline.stencil.sheets.bed_loads import Load, Loads
    from mateline.stencil.sheets.clipping import Cell
    from mateline.stencil.sheets.joins import Sheet
    from mateline.stencil.stencil import Stencil
    from mateline.tape.accuracy import Tape

NEAR = 1e-3  # mm: what is no farther off a load's bounds lies on them
LETTERED = ("label", BACK, "register", "score", "mark")


def sheet_loads(sheet: Sheet, stencil: Stencil, here: Layers, board: Board) -> Loads | None:
    """How `sheet` is cut load by load; None where it fits the bed, or there is none.

    `here` is what lies on the sheet, in the face frame.
    """
    if board.bed is None:
        return None
    work = Work(
        cut=(*here["cut"], *here.get("join", ())),
        tacks=here["tack"],
        letters=tuple(chain for name in LETTERED for chain in here.get(name, ())),
        pieces=tuple(piece.area for piece in stencil.pieces),
    )
    rim = 0.0 if board.knife is None else board.knife.rim
    return loads_for(sheet.bounds, stencil.face.outline, work, Bed(board.bed, rim))


def load_layers(loads: Loads, here: Layers) -> dict[int, Layers]:
    """The layers of every load by its number, on its bed: (0, 0) is the bed's lower-left corner.

    `here` is what lies on the sheet, in the face frame. Each point of it is in one load, and
    borders that run over a line end on it in both.
    """
    by_cell = {load.cell: load for load in loads.loads}
    found: dict[int, dict[str, list[Chain]]] = {
        load.number: {"align": [], "mark": [], **{name: [] for name in here}}
        for load in loads.loads
    }
    for name, chains in here.items():
        for chain in chains:
            for cell, part in shared_out(chain, loads.xs, loads.ys):
                load = _holder(cell, by_cell, part)
                if load is not None:
                    found[load.number][name].append(moved(part, load.matrix))
                elif name == "cut":
                    raise ValueError(f"{part.start} of a border lies in no load")
    for load in loads.loads:
        for name, middles in (("mark", load.drawn), ("align", [at for _, at in load.found])):
            lines = [moved(line, load.matrix) for middle in middles for line in cross(middle)]
            found[load.number][name] += lines
    return {
        number: {layer: tuple(chains) for layer, chains in parts.items()}
        for number, parts in found.items()
    }


def load_files(
    sheet: Sheet, stencil: Stencil, layers: Layers, board: Board, tape: Tape
) -> dict[str, str]:
    """Every file of the loads of `sheet`, by its name; none where it fits the bed as it is."""
    whole = on_sheet(sheet, stencil.grid, layers)
    loads = sheet_loads(sheet, stencil, whole, board)
    if loads is None:
        return {}
    files: dict[str, str] = {}
    drawn = load_layers(loads, whole)
    of = f"{sheet.file}-" * (len(stencil.grid.sheets) > 1)
    for load in loads.loads:
        here, file = drawn[load.number], f"{of}load-{load.number}"
        files[f"{file}.svg"] = layers_svg(here, *load.size)
        files[f"{file}.dxf"] = layers_dxf(here, *load.size)
        if board.knife is not None:
            title = f"{_called(sheet, stencil)}, {load.name}"
            files[f"{file}.ngc"] = layers_gcode(title, here, board.knife, in_place=True)
    files[f"{of}loads.txt"] = "\n".join([*_told(sheet, stencil, loads, tape), ""])
    return files


def _holder(cell: Cell, by_cell: dict[Cell, Load], part: Chain) -> Load | None:
    """The load that cuts `part` of `cell`; an edge of the face on a line may have its load beyond
    it. A mark of the sheet where there is no face lies on no bed: None.
    """
    column, row = cell
    near = ((0, 0), (1, 0), (0, 1), (1, 1))
    cells = ((column + right, row + up) for right, up in near)
    loads = (by_cell[each] for each in cells if each in by_cell)
    return next((load for load in loads if _on_bed(load, part)), None)


def _on_bed(load: Load, part: Chain) -> bool:
    left, low, right, high = load.bounds
    return all(
        left - NEAR <= x <= right + NEAR and low - NEAR <= y <= high + NEAR for x, y in part.points
    )


def _called(sheet: Sheet, stencil: Stencil) -> str:
    """The sheet, or the face where it takes no other."""
    alone = len(stencil.grid.sheets) == 1
    return stencil.face.name if alone else f"{sheet.name} of {stencil.face.name}"


def _told(sheet: Sheet, stencil: Stencil, loads: Loads, tape: Tape) -> Iterator[str]:
    count = len(loads.loads)
    yield f"{_called(sheet, stencil)}: {count} load{'s' if count > 1 else ''}"
    yield "Places are measured from the lower-left corner of the machine's bed."
    if loads.loads[0].turned:
        yield "The board lies a quarter turn to the left: what is up on the face points left."
    for load in loads.loads:
        wide, high = (printed(side, tape) for side in load.size)
        yield ""
        yield f"Load {load.number}, {wide} x {high}"
        if load.found:
            yield "  Lay the board so that these crosses are where they should be:"
        for number, middle in load.found:
            yield f"    {_spot(load, middle, tape)}, drawn by load {number}"
        if load.drawn:
            yield "  Draws these crosses for later loads, so cut it before them:"
        for middle in load.drawn:
            yield f"    {_spot(load, middle, tape)}"


def _spot(load: Load, point: Point, tape: Tape) -> str:
    """Where a point of the face is on the bed, for a rule and for a machine's display."""
    x, y = (product(load.matrix[:, :2], point) + load.matrix[:, 2]).tolist()
    return f"{place((x, y), tape)} (X {x:.2f} mm, Y {y:.2f} mm)"
