"""The Python interface: what the commands do, for code that goes on with the results.

Stands above everything. These names and what they take and give stay as they are; all else is
private and may move. Lengths are mm, angles radians, areas mm²; data are frozen, geometry is
shapely's. What a person can mend is raised as InputError, or InputFaultsError for several faults.

    a folder      surveyed(folder) -> Job                          as `mateline check`
    in code       survey_of(Definition(...), drawings) -> Job      no file at all
    again         Surveyor().surveyed(folder)                      only what a change reaches
    the files     write_exports(job, folder)                       as `mateline build`

A Job has its faces (`cabinet.faces`), a `Stencil` for each (`pieces` with areas and tacks, the
`pattern` that they tile, `chains` of true lines and arcs after `with_true_borders`), `findings`,
and those that its definition's settlements took out of them, `settled`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mateline.cabinet.cabinet import Cabinet
from mateline.cabinet.faces import Face
from mateline.cabinet.hardware import (
    Form,
    bolt,
    countersunk,
    rectangle,
    round_hole,
    slot,
)
from mateline.cabinet.hole import Hole
from mateline.cabinet.joints import Bevel, Round
from mateline.cabinet.panel import Panel
from mateline.cabinet.specification import (
    Along,
    Board,
    Carcase,
    Distance,
    Hardware,
    Joint,
    Part,
    Position,
    ShapedEdge,
    Standing,
)
from mateline.checks.findings import Finding, Settled, Settlement
from mateline.definition.carcases import readings_of
from mateline.definition.definition import Definition, usual_shop
from mateline.definition.lengths import tape_of
from mateline.drawing.reader import read_drawing
from mateline.drawing.shapes import Drawing, Shape, drawing_of
from mateline.errors import InputError, InputFaultsError
from mateline.memory import Memory
from mateline.one_drawing import PatternReport, pattern_report
from mateline.placing.art import Anchored, Art, Cast, Landmarks, Mirrored, OnFaces, Wrapped
from mateline.stencil.board import Board as StencilBoard
from mateline.stencil.pieces import Colours, Piece
from mateline.stencil.stencil import Stencil
from mateline.survey import (
    Job,
    Surveyor,
    measured,
    planned,
    survey_of,
    surveyed,
    with_true_borders,
)
from mateline.tape.accuracy import Tape
from mateline.tape.arcs.curve import Curve
from mateline.tape.outline import Corners, Outline
from mateline.tape.readings import Readings

if TYPE_CHECKING:
    from pathlib import Path

__all__ = [
    "Along",
    "Anchored",
    "Art",
    "Bevel",
    "Board",
    "Cabinet",
    "Carcase",
    "Cast",
    "Colours",
    "Corners",
    "Curve",
    "Definition",
    "Distance",
    "Drawing",
    "Face",
    "Finding",
    "Form",
    "Hardware",
    "Hole",
    "InputError",
    "InputFaultsError",
    "Job",
    "Joint",
    "Landmarks",
    "Memory",
    "Mirrored",
    "OnFaces",
    "Outline",
    "Panel",
    "Part",
    "PatternReport",
    "Piece",
    "Position",
    "Readings",
    "Round",
    "Settled",
    "Settlement",
    "Shape",
    "ShapedEdge",
    "Standing",
    "Stencil",
    "StencilBoard",
    "Surveyor",
    "Tape",
    "Wrapped",
    "bolt",
    "countersunk",
    "drawing_of",
    "measured",
    "pattern_report",
    "planned",
    "read_drawing",
    "readings_of",
    "rectangle",
    "round_hole",
    "slot",
    "solid",
    "survey_of",
    "surveyed",
    "tape_of",
    "usual_shop",
    "with_true_borders",
    "write_exports",
]


def write_exports(job: Job, folder: Path) -> None:
    """Write all that `mateline build` writes to `folder`, whole or not at all.

    Raises InputError where the folder can't be written or holds something else.
    """
    from mateline.exports.build import write  # noqa: PLC0415  the writers take a second to import

    write(job, folder)


def solid(panel: Panel) -> Any:
    """The board with its holes as a `cadquery.Solid`, in the cabinet frame.

    Raises ValueError where a hole takes all of the board or cuts it in two.
    """
    from mateline.cabinet import cadquery_solid  # noqa: PLC0415  cadquery takes seconds to import

    return cadquery_solid.solid(panel)
