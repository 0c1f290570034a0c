"""Drawings by the kind of their file, never from outside the cabinet's folder.

Stands after the readers. DXF is read only where a drawing asks for it: its library is slow to
import. An SVG whose root says so holds borders and seeds instead of shapes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.curves import FACET
from mateline.drawing.borders.reader import borders_drawing, is_borders
from mateline.drawing.file import located
from mateline.drawing.svg.reader import drawing_in, parsed_svg
from mateline.errors import InputError

if TYPE_CHECKING:
    from pathlib import Path

    from mateline.drawing.shapes import Drawing


def read_drawing(path: Path, *, root: Path, deviation: float = FACET) -> Drawing:
    """The drawing in `path`, which must lie in `root`; what it refers to must lie there too.

    Facets leave the curves they stand for by `deviation`, mm at the drawing's own size.

    Raises InputError.
    """
    located(path, root=root)
    suffix = path.suffix.lower()
    if suffix == ".dxf":
        from mateline.drawing.dxf.reader import read_dxf  # noqa: PLC0415  ezdxf takes half a second

        return read_dxf(path, root=root, deviation=deviation)
    if suffix == ".svg":
        tree = parsed_svg(path, root=root)
        if is_borders(tree):
            return borders_drawing(path.name, tree, deviation)
        return drawing_in(path.name, tree, deviation)
    raise InputError(
        str(path), "", f"A drawing is .svg or .dxf, not “{suffix}”.", "Save it as one of these."
    )
