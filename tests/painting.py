r"""Stencils in four colours and definitions with paint data, that the tests of paint share.

100 +---------+---------+---------+   stripes(): three colours side by side, the base coat above
    |            cream            |
 60 +---------+---------+---------+
    |   red   |  blue   |  green  |
  0 +---------+---------+---------+
    0        100       200       300
"""

import numpy as np
from shapely import Polygon, box

from boxes import PRELUDE, SQUARE
from mateline.definition.definition import settled
from mateline.definition.schema import parsed
from mateline.drawing.shapes import Shape
from mateline.errors import Faults
from mateline.paint.witness.lines import Spread
from mateline.stencil.pieces import Colours
from mateline.stencil.stencil import stencil_of
from specimens import BOARD, face

PAINTS = {"cream": "#f4ead2", "red": "#b03a2e", "blue": "#1f5f8b", "green": "#2e7d4f"}
LETTERS = {name: name[0].upper() for name in PAINTS}
COLOURS = Colours(PAINTS, LETTERS, "cream")
RANK = {"cream": 0, "red": 1, "blue": 2, "green": 3}
SIZE = (300.0, 100.0)
HEIGHT = 60.0  # mm: of the stripes


def palette(passes=None, **labels):
    """The palette's table; `labels` are paint data by colour."""
    colours = {
        name: {"paint": paint, "letter": LETTERS[name], **labels.get(name, {})}
        for name, paint in PAINTS.items()
    }
    table = {"base": "cream", "colours": colours}
    return table if passes is None else {**table, "passes": passes}


def definition(painting=None, passes=None, unit="mm", file="cabinet.toml", **labels):
    """A definition of one box, for what paint reads of it."""
    import tomllib

    table = tomllib.loads(PRELUDE + SQUARE.format(more="", board=18))
    table["tape"] = {"unit": unit, "graduation": "1 mm", "accuracy": "II"}
    table["palette"] = palette(passes, **labels)
    table["carcase"][0].update(width="300 mm", board="18 mm")
    faults = Faults(file)
    return settled(parsed({**table, "painting": painting or {}}, file), faults)


def cut(shapes, *holes, name="front", size=SIZE):
    """The stencil of a rectangular face; shapes are (area, colour), back to front."""
    drawn = [Shape(area, colour, f"shape {at}") for at, (area, colour) in enumerate(shapes)]
    return stencil_of(face(*holes, name=name, size=size), drawn, COLOURS, BOARD)


def stripes(*holes, name="front"):
    """The stencil in the figure."""
    thirds = [box(100 * at, 0, 100 * at + 100, HEIGHT) for at in range(3)]
    return cut(list(zip(thirds, ("red", "blue", "green"), strict=True)), *holes, name=name)


def spread(**given):
    """Square spray, no play, no kerf, no bleed, where nothing else is given."""
    still = {"kerf": 0.0, "play": 0.0, "thickness": 0.4, "angle": 0.0, "bleed": 0.0}
    return Spread(**{**still, **given})


def jumble(seed, size=(60.0, 40.0), count=7):
    """A random pattern: triangles and quadrilaterals over one another, in all four colours."""
    rng = np.random.default_rng(seed)
    shapes = []
    while len(shapes) < count:
        corners = rng.uniform(-5, 5, (4, 2)) + rng.uniform((0, 0), size)
        corners = corners + rng.uniform(4, 14, (4, 1)) * [[-1, -1], [1, -1], [1, 1], [-1, 1]]
        area = Polygon(corners[: rng.integers(3, 5)])
        if area.is_valid and area.area > 20:
            shapes.append((area, str(rng.choice(list(PAINTS)))))
    return cut(shapes, size=size)
