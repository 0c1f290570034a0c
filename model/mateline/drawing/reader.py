"""Drawings by the kind of their file, never from outside the cabinet's folder.

Stands after the readers. DXF is read only where a drawing asks for it: its library is slow to
import.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.curves import FACET
from mateline.drawing.svg.reader import read_svg
from mateline.errors import InputError

if TYPE_CHECKING:
    from pathlib import Path

    from mateline.drawing.shapes import Drawing

MOST = 12  # drawings named in a message


def read_drawing(path: Path, *, root: Path, deviation: float = FACET) -> Drawing:
    """The drawing in `path`, which must lie in `root`; what it refers to must lie there too.

    Facets leave the curves they stand for by `deviation`, mm at the drawing's own size.

    Raises InputError.
    """
    if not path.resolve().is_relative_to(root.resolve()):
        raise InputError(
            str(path),
            "",
            f"This drawing lies outside {root}.",
            "Copy it into the cabinet's folder and name it without “..”.",
        )
    if path.exists() and not path.is_file():  # a pipe would be waited for, without end
        raise InputError(
            str(path), "", "It is a folder or a device, not a drawing.", "Name a file."
        )
    if not path.is_file():
        beside = path.parent.iterdir() if path.parent.is_dir() else ()
        found = sorted(each.name for each in beside if each.suffix.lower() in {".svg", ".dxf"})
        raise InputError(
            str(path),
            "",
            "There is no such drawing.",
            f"Its folder has: {', '.join(found[:MOST]) or 'no drawing'}.",
        )
    suffix = path.suffix.lower()
    if suffix == ".dxf":
        from mateline.drawing.dxf.reader import read_dxf  # noqa: PLC0415  ezdxf takes half a second

        return read_dxf(path, root=root, deviation=deviation)
    if suffix == ".svg":
        return read_svg(path, root=root, deviation=deviation)
    raise InputError(
        str(path), "", f"A drawing is .svg or .dxf, not “{suffix}”.", "Save it as one of these."
    )
