"""The definition's stencil board, settled: sheet, punches, knife and bed.

Stands after lengths.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mateline.definition.lengths import METRIC, Ruler
from mateline.definition.schema import StencilTable
from mateline.errors import Faults
from mateline.stencil.board import LEAST_BED, Board, Knife, Punch
from mateline.tape.quantities import thickness_said

if TYPE_CHECKING:
    from mateline.definition.schema import KnifeTable, PunchTable
    from mateline.definition.tables.part import Reading


def board_of(table: StencilTable, ruler: Ruler) -> Board:
    """The stencil board; faults go to the ruler."""

    def size(word: str) -> float:
        return ruler.size(getattr(table, word), f"stencil, {word}")

    punches = [
        _punch(punch, ruler, f"stencil, punches {number}")
        for number, punch in enumerate(table.punches, start=1)
    ]
    knife = None if table.knife is None else _knife(table.knife, ruler)
    width, height = (ruler.size(side, "stencil, sheet") for side in table.sheet)
    least = size("least_width")
    said = ruler.faults.said
    if min(width, height) < 2 * least:
        ruler.faults.add(
            "stencil, sheet",
            f"A sheet of {said(width)} by {said(height)} can't be cut into parts of "
            f"{said(least)}, the least width.",
            "Give the size of a whole sheet of board, or a smaller least width.",
        )
    return Board(
        sheet=(width, height),
        thickness=size("thickness"),
        least_width=least,
        least_area=table.least_area_mm2,
        sharpest=math.radians(table.sharpest_deg),
        punches=tuple(sorted(punches, key=lambda punch: -punch.length * punch.width)),
        reach=size("reach"),
        tape_margin=ruler.not_negative(table.tape_margin, "stencil, tape_margin"),
        kerf=ruler.not_negative(table.kerf, "stencil, kerf"),
        join_tape=size("join_tape"),
        knife=knife,
        bed=None if table.bed is None else _bed(table.bed, ruler, knife),
    )


def usual_board() -> Board:
    """The board of a definition that states nothing of it."""
    return board_of(StencilTable(), Ruler(METRIC, Faults()))


def _bed(sides: tuple[Reading, Reading], ruler: Ruler, knife: Knife | None) -> tuple[float, float]:
    place = "stencil, bed"
    faults = len(ruler.faults)
    across, along = (ruler.size(side, place) for side in sides)
    if len(ruler.faults) > faults:
        return across, along
    rims, said = 0.0 if knife is None else 2 * knife.rim, ruler.faults.said
    for side, given in zip((across, along), sides, strict=True):
        if LEAST_BED <= side < LEAST_BED + rims:
            ruler.faults.add(
                place,
                f"“{given}” is {said(side)}, and {said(side - rims)} of it are left between the "
                "rims that the pivot of the knife needs; that has to be "
                f"{said(LEAST_BED)} at least.",
                "Give the size of the bed, and the knife's offset from its pivot to its tip.",
            )
        if side < LEAST_BED:
            ruler.faults.add(
                place,
                f"“{given}” is {said(side)}, and a bed is at least {said(LEAST_BED)}: "
                "neighbouring loads share a strip of it for their crosses.",
                "Give the size of the bed, or leave it out where it takes a whole sheet.",
            )
    return across, along


def _knife(table: KnifeTable, ruler: Ruler) -> Knife:
    place = "stencil, knife"
    depth = ruler.size(table.depth, f"{place}, depth")
    swivel = ruler.size(table.swivel_depth, f"{place}, swivel_depth")
    if swivel > depth:
        ruler.faults.add(
            f"{place}, swivel_depth",
            f"The knife would swivel at {thickness_said(swivel, ruler.unit)}, deeper than its cut "
            f"of {thickness_said(depth, ruler.unit)}.",
            "Give a swivel depth that is less than the depth.",
        )
    return Knife(
        offset=ruler.size(table.offset, f"{place}, offset"),
        depth=depth,
        swivel_depth=swivel,
        clearance=ruler.size(table.clearance, f"{place}, clearance"),
        feed=table.feed_mm_min,
        swivel_feed=table.swivel_feed_mm_min,
        plunge_feed=table.plunge_feed_mm_min,
    )


def _punch(table: PunchTable, ruler: Ruler, place: str) -> Punch:
    if table.diameter is not None and table.length is None and table.width is None:
        across = ruler.size(table.diameter, f"{place}, diameter")
        return Punch(across, across, round=True)
    if table.diameter is None and table.length is not None and table.width is not None:
        sides = [ruler.size(table.length, place), ruler.size(table.width, place)]
        return Punch(max(sides), min(sides))
    ruler.faults.add(
        place,
        "A punch is a disc or a rectangle.",
        "Give its diameter, or its length and width.",
    )
    return Punch(1.0, 1.0)
