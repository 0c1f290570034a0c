"""stencil.svg: what to cut, punch, fold and letter, on layers of their own, at true size.

Stands after layers and svg_path.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.exports.cut.layers import layers_of
from mateline.exports.svg_path import opened, path_data

if TYPE_CHECKING:
    from mateline.exports.cut.layers import Layers
    from mateline.stencil.stencil import Stencil

HAIRLINE = "0.1"  # mm
# Far apart in hue and lightness, so that a cutter's colour mapping and an eye can tell them.
INK = {
    "cut": "#000000",
    "tack": "#0066cc",
    "score": "#008844",
    "label": "#777777",
    "label-back": "#b08ad0",
    "register": "#cc00aa",
    "hole": "#cc2200",
    "join": "#aa00aa",
    "mark": "#777777",
    "align": "#22aacc",
    "sheet": "#bbbbbb",
}


def stencil_svg(stencil: Stencil, layers: Layers | None = None) -> str:
    """One group a layer, one path a chain; every border of the pattern is there exactly once.

    A border is a path of its own, so that it can be told and checked. Those of one stroke follow
    each other end to end: a cutter that joins such paths lifts no more than it must.

    `layers` are the stencil's own, where they are known already.
    """
    _, _, width, height = stencil.face.outline.bounds
    return layers_svg(layers or layers_of(stencil), width, height)


def layers_svg(layers: Layers, width: float, height: float) -> str:
    """`layers` on a drawing `width` by `height` mm, in their order."""
    lines = [opened(width, height, 'fill="none"', f'stroke-width="{HAIRLINE}"')]
    for layer, chains in layers.items():
        lines.append(f'<g id="{layer}" stroke="{INK[layer]}">')
        lines += [f'<path d="{path_data([chain], height)}"/>' for chain in chains]
        lines.append("</g>")
    return "\n".join([*lines, "</svg>", ""])
