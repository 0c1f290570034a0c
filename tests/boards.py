"""Carcases for pictures: outlines in side view given as points, carried over a width."""

import numpy as np

from mateline.cabinet.carcase import Placed, panels_of
from mateline.definition.definition import settled
from mateline.definition.schema import parsed
from mateline.errors import Faults
from mateline.tape.arcs.path import sides_of


def carcase(name, corners, panels, low, high, **more):
    """Panels of a carcase in side view: `corners` maps names to (y, z), mm, counter-clockwise seen
    from +X; `panels[i]` is the board from corner i to the next, None where there is none.
    """
    names = list(corners)
    edges = [f"{a}-{b}" for a, b in zip(names, (*names[1:], names[0]), strict=True)]
    boards = {
        panel or f"missing-{at}": {"edge": edge, "missing": panel is None}
        for at, (panel, edge) in enumerate(zip(panels, edges, strict=True))
    }
    table = {
        "title": "boards",
        "tape": {"unit": "mm", "graduation": "1 mm", "accuracy": "II"},
        "palette": {"base": "cream", "colours": {"cream": {"paint": "#f4ead2", "letter": "A"}}},
        "carcase": [
            {
                "name": name,
                "view": "side",
                "corners": names,
                "width": f"{high - low} mm",
                "board": "18 mm",
                "panels": boards,
                **more,
            }
        ],
    }
    table["carcase"][0]["outline"] = {"points": {each: list(corners[each]) for each in names}}
    faults = Faults("boards")
    (box,) = settled(parsed(table, "boards"), faults).carcases
    points = np.array(list(corners.values()), dtype=float)
    around = sides_of(list(corners), points, ())
    placed = Placed(box, (around, around), around, points, float(low), float(high))
    panels = panels_of(placed, faults, name)
    faults.settle()
    return panels
