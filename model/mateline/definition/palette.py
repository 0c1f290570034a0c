"""The definition's palette, settled: paints and letters by name, the base coat, the user's order.

Stands after lengths.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mateline.stencil.pieces import Colours

if TYPE_CHECKING:
    from mateline.definition.schema import PaletteTable
    from mateline.errors import Faults


def colours_of(palette: PaletteTable, faults: Faults) -> Colours:
    """The colours; two of one paint or letter, and unknown ones, go to `faults`."""
    if palette.base not in palette.colours:
        faults.unknown("palette, base", palette.base, "colour", palette.colours)
    for name in palette.passes or ():
        if name not in palette.colours:
            faults.unknown("palette, passes", name, "colour", palette.colours)
    for word in ("paint", "letter"):
        seen: dict[str, str] = {}
        for name, colour in palette.colours.items():
            value = getattr(colour, word).lower()
            if value in seen:
                faults.add(
                    f"palette, colours, {name}",
                    f"Its {word} is that of {seen[value]} too.",
                    f"Give each colour a {word} of its own.",
                )
            seen[value] = name
    return Colours(
        paints={name: colour.paint.lower() for name, colour in palette.colours.items()},
        letters={name: colour.letter for name, colour in palette.colours.items()},
        base=palette.base,
    )
