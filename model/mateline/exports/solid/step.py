"""model.step: every board as a named, coloured solid in the cabinet frame, mm.

The only export that needs the CAD kernel. The kernel stamps each file with the time, and with a
count of the files it wrote before; both are taken out, so that the same boards give the same
bytes. It would also write colours in the order of its objects' addresses in memory, which is
another one in each process: so they are written here, in the order of the boards.
"""

from __future__ import annotations

import errno
import re
from typing import TYPE_CHECKING, Any

from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Message import Message, Message_Gravity
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_Controller, STEPControl_StepModelType
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFDoc import XCAFDoc_DocumentTool

from mateline.cabinet.solids import shape

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from mateline.cabinet.panel import Panel

HEADER = (
    "FILE_DESCRIPTION(('boards of a cabinet, mm'),'2;1');\n"
    "FILE_NAME('model.step','',(''),(''),'mateline','mateline','');\n"
)
# The kernel has one set of these for the whole process: what others left in it must not show.
_SETTINGS = {
    "write.surfacecurve.mode": 0,  # off: readers make these curves again
    "write.step.unit": 2,  # mm
    "xstep.cascade.unit": 2,  # mm: what our numbers are
    "write.step.schema": 4,  # AP214, the international standard
    "write.step.assembly": 2,  # auto: only where there are parts of parts
    "write.step.vertex.mode": 0,  # one compound
    "write.step.nonmanifold": 0,  # off
    "write.step.tessellated": 2,  # only where there is no solid
    "write.precision.mode": 0,  # the average of the tolerances
}
_STAMPED = re.compile(r"FILE_DESCRIPTION.*?(?=FILE_SCHEMA)", re.DOTALL)
_BOARD = re.compile(r"ADVANCED_BREP_SHAPE_REPRESENTATION\('',\(\s*#\d+,\s*#(\d+)\),\s*#(\d+)\s*\);")
_NUMBER = re.compile(r"\n#(\d+) ?=")
_END = "ENDSEC;\nEND-ISO-10303-21;"
_COUNTED = re.compile(r"Open CASCADE STEP translator [\d.]+(?: \d+)*")


def write(panels: Sequence[Panel], path: Path, *, colours: Mapping[str, str | None]) -> None:
    """Write one solid for each of `panels`, named "carcase-panel".

    `colours` takes that name to "#rrggbb"; a board that is not in it, or has None, stays grey.
    Raises OSError where the kernel cannot write.
    """
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    for panel in panels:
        name = f"{panel.carcase}-{panel.name}"
        label = shapes.AddShape(shape(panel), False)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))
    names = [f"{panel.carcase}-{panel.name}" for panel in panels]
    written = _stripped(_written(document, path.with_name("kernel.step")))
    text = _coloured(written, [colours.get(name) for name in names])
    path.write_text(text, encoding="ascii", newline="\n")


def _coloured(text: str, colours: Sequence[str | None]) -> str:
    """The file with a style for each board that has a colour, as ISO 10303-46 gives them."""
    boards = _BOARD.findall(text)
    if len(boards) != len(colours) or text.count(_END) != 1:
        raise ValueError(f"the kernel wrote {len(boards)} boards, and {len(colours)} were given")
    number = _last_number(text)
    added: list[str] = []
    for (board, context), colour in zip(boards, colours, strict=True):
        if colour is not None:
            styled = _styled(colour, board, context, number + 1)
            number += len(styled)
            added.extend(styled)
    return text.replace(_END, "\n".join([*added, _END]))


def _last_number(text: str) -> int:
    """The greatest number of an entity: the kernel counts them from 1, in the file's order."""
    last = _NUMBER.match(text, text.rindex("\n#"))
    if last is None or int(last[1]) != text.count("\n#"):
        raise ValueError("the kernel wrote entities that are not numbered in their order")
    return int(last[1])


def _styled(colour: str, board: str, context: str, first: int) -> list[str]:
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    entities = (
        f"COLOUR_RGB('',{red:.6f},{green:.6f},{blue:.6f})",
        f"FILL_AREA_STYLE_COLOUR('',#{first})",
        f"FILL_AREA_STYLE('',(#{first + 1}))",
        f"SURFACE_STYLE_FILL_AREA(#{first + 2})",
        f"SURFACE_SIDE_STYLE('',(#{first + 3}))",
        f"SURFACE_STYLE_USAGE(.BOTH.,#{first + 4})",
        f"PRESENTATION_STYLE_ASSIGNMENT((#{first + 5}))",
        f"STYLED_ITEM('color',(#{first + 6}),#{board})",
        f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{first + 7}),#{context})",
    )
    return [f"#{first + at} = {entity};" for at, entity in enumerate(entities)]


def _written(document: Any, there: Path) -> str:
    """The kernel's own file, by way of `there`, a path beside the file that is to be."""
    for printer in Message.DefaultMessenger_s().Printers():
        # It would tell each step of its work on stdout, where only our answer belongs.
        printer.SetTraceLevel(Message_Gravity.Message_Fail)
    STEPControl_Controller.Init_s()  # before it, the settings below are unknown and ignored
    for name, value in _SETTINGS.items():
        if not Interface_Static.SetIVal_s(name, value):
            raise ValueError(f"the kernel knows no setting {name} of {value}")
    writer = STEPCAFControl_Writer()
    writer.SetNameMode(True)
    writer.SetColorMode(False)
    writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
    try:
        if writer.Write(str(there)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise OSError(errno.EIO, "the kernel could not write", str(there))
        text = there.read_text(encoding="ascii")
    finally:
        there.unlink(missing_ok=True)
    if not text.rstrip().endswith(_END):  # it looks at no error of the disk but the first
        raise OSError(errno.ENOSPC, "the kernel could not write to the end", str(there))
    return text


def _stripped(text: str) -> str:
    text, headers = _STAMPED.subn(HEADER, text, count=1)
    if headers != 1:
        raise ValueError("the kernel wrote no STEP header that can be freed of its time")
    return _COUNTED.sub("mateline", text)
