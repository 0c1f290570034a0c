"""What is said of curves: a table in the tape's unit, sentences, or plain data in mm.

Stands last in the room; lengths become texts here, radians degrees.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from mateline.tape.quantities import within_said
from mateline.tape.reading import printed_exact
from mateline.tape.solving.statistics import W_LIMIT
from mateline.tape.sureness import sure_said

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.tape.accuracy import Tape
    from mateline.tape.arcs.curve import Arc, ArcReading
    from mateline.tape.sureness import View


def arc_rows(arcs: Sequence[Arc], tape: Tape, view: View | None = None) -> list[list[str]]:
    """The curves as texts in the tape's unit, a heading first."""
    rows = [["curve", "chord", "rise", "± rise", "radius", "along it", "how sure its middle is"]]
    for arc in arcs:
        sizes = (arc.chord, arc.rise, arc.deviation, arc.radius, arc.length)
        (x0, y0), (x1, y1) = arc.start, arc.to
        chord = ("its chord", math.atan2(y1 - y0, x1 - x0))
        rows.append([
            arc.label,
            *(printed_exact(size, tape.unit) for size in sizes),
            sure_said(arc.ellipse, [chord], tape.unit, view) or "held",
        ])  # fmt: skip
    return rows


def arc_reading_rows(arcs: Sequence[Arc], tape: Tape) -> list[list[str]]:
    """What was read of the curves and how it fits, as texts, a heading first."""
    rows = [["curve's reading", "read", "fits", "off", "times the usual"]]
    for each in (each for arc in arcs for each in arc.readings):
        numbers = (each.read, each.read + each.residual, each.residual)
        rows.append([
            each.label,
            *(_said(number, each, tape) for number in numbers),
            "-" if each.w is None else f"{abs(each.w):.1f}",
        ])  # fmt: skip
    return rows


def arc_sentences(arcs: Sequence[Arc], tape: Tape) -> Iterator[str]:
    """How well the curves fit what was read of them, and what contradicts."""
    for arc in arcs:
        spots = [each for each in arc.readings if " point " in each.label]
        if spots:
            worst = max(abs(each.residual) for each in spots)
            yield (
                f"An arc fits the {len(spots)} points along {arc.label} within "
                f"{within_said(worst, tape.unit)}."
            )
        wrong = doubtful(arc)
        if wrong is not None:
            yield (
                f"The {wrong.label} is {_said(abs(wrong.residual), wrong, tape)} from what the "
                "other readings say: measure it again."
            )


def doubtful(arc: Arc) -> ArcReading | None:
    """The reading of a curve that fits worst, where it fits worse than a good one would."""
    checked = [each for each in arc.readings if each.w is not None]
    worst = max(checked, key=lambda each: abs(each.w or 0.0), default=None)
    return worst if worst is not None and abs(worst.w or 0.0) > W_LIMIT else None


def arc_json(arc: Arc) -> dict[str, Any]:
    """One curve as plain data, mm and degrees."""
    x, y = arc.middle
    return {
        "curve": arc.label,
        "start": list(arc.start),
        "end": list(arc.to),
        "chord": arc.chord,
        "rise": arc.rise,
        "deviation": arc.deviation,
        "radius": arc.radius,
        "length": arc.length,
        "middle": {
            "x": x,
            "y": y,
            "ellipse_95": {
                "long": arc.ellipse.long,
                "short": arc.ellipse.short,
                "direction_deg": math.degrees(arc.ellipse.direction),
            },
        },
        "readings": [_reading_json(each) for each in arc.readings],
    }


def _reading_json(each: ArcReading) -> dict[str, Any]:
    unit = math.degrees if each.angle else float
    return {
        "label": each.label,
        "unit": "deg" if each.angle else "mm",
        "read": unit(each.read),
        "residual": unit(each.residual),
        "deviation": unit(each.deviation),
        "w": each.w,
    }


def _said(size: float, each: ArcReading, tape: Tape) -> str:
    return f"{math.degrees(size):.2f}°" if each.angle else printed_exact(size, tape.unit)
