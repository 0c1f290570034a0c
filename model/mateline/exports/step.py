"""model.step: every board as a named, coloured solid in the cabinet frame, mm.

The only export that needs the CAD kernel. The kernel stamps each file with the time, and with a
count of the files it wrote before; both are taken out, so that the same boards give the same
bytes.
"""

from __future__ import annotations

import re
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_Controller, STEPControl_StepModelType
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

from mateline.cabinet.panels import solid

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mateline.cabinet.panel import Panel

HEADER = (
    "FILE_DESCRIPTION(('boards of a cabinet, mm'),'2;1');\n"
    "FILE_NAME('model.step','',(''),(''),'mateline','mateline','');\n"
)
_STAMPED = re.compile(r"FILE_DESCRIPTION.*?(?=FILE_SCHEMA)", re.DOTALL)
_COUNTED = re.compile(r"Open CASCADE STEP translator [\d.]+(?: \d+)*")


def write(panels: Sequence[Panel], path: Path, *, colours: Mapping[str, str | None]) -> None:
    """Write one solid for each of `panels`, named "carcase-panel".

    `colours` takes that name to "#rrggbb"; a board that is not in it, or has None, stays grey.
    Raises OSError where the kernel cannot write.
    """
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    tints = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    for panel in panels:
        name = f"{panel.carcase}-{panel.name}"
        label = shapes.AddShape(solid(panel).wrapped, False)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))
        colour = colours.get(name)
        if colour is not None:
            tints.SetColor(label, _tint(colour), XCAFDoc_ColorType.XCAFDoc_ColorGen)
    path.write_text(_stripped(_written(document)), encoding="ascii", newline="\n")


def _tint(colour: str) -> Any:
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return Quantity_Color(red, green, blue, Quantity_TypeOfColor.Quantity_TOC_sRGB)


def _written(document: Any) -> str:
    STEPControl_Controller.Init_s()  # before it, the settings below are unknown and ignored
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)  # readers make these curves again
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    writer = STEPCAFControl_Writer()
    writer.SetNameMode(True)
    writer.SetColorMode(True)
    writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
    with tempfile.TemporaryDirectory() as folder:
        there = Path(folder) / "model.step"
        if writer.Write(str(there)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise OSError(f"the kernel could not write {there}")
        return there.read_text(encoding="ascii")


def _stripped(text: str) -> str:
    text, headers = _STAMPED.subn(HEADER, text, count=1)
    if headers != 1:
        raise ValueError("the kernel wrote no STEP header that can be freed of its time")
    return _COUNTED.sub("mateline", text)
