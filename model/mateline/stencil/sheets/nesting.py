"""Nesting: spare or remade pieces, laid close together on sheets of board.

Stands after pieces and board. The nester is spyrrow, which is installed on request only; it
fills a strip as wide as a sheet, and what lies beyond the sheet's end goes on to the next one.
Its answers get better with the time that it has: seed, threads and the order of pieces are fixed,
but a run is stopped by the clock, so two runs need not agree to the mm.

Pieces keep their face up: they are turned, never turned over. Holes in a piece stay empty.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import shapely
from shapely import Polygon, affinity

from mateline.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mateline.curves import Point

OUTLINE_TOL = 0.25  # mm: pieces are nested by outlines with fewer corners, this much larger
HALVES = (0.0, math.pi)  # radians: the grain stays as it is in the piece
QUARTERS = (0.0, math.pi / 2, math.pi, 3 * math.pi / 2)  # radians: the grain stays along a side


@dataclass(frozen=True, slots=True)
class Nested:
    """Where one piece lies: turned by `turn` radians about (0, 0), then moved by `shift` mm.

    `sheet` counts from 0; a sheet's lower-left corner is (0, 0), its first side along x.
    """

    piece: str
    sheet: int
    turn: float
    shift: Point


def laid(area: Polygon, nested: Nested) -> Polygon:
    """`area` as it lies on its sheet."""
    turned = affinity.rotate(area, nested.turn, origin=(0, 0), use_radians=True)
    moved: Polygon = affinity.translate(turned, *nested.shift)
    return moved


def nested_on_sheets(
    areas: Mapping[str, Polygon],
    sheet: tuple[float, float],
    *,
    gap: float = 3.0,
    turns: Sequence[float] | None = QUARTERS,
    seconds: int = 5,
) -> tuple[Nested, ...]:
    """Every piece of `areas` on one of as many sheets as it takes, in order of sheet and name.

    `gap` (mm) is kept between pieces and to the sheet's edge; `turns` (radians) are allowed, any
    where None. Raises InputError where spyrrow is not installed, ValueError for a piece that no
    turn among 360 whole degrees, or of those allowed, fits on a sheet.
    """
    room = room_on(sheet, gap)
    outlines = {name: _outline(area) for name, area in areas.items()}
    fitting = {name: fitting_turns(area, sheet, gap, turns) for name, area in areas.items()}
    for name, fits in fitting.items():
        if not fits:
            raise ValueError(
                f"{name} does not fit on a sheet with {room[0]:g} x {room[1]:g} mm free"
            )
    found: list[Nested] = []
    left, number = sorted(outlines), 0
    while left:
        on_sheet = _strip(
            {name: (outlines[name], fitting[name]) for name in left}, room, gap, seconds
        )
        for name, turn, (x, y) in on_sheet:
            found.append(Nested(name, number, turn, (x + gap, y + gap)))
            left.remove(name)
        number += 1
    return tuple(sorted(found, key=lambda each: (each.sheet, each.piece)))


def _outline(area: Polygon) -> Polygon:
    """The outer ring with few corners, nowhere inside the piece."""
    grown = Polygon(area.exterior).buffer(OUTLINE_TOL, join_style="mitre")
    return Polygon(shapely.simplify(grown, OUTLINE_TOL).exterior)


def room_on(sheet: tuple[float, float], gap: float) -> tuple[float, float]:
    """What is left of a sheet between its edges' gaps, mm."""
    return sheet[0] - 2 * gap, sheet[1] - 2 * gap


def fitting_turns(
    area: Polygon, sheet: tuple[float, float], gap: float, turns: Sequence[float] | None
) -> list[float]:
    """Those of `turns`, or of 360 whole degrees, at which a piece fits on a sheet, radians."""
    wide, high = room_on(sheet, gap)
    shape = _outline(area)
    fits = []
    for turn in [math.radians(at) for at in range(360)] if turns is None else turns:
        x0, y0, x1, y1 = affinity.rotate(shape, turn, origin=(0, 0), use_radians=True).bounds
        if x1 - x0 <= wide and y1 - y0 <= high:
            fits.append(turn)
    return fits


def _strip(
    shapes: Mapping[str, tuple[Polygon, list[float]]],
    room: tuple[float, float],
    gap: float,
    seconds: int,
) -> list[tuple[str, float, Point]]:
    """The pieces of a strip that lie on its first sheet: name, turn, shift."""
    spyrrow = _spyrrow()
    items = [
        spyrrow.Item(
            name,
            list(shape.exterior.coords)[:-1],
            demand=1,
            allowed_orientations=[math.degrees(turn) for turn in turns],
        )
        for name, (shape, turns) in shapes.items()
    ]
    strip = spyrrow.StripPackingInstance("pieces", room[1], items)
    config = spyrrow.StripPackingConfig(
        early_termination=True,
        min_items_separation=gap,
        total_computation_time=seconds,
        num_workers=1,
        seed=1,
    )
    lying = []
    for placed in strip.solve(config).placed_items:
        turn = math.radians(placed.rotation)
        x, y = placed.translation
        moved = laid(shapes[placed.id][0], Nested(placed.id, 0, turn, (x, y)))
        lying.append((moved.bounds[0], moved.bounds[2], placed.id, turn, (x, y)))
    lying.sort()
    start = lying[0][0]
    return [
        (name, turn, (x - start, y))
        for _, end, name, turn, (x, y) in lying
        if end - start <= room[0]
    ]


def _spyrrow() -> Any:
    try:
        import spyrrow  # noqa: PLC0415  optional
    except ImportError as error:
        raise InputError(
            "nesting",
            "",
            "Nesting needs the package spyrrow, which is not installed.",
            'Install it with: pip install "mateline[nest]"',
        ) from error
    return spyrrow
