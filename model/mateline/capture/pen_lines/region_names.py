"""Which colour each area of a tracing has: as somebody says, or as marks on the paper say.

Stands in pen lines before lines. What nobody names is "region-1" and so on, in grey, to be given
its colour later.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from mateline.curves import Point

ROW = 5.0  # mm: areas whose tops differ by less begin in one row
DARKEST, LIGHTEST = 96, 224  # of the greys, 0 to 255


@dataclass(frozen=True, slots=True)
class Wanted:
    """`listed`: colours in reading order; `points`: (x, y, colour), mm, each in its area;
    `palette`: colours, linear light, that marks on the paper are matched to.
    """

    listed: Sequence[str] = ()
    points: Sequence[tuple[float, float, str]] = ()
    palette: Mapping[str, Sequence[float]] | None = None


@dataclass(frozen=True, slots=True)
class Naming:
    """A name for each area; `unnamed` are those that nobody named; `clashes` are areas with marks
    of two colours, which a line may be missing in: the area and both names.
    """

    names: tuple[str, ...]
    unnamed: tuple[int, ...]
    clashes: tuple[tuple[int, str, str], ...]


def named(
    corners: Sequence[Point],
    wanted: Wanted,
    marked: Sequence[tuple[int, str]],
    area_at: Callable[[Point], int | None],
    file: str,
) -> Naming:
    """Names of areas whose highest places are `corners` (x, y), mm. `marked`: areas and the colours
    of marks in them; `area_at` says in which one a place is.

    What is said at a point counts before the list, and both before marks. Raises InputError.
    """
    names: dict[int, str] = {}
    clashes = []
    for area, colour in marked:
        if names.setdefault(area, colour) != colour:
            clashes.append((area, names[area], colour))
    if wanted.listed:
        names |= _listed(corners, wanted.listed, file)
    names |= _pointed(wanted.points, area_at, file)
    order = reading_order(corners)
    rank = {area: place for place, area in enumerate(order)}
    unnamed = tuple(area for area in order if area not in names)
    full = tuple(names.get(area, f"region-{rank[area] + 1}") for area in range(len(corners)))
    return Naming(full, unnamed, tuple(clashes))


def reading_order(corners: Sequence[Point]) -> list[int]:
    """Areas from the top down, and from the left where they begin in one row.

    A row is told by its highest area: what begins less than ROW below it is in it.
    """
    rest = sorted(range(len(corners)), key=lambda at: (-corners[at][1], corners[at][0]))
    found: list[int] = []
    while rest:
        top = corners[rest[0]][1]
        row = [at for at in rest if top - corners[at][1] < ROW]
        found.extend(sorted(row, key=lambda at: (corners[at][0], -corners[at][1])))
        rest = [at for at in rest if top - corners[at][1] >= ROW]
    return found


def grey(place: int, count: int) -> str:
    """The grey of the area at `place` of `count` unnamed ones: neighbours in order differ much."""
    share = (place * 0.6180339887) % 1.0 if count > 1 else 0.5
    level = round(DARKEST + (LIGHTEST - DARKEST) * share)
    return f"#{level:02x}{level:02x}{level:02x}"


def _listed(corners: Sequence[Point], listed: Sequence[str], file: str) -> dict[int, str]:
    if len(listed) != len(corners):
        raise InputError(
            file, "colours", f"{len(listed)} colours are listed for {len(corners)} areas.",
            "List one for each area, from the top down and from the left, or name areas by points.",
        )  # fmt: skip
    return dict(zip(reading_order(corners), listed, strict=True))


def _pointed(
    points: Sequence[tuple[float, float, str]],
    area_at: Callable[[Point], int | None],
    file: str,
) -> dict[int, str]:
    names: dict[int, str] = {}
    for x, y, colour in points:
        area = area_at((x, y))
        if area is None:
            raise InputError(
                file, f"point ({x:g}, {y:g})", f"No area of the tracing is there for “{colour}”.",
                "Give a place inside a closed line, in mm from the lower-left corner.",
            )  # fmt: skip
        if names.setdefault(area, colour) != colour:
            raise InputError(
                file, f"point ({x:g}, {y:g})",
                f"The area is to be “{names[area]}” and “{colour}” at once.",
                "Take one of the points away, or draw the line that should part them.",
            )  # fmt: skip
    return names
