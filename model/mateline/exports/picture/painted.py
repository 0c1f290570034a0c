"""painted.svg: the painted face as flat fills at true size, and nothing else.

Stands after svg_path. What hardware that stays covers is left open.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.exports.stroke import rings
from mateline.exports.svg_path import opened, path_data

if TYPE_CHECKING:
    from mateline.stencil.stencil import Stencil


def painted_svg(stencil: Stencil) -> str:
    """One even-odd path a region, in mm of the face frame, y flipped; base coat included.

    Neighbours share their border to the last digit, so crisp edges (each pixel takes the colour
    at its centre) leave no seams; smoothed edges would let the background shine through.
    """
    _, _, width, height = stencil.face.outline.bounds
    lines = [opened(width, height, 'shape-rendering="crispEdges"', 'fill-rule="evenodd"')]
    lines += [f'<path fill="{paint}" d="{data}"/>' for paint, data in fills(stencil)]
    return "\n".join([*lines, "</svg>", ""])


def fills(stencil: Stencil) -> list[tuple[str, str]]:
    """The paint ("#rrggbb") and the path data of each region, in the pattern's order."""
    top = stencil.face.outline.bounds[3]
    return [
        (stencil.paints[region.colour], path_data(rings(stencil.chains, region), top))
        for region in stencil.pattern.regions
    ]
