"""Advice that follows from the witness lines, in words and the user's unit.

Stands after lines.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mateline.paint.witness.lines import worst
from mateline.tape.quantities import limit_said, thickness_said, within_said
from mateline.tape.reading import printed_exact

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.paint.witness.lines import Limits, Spread, Witness

TELLING = 0.05  # mm: a line of base coat narrower than this is not seen; no source
MOST_NAMED = 5  # borders that are named one by one


def advice_of(
    lines: Sequence[Witness], limits: Limits | None, spread: Spread, unit: str
) -> tuple[str, ...]:
    """What to do about the borders of the whole cabinet; nothing where no two colours meet."""
    widest = worst(lines)
    if widest is None or limits is None:
        return ()

    if widest.gap <= 0:
        return (_closed(widest, unit), _room(limits, unit), _hidden(spread, unit))
    return (
        _open(widest, lines, unit),
        _square(widest, limits, spread, unit),
        _play(limits, spread, unit),
        _cut_back(limits, unit),
        _hidden(spread, unit),
    )


def _closed(widest: Witness, unit: str) -> str:
    return (
        f"Every border closes: even the worst, between {widest.first} and {widest.second}, keeps "
        f"{printed_exact(-widest.gap, unit)} of overlap."
    )


def _room(limits: Limits, unit: str) -> str:
    angle = limits.angle or 0.0
    lean = (
        "at any angle" if angle >= math.pi / 2 else f"up to {math.degrees(angle):.0f}° off square"
    )
    return (
        f"They still close with pieces up to {limit_said(limits.play or 0.0, unit)} off their "
        f"place, or with spray {lean}, the rest unchanged."
    )


def _open(widest: Witness, lines: Sequence[Witness], unit: str) -> str:
    seen = [line for line in lines if line.gap > TELLING]
    wide = within_said(widest.gap, unit)
    if not seen:
        return f"Base coat may show, but nowhere wider than {wide}: hardly seen."
    ranked = sorted(seen, key=lambda line: (-line.gap, -line.length, line.first, line.second))
    named = "; ".join(f"{line.first} and {line.second}" for line in ranked[:MOST_NAMED])
    more = len(ranked) - MOST_NAMED
    rest = f"; and {more} more" if more > 0 else ""
    return (
        f"Base coat may show up to {wide} wide between colours. Have a small brush ready for the "
        f"longest and worst borders: {named}{rest}."
    )


def _square(widest: Witness, limits: Limits, spread: Spread, unit: str) -> str:
    shade = widest.gap - (spread.play - spread.kerf - 2 * spread.bleed)
    lean = math.degrees(spread.angle)
    if limits.angle is not None:
        return (
            f"Spray square on: within {math.degrees(limits.angle):.0f}° of square, not "
            f"{lean:.0f}°, every border closes."
        )
    return (
        f"Spray square on: leaning {lean:.0f}° costs {printed_exact(shade, unit)}; but square "
        "spray alone does not close the worst border."
    )


def _play(limits: Limits, spread: Spread, unit: str) -> str:
    if limits.play is not None:
        return (
            f"Put pieces back within {limit_said(limits.play, unit)} of where they lay, not "
            f"{printed_exact(spread.play, unit)}: mark them across their borders with pencil, or "
            "pin them."
        )
    return "Putting pieces back exactly does not close the worst border by itself."


def _cut_back(limits: Limits, unit: str) -> str:
    back, kerf = (thickness_said(size, unit) for size in (limits.cut_back, limits.kerf))
    return (
        f"A deliberate overlap helps: cut every piece back by {back} on each edge (as a kerf of "
        f"{kerf} would), and the worst border just closes."
    )


def _hidden(spread: Spread, unit: str) -> str:
    overlap = printed_exact(spread.overlap(), unit)
    return (
        f"Where colours overlap, by {overlap} at most, the later one covers the earlier: dark over "
        "light hides it best."
    )
