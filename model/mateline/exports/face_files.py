"""All files of one face: what is painted, cut, printed, and looked at.

Stands after the formats, before build. Depends on nothing but the face's own work, so faces can be
written side by side.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.exports.by_hand.pages import hand_cutting_pdf, said_page
from mateline.exports.cut.dxf import layers_dxf, stencil_dxf
from mateline.exports.cut.gcode import layers_gcode, stencil_gcode
from mateline.exports.cut.layers import layers_of
from mateline.exports.cut.loads import load_files
from mateline.exports.cut.sheets import drawn_besides, sheet_layers, sheet_size
from mateline.exports.cut.svg import layers_svg, stencil_svg
from mateline.exports.folder import write_text
from mateline.exports.laying.figure import laying_figure
from mateline.exports.picture.face_picture import numbered_picture
from mateline.exports.picture.painted import painted_svg
from mateline.exports.picture.widest import spots_of
from mateline.exports.print.figure import figure_svg
from mateline.exports.print.pdf import stencil_pdf
from mateline.exports.print.tiles import paper_for

if TYPE_CHECKING:
    from pathlib import Path

    from mateline.exports.cut.layers import Layers
    from mateline.exports.face_work import FaceWork


def write_face(work: FaceWork, place: Path) -> None:
    """Write the face's files into the new folder `place`."""
    stencil, tape = work.stencil, work.tape
    place.mkdir(parents=True)
    write_text(place / "painted.svg", painted_svg(stencil))
    widest = work.cutting.places
    found = list(zip(work.numbers, work.findings, strict=True))
    picture = numbered_picture(stencil, found, tape, work.settled, widest, turned=work.borrowed)
    write_text(place / "picture.svg", picture)
    if stencil.has_board:
        _write_stencil(place, work)


def _write_stencil(place: Path, work: FaceWork) -> None:
    """What is cut, printed and drawn; a face that takes no board has none of it."""
    stencil, tape, knife = work.stencil, work.tape, work.board.knife
    grid = stencil.grid
    path = work.cutting.path
    laid = work.laid if work.laid is not None and work.laid.matrix is None else None
    marks = None if laid is None else laid.marks
    layers = layers_of(stencil, tape, work.turn, drawn_besides(grid), path, marks)
    write_text(place / "stencil.svg", stencil_svg(stencil, layers))
    write_text(place / "stencil.dxf", stencil_dxf(stencil, layers))
    (place / "stencil.pdf").write_bytes(stencil_pdf(stencil, tape, work.paper, layers, _how(work)))
    _write_by_hand(place, work)
    _write_laying(place, work)
    in_loads = _write_loads(place / "loads", work, layers)
    if len(grid.sheets) > 1:
        _write_sheets(place / "sheets", work, layers, in_loads)
    elif knife is not None and not in_loads:  # else no machine could cut it at once
        write_text(place / "cut.ngc", stencil_gcode(stencil, knife, layers, path))


def _how(work: FaceWork) -> str:
    """How the set is turned over, for paper; "" where it isn't."""
    if work.turn is not None and work.turn.twins:
        there = next(iter(work.turn.twins.values())).face
        return f"One set for {work.stencil.face.name} and, turned over, for {there}."
    if work.borrowed is None:
        return ""
    extra = ", ".join(piece.rsplit(" ", 1)[-1] for piece in work.borrowed.own)
    cut = f"Cut only {extra} from here" if extra else "Cut nothing from here"
    return f"{cut}: the set of {work.borrowed.left}, turned over, does this face."


def _write_by_hand(place: Path, work: FaceWork) -> None:
    """The drawing and the table for whoever cuts with a knife, or why there is nothing to cut."""
    face, cutting = work.stencil.face.name, work.cutting
    pages, table = cutting.pages, cutting.table
    if not pages:
        paper = paper_for(work.tape.unit, work.paper)
        pages = (said_page(f"Cutting by hand: {face}", _how(work), (paper.width, paper.height)),)
        table = f"{_how(work)}\n"
    (place / "hand-cutting.pdf").write_bytes(hand_cutting_pdf(face, pages))
    write_text(place / "hand-cutting.txt", table)


def _write_laying(place: Path, work: FaceWork) -> None:
    """How the set is laid on the face, where there is one to lay."""
    if work.laid is not None:
        own = None
        if work.laid.matrix is None:  # else the places are those of the other face's pieces
            own = spots_of(work.laid.stencil, work.cutting.places)
        figure = laying_figure(work.laid, work.tape, work.paper, spots=own)
        write_text(place / "laying.svg", figure_svg(figure))


def _write_loads(place: Path, work: FaceWork, layers: Layers) -> frozenset[str]:
    """Drawings for the loads of each sheet that is larger than the bed; the names of these."""
    stencil = work.stencil
    found = {
        sheet.name: load_files(sheet, stencil, layers, work.board, work.tape)
        for sheet in stencil.grid.sheets
    }
    in_loads = frozenset(name for name, files in found.items() if files)
    if in_loads:
        place.mkdir()
    for files in found.values():
        for name, text in files.items():
            write_text(place / name, text)
    return in_loads


def _write_sheets(place: Path, work: FaceWork, layers: Layers, in_loads: frozenset[str]) -> None:
    """A drawing for each sheet of board that the face takes."""
    stencil, knife = work.stencil, work.board.knife
    place.mkdir()
    for sheet in stencil.grid.sheets:
        here = sheet_layers(sheet, stencil.grid, layers)
        if knife is not None and sheet.name not in in_loads:
            title = f"{sheet.name} of {stencil.face.name}"
            write_text(place / f"{sheet.file}.ngc", layers_gcode(title, here, knife))
        write_text(place / f"{sheet.file}.svg", layers_svg(here, *sheet_size(sheet)))
        write_text(place / f"{sheet.file}.dxf", layers_dxf(here, *sheet_size(sheet)))
