r"""Sections of panel edges: where each board ends, by joint and by the shape of the edge.

Stands after panel, before carcase. Two boards A and B meet at an outside edge with the angle
`angle` between them, measured through the wood. At depth z below A's outside face, A ends at
`in` from the sharp edge (negative: beyond it, where an obtuse corner lets it be longer inside):

    A over B     z / tan(angle)                               A's end is seen from outside
    A under B    B's thickness / sin(angle) + z / tan(angle)
    mitre        z * m / A's thickness, with the inner corner at
                 m = (B's thickness + A's thickness * cos(angle)) / sin(angle)

Elementary trigonometry of the wedge; tests/outside checks it against the kernel.

A strip cut off the edge, `width` w at `lean` to the face of the board that lies over, takes
w sin(angle + lean) / sin(angle) from that face and w sin(lean) / sin(angle) from its end (the
law of sines). A round of radius r takes r / tan(angle / 2) from both.

     |  |           At an inside corner (an angle over 180°) the same shapes are hollow: wood is
     |  \           added in front of both faces, and what half the angle gives has the other sign.
     |   `-.___     Each board owns half of a cove or a fillet, and its end is cut from the middle
     |_________     of that straight to the inner corner.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from mateline.curves import Chain, Point, Segment
from mateline.errors import in_mm

if TYPE_CHECKING:
    from collections.abc import Callable

Role = Literal["over", "under", "mitre", "free"]
SQUARE_TOL = 1e-9  # no unit: what is left of cos(90°) in floats
LEAN_TOL = math.radians(0.5)  # a bevel's angle is set on a saw's scale


@dataclass(frozen=True, slots=True)
class Bevel:
    """A flat strip of true `width` mm, `lean` radians off the face (None: off both alike)."""

    width: float
    lean: float | None = None


@dataclass(frozen=True, slots=True)
class Round:
    """A round of `radius` mm, tangent to both faces."""

    radius: float


class SectionError(ValueError):
    """An edge that can't be made: what is wrong, with a {} for each of its `lengths`, mm.

    `most` is the share of the shape's size that the board has room for, where there is any.
    """

    def __init__(self, what: str, most: float | None = None, *lengths: float) -> None:
        super().__init__(what, most, *lengths)
        self.what, self.most, self.lengths = what, most, lengths

    def __str__(self) -> str:
        return self.told(in_mm)

    def told(self, said: Callable[[float], str]) -> str:
        """What is wrong, lengths as they are `said`."""
        return self.what.format(*map(said, self.lengths)) if self.lengths else self.what


def section(
    role: Role,
    thickness: float,
    other: float,
    angle: float,
    shape: Bevel | Round | None,
    *,
    other_back: float = 0.0,
) -> Chain:
    """Section of one board at an edge, (in, down), mm; `other` is the other board's thickness.

    The board that lies over owns a whole bevel or round; on a mitre each owns half of it, and of
    what is added at an inside corner, where the section goes to less than 0 down first. Where
    the other board lies `other_back` behind the outline, one under it ends that much earlier.
    Raises SectionError: the shape does not fit the board.
    """
    if role == "under":
        behind = other + other_back
        return _cut(_under(0.0, behind, angle), _under(thickness, behind, angle), thickness)
    if role == "mitre":
        if other_back > 0:
            raise SectionError("boards that are mitred can't be set back")
        inner = (other + thickness * math.cos(angle)) / math.sin(angle)
        return _mitred(thickness, other, angle, inner, shape)
    end = _clean(thickness / math.tan(angle))
    if shape is None:
        return _cut(0.0, end, thickness)
    return _shaped(shape, thickness, angle, end)


def face_and_end(shape: Bevel | Round, angle: float) -> tuple[float, float]:
    """What the strip takes from the face and from the end of the board, along both, mm."""
    if isinstance(shape, Round):
        reach = shape.radius / math.tan(angle / 2)
        return reach, reach
    lean = (math.pi - angle) / 2 if shape.lean is None else shape.lean
    face = shape.width * math.sin(angle + lean) / math.sin(angle)
    return face, shape.width * math.sin(lean) / math.sin(angle)


def _shaped(shape: Bevel | Round, thickness: float, angle: float, end: float) -> Chain:
    face, along_end = face_and_end(shape, angle)
    depth = along_end * math.sin(angle)
    if face <= 0:
        raise SectionError("its angle leaves nothing of the bevel at this corner")
    if depth >= thickness:
        raise _too_deep(depth, thickness)
    foot = (_clean(along_end * math.cos(angle)), depth)
    strip = (
        Segment(foot, (face, shape.radius), counterclockwise=False)
        if isinstance(shape, Round)
        else Segment(foot)
    )
    return Chain((face, 0.0), (strip, Segment((end, thickness))))


def _mitred(
    thickness: float, other: float, angle: float, inner: float, shape: Bevel | Round | None
) -> Chain:
    if shape is None:
        return _cut(0.0, inner, thickness)
    side = 1.0 if angle < math.pi else -1.0
    if side > 0 and abs(thickness - other) > SQUARE_TOL * thickness:
        raise SectionError(
            "a mitre with a shaped edge needs boards of one thickness, not {} and {}",
            None,
            thickness,
            other,
        )
    half = angle / 2
    if isinstance(shape, Round):
        face = side * shape.radius / math.tan(half)
        # From the sharp edge to the round, through the wood.
        reach = side * (shape.radius / math.sin(half) - shape.radius)
    else:
        alike = side * (math.pi - angle) / 2
        if shape.lean is not None and abs(shape.lean - alike) > LEAN_TOL:
            raise SectionError(
                f"on a mitre a bevel leans {math.degrees(alike):.1f}° off both boards, "
                f"not {math.degrees(shape.lean):.1f}°"
            )
        face = shape.width / 2 / math.sin(half)
        reach = face * math.cos(half)
    middle = (reach * math.cos(half), reach * math.sin(half))
    if middle[1] >= thickness:
        raise _too_deep(middle[1], thickness)
    strip = (
        Segment(middle, (face, side * shape.radius), counterclockwise=side < 0)
        if isinstance(shape, Round)
        else Segment(middle)
    )
    return Chain((face, 0.0), (strip, Segment((inner, thickness))))


def _too_deep(depth: float, thickness: float) -> SectionError:
    # Everything about a shape grows with its size.
    what = "it is {} deep, and the board is {} thick"
    return SectionError(what, thickness / depth, depth, thickness)


def _under(down: float, other: float, angle: float) -> float:
    return _clean(other / math.sin(angle) + down / math.tan(angle), other)


def _cut(start: float, end: float, thickness: float) -> Chain:
    begin: Point = (start, 0.0)
    return Chain(begin, (Segment((end, thickness)),))


def _clean(length: float, exact: float = 0.0) -> float:
    """`length`, or what it would be at a square corner where it is that but for rounding."""
    return exact if abs(length - exact) < SQUARE_TOL else length
