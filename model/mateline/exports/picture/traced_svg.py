"""What was traced as the face's drawing: flat fills at true size, and marks where it was guessed.

Stands after svg_path. The file is read like any other drawing. Its marks are unpainted, and
called by their length: "guessed-14mm-3". Whoever deletes one has settled it.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import shapely
from shapely.ops import substring

from mateline.curves import Chain, flattened, length, ring
from mateline.exports.svg_path import number, opened, path_data

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from mateline.capture.traced import Traced

# mm: no guess to look at is a border that goes on over a scratch; nor one that is seen for as long
# on either side of a chip, on the same line or arc.
SHORT, BRIDGED, BESIDE = 5.0, 40.0, 5.0
DECIMALS = 10  # mm: what is read again closes as what was traced did, at the outline too
_NO_ID = re.compile(r"[^A-Za-z0-9_.-]+")


def traced_svg(traced: Traced, width: float, height: float, paints: Mapping[str, str]) -> str:
    """The drawing of a face that is `width` by `height` mm, from (0, 0) in its frame; `paints`
    are the "#rrggbb" of the colours by name.
    """
    chains = tuple(border.chain for border in traced.borders)
    lines = [opened(width, height, 'fill-rule="evenodd"')]
    for index, region in enumerate(traced.regions, start=1):
        data = path_data((ring(chains, loop) for loop in region.loops), height, DECIMALS)
        name = f"{_NO_ID.sub('-', region.colour)}-{index}"
        lines.append(f'<path id="{name}" fill="{paints[region.colour]}" d="{data}"/>')
    return "\n".join([*lines, *_marks(traced, height), "</svg>", ""])


def _marks(traced: Traced, height: float) -> Iterator[str]:
    """An unpainted line along each stretch that was guessed."""
    count = 0
    for border in (each for each in traced.borders if each.guessed):
        line = shapely.LineString(flattened(border.chain))
        for start, end in (each for each in border.guessed if _doubted(border.chain, *each)):
            count += 1
            points = shapely.get_coordinates(substring(line, start, end))
            data = "L".join(f"{number(x)} {number(height - y)}" for x, y in points.tolist())
            yield (
                f'<path id="guessed-{number(end - start, 1)}mm-{count}" fill="none" stroke="none" '
                f'd="M{data}"/>'
            )


def _doubted(chain: Chain, start: float, end: float) -> bool:
    """Whether a guess is more than a line or arc carried on between where it is seen."""
    if end - start < SHORT:
        return False
    if end - start > BRIDGED:
        return True
    first, at = 0.0, chain.start
    for segment in chain.segments:
        last = first + length(Chain(at, (segment,)))
        if first + BESIDE <= start and end <= last - BESIDE:
            return False
        first, at = last, segment.to
    return True
