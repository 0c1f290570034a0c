"""One drawing as the page shows it: its shapes, what in it has a name, and what is left out.

Stands after facets. Places are mm of the drawing's own size, y down from its upper edge.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import shapely

from mateline.bench.told.facets import facet_data
from mateline.drawing.reader import read_drawing
from mateline.planar.affine import carried, carried_all, stretch

if TYPE_CHECKING:
    from pathlib import Path

    from mateline.drawing.shapes import Drawing

Json = dict[str, Any]
SHOWN = 0.05  # mm: how far a facet on the page may leave its curve
MOST_NOTES = 20  # told of one drawing


def drawing_told(folder: Path, name: str) -> Json:
    """The drawing `name` of a cabinet's folder. Raises InputError."""
    drawing = read_drawing(folder / name, root=folder, deviation=SHOWN)
    scale = stretch(drawing.to_mm)
    wide, high = drawing.view[2] * scale, drawing.view[3] * scale
    return {
        "file": name,
        "width": round(wide, 3),
        "height": round(high, 3),
        "shapes": [
            {
                "d": facet_data(
                    shapely.transform(shape.area, lambda at: carried_all(drawing.to_mm, at)), high
                ),
                "paint": shape.colour,
                "element": shape.element,
            }
            for shape in drawing.shapes
        ],
        "elements": sorted(drawing.elements),
        "landmarks": {key: _place(at, drawing, high) for key, at in drawing.landmarks.items()},
        "notes": [f"{note.element}: {note.message}" for note in drawing.notes[:MOST_NOTES]],
    }


def _place(at: tuple[float, float], drawing: Drawing, high: float) -> list[float]:
    x, y = carried(drawing.to_mm, *at)
    return [round(x, 3) + 0.0, round(high - y, 3) + 0.0]
