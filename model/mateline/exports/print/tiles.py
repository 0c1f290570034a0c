"""Tiles: a face at true size over sheets of paper that a printer takes.

Stands beside layers.

    paper   a size of sheet, portrait
    window  the part of the face that one tile shows; neighbours share a strip `OVERLAP` wide
    number  from the top left, row by row; sheets of board and loads are counted too, and have
            words of their own, so that none is taken for another

      :  1  :|:  2  :        |: :| is the shared strip
      +------+------+
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from shapely import box

if TYPE_CHECKING:
    from shapely import Polygon

INCH = 25.4  # mm
MARGIN = 8.0  # mm that a printer may leave white; common practice, no source
FOOT = 17.0  # mm below the window, for the page's name and the bars to measure
OVERLAP = 10.0  # mm that neighbouring tiles share


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper, portrait, mm."""

    name: str
    width: float
    height: float


# ISO 216, A series; ANSI/ASME Y14.1, sizes A and B, which printers call letter and tabloid.
PAPERS = MappingProxyType(
    {
        "A4": Paper("A4", 210.0, 297.0),
        "A3": Paper("A3", 297.0, 420.0),
        "Letter": Paper("Letter", 8.5 * INCH, 11 * INCH),
        "Tabloid": Paper("Tabloid", 11 * INCH, 17 * INCH),
    }
)


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet: its number, its row from the top and column from the left, counted from 1, and
    its window, left, bottom, right, top, in the face frame, mm.
    """

    number: int
    row: int
    column: int
    window: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Tiles:
    """All sheets of one face. `size` is the paper as it is turned; `tiles` go row by row."""

    paper: Paper
    size: tuple[float, float]
    columns: int
    rows: int
    tiles: tuple[Tile, ...]


def paper_for(unit: str, name: str | None = None) -> Paper:
    """The paper called `name`, or what printers hold where tapes have `unit`: Letter or A4."""
    if name is not None:
        return PAPERS[name]
    return PAPERS["Letter" if unit in {"in", "ft"} else "A4"]


def tiles_for(outline: Polygon, paper: Paper) -> Tiles:
    """The fewest tiles that show `outline`, paper upright where both ways take as many.

    The grid is centred on the outline. A window that shows nothing of it has no tile.
    """
    ways = ((paper.width, paper.height), (paper.height, paper.width))
    return min((_tiles(outline, paper, size) for size in ways), key=lambda found: len(found.tiles))


def window_size(size: tuple[float, float]) -> tuple[float, float]:
    """Width and height of the window on a sheet of `size`, mm."""
    return size[0] - 2 * MARGIN, size[1] - 2 * MARGIN - FOOT


def _tiles(outline: Polygon, paper: Paper, size: tuple[float, float]) -> Tiles:
    left, low, right, high = outline.bounds
    wide, tall = window_size(size)
    columns, rows = _count(right - left, wide), _count(high - low, tall)
    first_x = (left + right - columns * (wide - OVERLAP) - OVERLAP) / 2
    top = (low + high + rows * (tall - OVERLAP) + OVERLAP) / 2
    tiles: list[Tile] = []
    for row in range(rows):
        for column in range(columns):
            x, y = first_x + column * (wide - OVERLAP), top - row * (tall - OVERLAP)
            window = (x, y - tall, x + wide, y)
            if outline.intersects(box(*window)):
                tiles.append(Tile(len(tiles) + 1, row + 1, column + 1, window))
    return Tiles(paper, size, columns, rows, tuple(tiles))


def _count(length: float, window: float) -> int:
    return max(1, math.ceil((length - OVERLAP) / (window - OVERLAP) - 1e-9))
