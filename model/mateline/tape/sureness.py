"""How sure a place is, as a carpenter says it: within 1/16" either way, 1/8" along C-D.

Stands after statistics, whose ellipses it puts into words. Bounds are rounded up to what is marked
on a tape, and the way in which a place is least sure is told by the side of the outline that runs
so, by the view (front to back, up and down), or as a slant.

    bound   a place lies no further off, nineteen times out of twenty
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from mateline.tape.quantities import bound_said

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from mateline.tape.solving.statistics import Ellipse

View = Literal["side", "plan", "front"]
NEAR_DEG = 15.0  # degrees: a way this near to a side's is called by the side
ROUND = 1.15  # no unit: an ellipse no longer for its width lies no way in particular
FLAT = 1e-6  # mm: no width at all
_AXES: dict[View | None, tuple[str, str]] = {
    "side": ("front to back", "up and down"),
    "front": ("side to side", "up and down"),
    "plan": ("side to side", "front to back"),
    None: ("level", "plumb"),
}
_SLANTS: dict[View | None, tuple[str, str]] = {  # the way up and to the right, to the left
    "side": ("on a slant up to the back", "on a slant up to the front"),
    "front": ("on a slant up to the right", "on a slant up to the left"),
    "plan": ("on a slant back to the right", "on a slant back to the left"),
    None: ("on a slant up to the right", "on a slant up to the left"),
}


def sure_said(
    ellipse: Ellipse,
    sides: Iterable[tuple[str, float]],
    unit: str,
    view: View | None = None,
) -> str:
    """How sure a place is. `sides` are the labels of those it lies on, and their directions.

    Directions are in radians from +x of the outline. "" for a place that is held.
    """
    if ellipse.long <= FLAT:
        return ""
    long, short = (bound_said(axis, unit) for axis in (ellipse.long, ellipse.short))
    if ellipse.short <= FLAT:
        return f"within {long} {_way(ellipse.direction, tuple(sides), view)}"
    if long == short or ellipse.long <= ROUND * ellipse.short:
        return f"within {long} either way"
    return f"within {short} either way, {long} {_way(ellipse.direction, tuple(sides), view)}"


def axes_said(view: View | None) -> tuple[str, str]:
    """What x and y of an outline are called, from its first corner."""
    if view == "side":
        return "back", "up"
    if view == "plan":
        return "right", "back"
    return "right", "up"


def _way(direction: float, sides: Sequence[tuple[str, float]], view: View | None) -> str:
    near = math.radians(NEAR_DEG)
    named = sorted(((_apart(direction, way), label) for label, way in sides), key=lambda at: at[0])
    if named and named[0][0] <= near:
        return f"along {named[0][1]}"
    for axis, way in zip(_AXES[view], (0.0, math.pi / 2), strict=True):
        if _apart(direction, way) <= near:
            return axis
    return _SLANTS[view][0 if direction % math.pi < math.pi / 2 else 1]


def _apart(one: float, two: float) -> float:
    """The angle between two lines, whichever way they are gone along, radians."""
    turn = abs(one - two) % math.pi
    return min(turn, math.pi - turn)
