r"""Where two boards end at a corner of an outline, where one of them or both are bent.

Stands after panel, before carcase. In the view that an outline is drawn in, a board is the strip
between its outside, a line or an arc, and its inside, as far below as it is thick.

    A over B    A is cut along B's outside, B along A's inside
    mitre       both are cut from the outer corner to the inner one
    free        as "over": the other board is not there, and A is cut as if it were

Cuts are flat, as a saw makes them: where they should follow an arc they are its chord.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mateline.cabinet.joints import SectionError
from mateline.curves import Chain, Segment
from mateline.planar.offsets import Curved, NoCornerError, corner

if TYPE_CHECKING:
    from mateline.cabinet.joints import Role
    from mateline.curves import Point


@dataclass(frozen=True, slots=True)
class Wall:
    """A board in the view: its outside, and its thickness, mm."""

    outside: Curved
    thickness: float


@dataclass(frozen=True, slots=True)
class Corner:
    """Two boards that meet, in the outline's order."""

    before: Wall
    after: Wall

    def section(self, role: Role, *, after: bool, rabbet: float = 0.0) -> Chain:
        """The section of the board before the corner, or after it, there. One under the other goes
        on into the other's `rabbet`.

        (in, down), mm; along a bent board `in` is measured along its outside. Raises SectionError.
        """
        own, other = (self.after, self.before) if after else (self.before, self.after)
        outer_depth, inner_depth = {
            "over": (0.0, 0.0),
            "free": (0.0, 0.0),
            "under": (other.thickness - rabbet, other.thickness - rabbet),
            "mitre": (0.0, other.thickness),
        }[role]
        start = self._in(own, (0.0, outer_depth), after=after)
        end = self._in(own, (own.thickness, inner_depth), after=after)
        return Chain((start, 0.0), (Segment((end, own.thickness)),))

    def _in(self, own: Wall, depths: tuple[float, float], *, after: bool) -> float:
        """How far from the corner a board ends where its own depth and the other's are these."""
        if depths == (0.0, 0.0):
            return 0.0
        insets = depths[::-1] if after else depths
        try:
            spot = corner(self.before.outside, self.after.outside, insets)
        except NoCornerError:
            raise SectionError("the two boards do not meet all through their thickness") from None
        return _along(own.outside, spot, after=after)


def square(thickness: float) -> Chain:
    """The section of a board that is cut square to its face."""
    return Chain((0.0, 0.0), (Segment((0.0, thickness)),))


def _along(side: Curved, spot: Point, *, after: bool) -> float:
    """How far a spot is from the side's end (its start, where the corner comes before it)."""
    here = side.start if after else side.to
    x, y = spot[0] - here[0], spot[1] - here[1]
    way_x, way_y = side.way(here)
    sign = 1.0 if after else -1.0
    if side.centre is None:
        return sign * (x * way_x + y * way_y)
    one = Curved(here, spot, side.centre, side.bulging)
    turn = one.turn()
    return sign * abs(side.radius) * turn
