"""A drawing's pattern as SVG: flat fills in the drawing's own view, and a picture of its borders.

Stands after svg_path. The first file is for other programs and has nothing but fills; the
second is for a person: borders by kind of segment, nodes and notes.
"""

from __future__ import annotations

import math
from html import escape
from typing import TYPE_CHECKING

from mateline.curves import radius, sweep
from mateline.errors import InputError
from mateline.exports.hidden_folder import write_whole
from mateline.exports.stroke import rings
from mateline.exports.svg_path import DECIMALS, number, path_data

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from mateline.curves import Point
    from mateline.one_drawing import PatternReport

LINE_INK, ARC_INK, NODE_INK, GREY = "#1f2328", "#c2185b", "#1a5fb4", "#59636e"
WIDE = 1000.0  # px: width of the picture
ROW = 18.0  # px: height of a line of notes
FINEST = 2e-7  # of the view: areas then close to some 1e-9 of it, whatever rounding makes cross
MORE_DECIMALS = 4  # at most
MOST_NOTES = 40  # in the picture; all are in the answer


def write_pattern(report: PatternReport, out: Path) -> tuple[Path, Path]:
    """Write the pattern to `out` and its picture beside it, as `<name>-borders.svg`, both whole.

    Raises InputError when they can't be written.
    """
    picture = out.with_name(f"{out.stem}-borders.svg")
    try:
        out.parent.stat()  # a folder that is not there is more likely a slip than a wish
        write_whole({out: pattern_svg(report), picture: borders_svg(report)})
    except OSError as wrong:
        raise InputError(
            str(out), "", f"The file can't be written: {wrong.strerror}.", "Choose another place."
        ) from wrong
    return out, picture


def pattern_svg(report: PatternReport) -> str:
    """One even-odd path for each region that has a colour, in drawing units."""
    x, y, width, height = report.drawing.view
    decimals = decimals_of(report)
    view = " ".join(number(value, decimals) for value in (x, y, width, height))
    a, _, _, d, _, _ = report.drawing.to_mm
    wide, high = (number(abs(s) * size) for s, size in ((a, width), (d, height)))
    lines = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" '
            f'viewBox="{view}" fill-rule="evenodd" '
            'shape-rendering="crispEdges">'
        ),
        *(f'<path fill="{paint}" d="{data}"/>' for paint, data in _fills(report, decimals)),
    ]
    return "\n".join([*lines, "</svg>", ""])


def borders_svg(report: PatternReport) -> str:
    """The pattern pale, lines dark and arcs red over it, nodes blue, notes below."""
    x, y, width, height = report.drawing.view
    size = WIDE / width
    decimals = decimals_of(report)
    tall = height * size
    notes = [f"{note.element}: {note.message}" for note in report.notes()[:MOST_NOTES]]
    legend = _legend(report)
    full = tall + ROW * (len(notes) + len(legend) + 2)
    parts = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(WIDE)}" '
            f'height="{number(full)}" viewBox="0 0 {number(WIDE)} {number(full)}">'
        ),
        f'<rect width="{number(WIDE)}" height="{number(full)}" fill="#ffffff"/>',
        f'<g transform="scale({size!r}) translate({-x!r} {-y!r})">',
        '<g fill-rule="evenodd" fill-opacity="0.35">',
        *(f'<path fill="{paint}" d="{data}"/>' for paint, data in _fills(report, decimals)),
        "</g>",
        f'<g fill="none" stroke-width="{1.2 / size!r}">',
        *_borders(report, decimals),
        "</g>",
        f'<g fill="{NODE_INK}">',
        *_nodes(report, 2.2 / size, decimals),
        "</g></g>",
    ]
    for row, text in enumerate([*legend, *notes]):
        parts.append(
            f'<text x="10" y="{number(tall + ROW * (row + 1.5))}" font-size="13" '
            f'font-family="sans-serif" fill="{GREY}">{escape(text, quote=False)}</text>'
        )
    return "\n".join([*parts, "</svg>", ""])


def decimals_of(report: PatternReport) -> int:
    """As many as keep a tenth of a micrometre in the drawing's own unit, and a five millionth of a
    small view; more where the tip of a wedge is so thin that both of its sides would be one line.
    """
    finest = min(10.0**-DECIMALS / report.scale, FINEST * max(report.drawing.view[2:]))
    fewest = max(0, math.ceil(-math.log10(finest) - 1e-9))
    for decimals in range(fewest, fewest + MORE_DECIMALS):
        if not _is_written_twice(report, decimals):
            return decimals
    return fewest + MORE_DECIMALS


def _is_written_twice(report: PatternReport, decimals: int) -> bool:
    """Whether two segments are the same in the file, whichever way they run."""
    seen = set()
    for segment in _as_written(report, decimals):
        if segment in seen:
            return True
        seen.add(segment)
    return False


def _as_written(report: PatternReport, decimals: int) -> Iterator[tuple[object, ...]]:
    """Segments as the file has them, all the same way round: both ends, and of an arc its radius,
    its side, and whether it is more than half a circle. What rounding leaves nothing of is not.
    """

    def written(point: Point) -> tuple[str, str]:
        return number(point[0], decimals), number(report.top - point[1], decimals)

    for chain in report.fit.chains:
        at = chain.start
        for each in chain.segments:
            size, turn = "", 0.0
            if each.centre is not None:
                size, turn = number(radius(each), decimals), sweep(at, each)
            first, last = written(at), written(each.to)
            if last < first:
                first, last, turn = last, first, -turn
            if first != last:
                yield first, last, size, turn > 0, abs(turn) > math.pi
            at = each.to


def _fills(report: PatternReport, decimals: int) -> list[tuple[str, str]]:
    return [
        (region.colour, path_data(rings(report.fit.chains, region), report.top, decimals))
        for region in report.pattern.regions
        if region.colour
    ]


def _borders(report: PatternReport, decimals: int) -> list[str]:
    drawn = []
    for chain in report.fit.chains:
        round_ones = any(segment.centre is not None for segment in chain.segments)
        ink = ARC_INK if round_ones else LINE_INK
        drawn.append(f'<path stroke="{ink}" d="{path_data([chain], report.top, decimals)}"/>')
    return drawn


def _nodes(report: PatternReport, reach: float, decimals: int) -> list[str]:
    at = [
        (number(x, decimals), number(report.top - y, decimals))
        for x, y in report.pattern.nodes.tolist()
    ]
    return [f'<circle cx="{x}" cy="{y}" r="{reach!r}"/>' for x, y in at]


def _legend(report: PatternReport) -> list[str]:
    segments = report.segments()
    return [
        (
            f"{len(report.pattern.regions)} regions, {len(report.pattern.borders)} borders of "
            f"{segments['line']} lines and {segments['arc']} arcs; "
            f"{len(report.pattern.nodes)} nodes (blue). Borders with arcs are red."
        ),
    ]
