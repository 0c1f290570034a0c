"""Spare or remade pieces, nested on sheets of board: one drawing a sheet.

Stands after layers, beside build. A piece keeps its exact outline, lines and arcs, turned and
moved as the nester says; its label and arrow are turned with it, so that the arrow still points
up on the cabinet. Layers, in the order of the work:

    sheet     the rim of the sheet: not to be cut
    tack, label, register, score, cut    as in a face's stencil, what belongs to the piece
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely import LineString

from mateline.curves import Chain, Segment, flattened, moved
from mateline.errors import InputError, InputFaultsError
from mateline.exports.cut.dxf import layers_dxf
from mateline.exports.cut.layers import open_holes, punched, scores
from mateline.exports.cut.svg import layers_svg
from mateline.exports.folder import MAKER, files_in, swapped_in
from mateline.exports.json_report import canonical
from mateline.exports.stroke import rings
from mateline.stencil.lettering.edge_marks import mark_areas, mark_strokes, marks_of
from mateline.stencil.lettering.label_placement import label_for, label_strokes
from mateline.stencil.sheets.nesting import (
    HALVES,
    QUARTERS,
    Nested,
    fitting_turns,
    nested_on_sheets,
    room_on,
)
from mateline.stencil.stencil import refitted
from mateline.survey import BORDER_TOL
from mateline.tape.reading import printed

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from mateline.exports.cut.layers import Layers
    from mateline.stencil.pieces import Piece
    from mateline.stencil.stencil import Stencil
    from mateline.survey import Job

TURNS = ("grain", "quarter", "any")
GRAIN, ANY = "grain", "any"
NEAR = 3  # ids that a message offers
FOLD = 0.01  # mm: half the width that a fold takes from the room for lettering


@dataclass(frozen=True, slots=True)
class Spare:
    """What was laid out: where each piece lies, and the sheets' size, mm."""

    nested: tuple[Nested, ...]
    sheet: tuple[float, float]
    files: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """The answer of the command: mm and degrees, from each sheet's lower-left corner."""
        return {
            "sheet": [round(side, 4) for side in self.sheet],
            "sheets": 1 + max(each.sheet for each in self.nested),
            "pieces": [_nested_json(each) for each in self.nested],
            "files": list(self.files),
        }


@dataclass(frozen=True, slots=True)
class Nesting:
    """How to nest: which turns a piece may take, the gap about it in mm, the nester's time."""

    turn: str = "quarter"
    gap: float = 3.0
    seconds: int = 5


def write_spare(job: Job, names: Sequence[str], target: Path, how: Nesting) -> Spare:
    """Nest the pieces that `names` call for (ids, or a face's name for all its pieces).

    Writes sheet-1.svg, sheet-1.dxf and so on to `target`, whole or not at all, replacing an
    earlier folder of ours. Raises InputError or InputFaultsError for names that are none, a
    piece that no sheet takes, a sheet that has no room, or where spyrrow is not installed.
    """
    chosen = chosen_pieces(job, names)
    _refuse_large(job, chosen, how)
    nested = tuple(_nested(job, chosen, how))
    layers = {
        piece.id: parts
        for stencil in job.stencils
        if any(one is stencil for one, _ in chosen)
        for piece, parts in _drawn(job, stencil, [p for one, p in chosen if one is stencil])
    }
    wide, high = job.board.sheet
    with swapped_in(target) as folder:
        for sheet in range(1 + max(each.sheet for each in nested)):
            here = sheet_of([each for each in nested if each.sheet == sheet], layers, (wide, high))
            for kind, text in (("svg", layers_svg(here, wide, high)),
                               ("dxf", layers_dxf(here, wide, high))):  # fmt: skip
                path = folder / f"sheet-{sheet + 1}.{kind}"
                path.write_text(text, encoding="utf-8", newline="\n")
        spare = Spare(nested, (wide, high), tuple(sorted([*files_in(folder), "job.json"])))
        mark = {"made_by": MAKER, "cabinet": job.name, "unit": "mm", **spare.as_json()}
        (folder / "job.json").write_text(canonical(mark), encoding="utf-8", newline="\n")
    return spare


def chosen_pieces(job: Job, names: Sequence[str]) -> list[tuple[Stencil, Piece]]:
    """The pieces called for, each once, in the order of their faces.

    Raises InputFaultsError or InputError with every name that is none, and the nearest ids.
    """
    ids = [piece.id for stencil in job.stencils for piece in stencil.pieces]
    known = {*ids, *_cut(job)}
    faults = [_unknown(job, name, known) for name in names if name not in known]
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise InputFaultsError(tuple(faults))
    wanted = set(names)
    return [
        (stencil, piece)
        for stencil in job.stencils
        for piece in stencil.pieces
        if piece.id in wanted or stencil.face.name in wanted
    ]


def sheet_of(
    nested: Sequence[Nested], layers: Mapping[str, Layers], size: tuple[float, float]
) -> Layers:
    """All that is on one sheet: the pieces' layers, each turned and moved exactly."""
    wide, high = size
    corners = ((wide, 0.0), (wide, high), (0.0, high), (0.0, 0.0))
    found: dict[str, list[Chain]] = {"sheet": [Chain((0.0, 0.0), tuple(map(Segment, corners)))]}
    for each in nested:
        matrix = matrix_of(each)
        for name, chains in layers[each.piece].items():
            found.setdefault(name, []).extend(moved(chain, matrix) for chain in chains)
    return {name: tuple(chains) for name, chains in found.items()}


def matrix_of(nested: Nested) -> NDArray[np.float64]:
    """From the face frame to the sheet's, (2, 3); quarter turns are exact."""
    cos, sin = math.cos(nested.turn), math.sin(nested.turn)
    if abs(math.remainder(nested.turn, math.pi / 2)) < 1e-9:
        cos, sin = float(round(cos)), float(round(sin))
    return np.array([[cos, -sin, nested.shift[0]], [sin, cos, nested.shift[1]]])


def _cut(job: Job) -> list[str]:
    """The faces that have pieces."""
    return [stencil.face.name for stencil in job.stencils if stencil.has_board]


def _unknown(job: Job, name: str, known: set[str]) -> InputError:
    if any(stencil.face.name == name for stencil in job.stencils):
        what = f"{name} has no pieces: it is {job.colours.base} only and takes no board."
        return InputError(job.name, name, what, f"Faces with pieces: {', '.join(_cut(job))}.")
    near = get_close_matches(name, sorted(known), n=NEAR, cutoff=0.5)
    first = next((piece.id for stencil in job.stencils for piece in stencil.pieces), "")
    remedy = (
        f"The nearest are {', '.join(f'“{each}”' for each in near)}; quote an id in the shell."
        if near
        else f"Name an id such as “{first}”, or a face: {', '.join(sorted(_cut(job)))}."
    )
    return InputError(job.name, name, "There is no piece and no face of this name.", remedy)


def _turns(stencil: Stencil, turn: str) -> tuple[float, ...] | None:
    if turn == ANY:
        return None
    if turn != GRAIN:
        return QUARTERS
    # The grain runs along a side of the sheet, so a piece lies as it lay on the face's sheets.
    quarter = math.pi / 2 if stencil.grid.turned else 0.0
    return tuple(at + quarter for at in HALVES)


def _refuse_large(job: Job, chosen: Sequence[tuple[Stencil, Piece]], how: Nesting) -> None:
    sheet = job.board.sheet
    room = room_on(sheet, how.gap)
    limit = " x ".join(printed(side, job.tape) for side in room)
    if min(room) <= 0:
        what = f"A gap of {printed(how.gap, job.tape)} leaves no room on a sheet."
        raise InputError(job.name, "--gap", what, "Give a smaller gap.")
    faults = []
    for stencil, piece in chosen:
        if fitting_turns(piece.area, sheet, how.gap, _turns(stencil, how.turn)):
            continue
        x0, y0, x1, y1 = piece.area.bounds
        size = f"{printed(x1 - x0, job.tape)} x {printed(y1 - y0, job.tape)}"
        turned = bool(fitting_turns(piece.area, sheet, how.gap, None))
        turns = f" as it may be turned (--turn {how.turn})" if turned else ""
        faults.append(
            InputError(
                job.name,
                piece.id,
                f"It is {size} and does not fit{turns}: a sheet has {limit} between its gaps.",
                "Try --turn any."
                if turned
                else "Cut it from its face's own sheets, or state a larger sheet.",
            )
        )
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise InputFaultsError(tuple(faults))


def _nested(job: Job, chosen: Sequence[tuple[Stencil, Piece]], how: Nesting) -> Iterator[Nested]:
    """The pieces on sheets; where the grain of faces differs, every piece by its own turns."""
    quarter = {piece.id: how.turn == GRAIN and stencil.grid.turned for stencil, piece in chosen}
    areas = {
        piece.id: shapely.transform(piece.area, lambda at: np.column_stack([-at[:, 1], at[:, 0]]))
        if quarter[piece.id]
        else piece.area
        for _, piece in chosen
    }
    turns = {GRAIN: HALVES, ANY: None}.get(how.turn, QUARTERS)
    for each in nested_on_sheets(
        areas, job.board.sheet, gap=how.gap, turns=turns, seconds=how.seconds
    ):
        turn = each.turn + (math.pi / 2 if quarter[each.piece] else 0.0)
        yield Nested(each.piece, each.sheet, turn, each.shift)


def _drawn(job: Job, stencil: Stencil, pieces: Sequence[Piece]) -> Iterator[tuple[Piece, Layers]]:
    """The layers of each piece in the face frame."""
    true = refitted(stencil, BORDER_TOL)
    marks = marks_of(stencil, job.tape)
    folds = scores(stencil)
    clear = (
        *mark_areas(marks),
        *(LineString(flattened(chain)).buffer(FOLD) for chain in folds),
        *open_holes(stencil),
    )
    for piece in pieces:
        label = label_for(piece, clear)
        strokes = [chain for mark in marks for chain in mark_strokes(mark)]
        reach = piece.area.buffer(1e-6)
        yield (
            piece,
            {
                "tack": tuple(punched(tack) for tack in piece.tacks),
                "label": () if label is None else tuple(label_strokes(label)),
                "register": tuple(
                    chain for chain in strokes if reach.covers(LineString(flattened(chain)))
                ),
                "score": tuple(part for chain in folds for part in _inside(chain, piece)),
                "cut": tuple(rings(true.chains, true.pattern.regions[piece.region])),
            },
        )


def _inside(fold: Chain, piece: Piece) -> Iterator[Chain]:
    """The parts of a fold, which is straight, that lie in the piece."""
    line = LineString(flattened(fold))
    for part in shapely.get_parts(shapely.intersection(line, piece.area)).tolist():
        if isinstance(part, LineString) and part.length > 0:
            start, *rest = [(x, y) for x, y, *_ in part.coords]
            yield Chain(start, tuple(Segment(to) for to in rest))


def _nested_json(nested: Nested) -> dict[str, Any]:
    turn = math.degrees(nested.turn) % 360
    return {
        "id": nested.piece,
        "sheet": nested.sheet + 1,
        "turn_deg": round(turn, 6) % 360 + 0.0,
        "shift": [round(at, 4) + 0.0 for at in nested.shift],
    }
