"""What is known of a cabinet before it is built: plain data, mm and radians.

Stands first in cabinet. A definition file is settled into these, and Python code may write them
itself; whether their parts suit each other shows when the cabinet is built. `place` is what faults
call an entry: where it stands in its file.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from mateline.cabinet.hardware import Form
    from mateline.cabinet.joints import Bevel, Round
    from mateline.cabinet.panel import Finish
    from mateline.curves import Point
    from mateline.tape.outline import Corners
    from mateline.tape.readings import Readings

View = Literal["side", "plan", "front"]


@dataclass(frozen=True, slots=True)
class Distance:
    """A length that was taken with a tape, mm, and one standard deviation of it."""

    length: float
    deviation: float = 0.0


@dataclass(frozen=True, slots=True)
class Board:
    """One board of a carcase: its thickness and the edge of the outline that it stands on.

    `edge` names the two corners; None for an end of the carcase. A `missing` board is not there;
    `shared` names the face of another carcase that stands in its place. Its outside lies
    `set_back` behind the outline, and it stops `short` of its neighbours by distances from the
    sharp edges.
    """

    name: str
    thickness: float
    edge: tuple[str, str] | None = None
    missing: bool = False
    set_back: float = 0.0
    short: tuple[tuple[str, float], ...] = ()
    shared: str | None = None


@dataclass(frozen=True, slots=True)
class Joint:
    """How two boards meet: `first` lies over `second`, or both are mitred."""

    first: str
    kind: Literal["over", "mitre"]
    second: str
    place: str = ""


@dataclass(frozen=True, slots=True)
class ShapedEdge:
    """The bevel or round of the edge where two boards meet."""

    boards: tuple[str, str]
    shape: Bevel | Round
    place: str = ""


@dataclass(frozen=True, slots=True)
class EndFinish:
    """How the end of a board that is seen where two `boards` meet is painted."""

    boards: tuple[str, str]
    finish: Finish
    place: str = ""


@dataclass(frozen=True, slots=True)
class CutEdge:
    """A groove in the end of a board, or a rabbet along its inside, where two `boards` meet.

    The board is the one whose end is seen there. A groove is `width` wide and `depth` deep, its
    middle `offset` below the outside (None: in the middle of the board). A rabbet takes `width`
    of the inside and `depth` of the thickness; the other board goes on into it.
    """

    boards: tuple[str, str]
    kind: Literal["groove", "rabbet"]
    width: float
    depth: float
    offset: float | None = None
    place: str = ""


@dataclass(frozen=True, slots=True)
class EdgeHole:
    """A round hole of `diameter` into the end of a board, `depth` deep, where two `boards` meet.

    The board is the one whose end is seen there. The middle lies at a distance along the edge from
    the outside of a third board, and `offset` below the outside (None: in the middle of the board).
    """

    boards: tuple[str, str]
    name: str
    diameter: float
    depth: float
    start: tuple[str, float]
    offset: float | None = None
    place: str = ""


@dataclass(frozen=True, slots=True)
class Moulding:
    """A strip of wood along the edge where two `boards` meet, which is not painted with them.

    `covers` has how far it reaches over a board's outside, from the sharp edge.
    """

    boards: tuple[str, str]
    covers: tuple[tuple[str, float], ...]
    place: str = ""


@dataclass(frozen=True, slots=True)
class Position:
    """Where a carcase's first corner is, cabinet frame; `turn` is about it, in its view."""

    x: float = 0.0
    y: float = 0.0
    z: float = 0.0
    turn: float = 0.0


@dataclass(frozen=True, slots=True)
class Standing:
    """One carcase on another: its first edge lies along that edge, `offset` from its first corner.

    Both are drawn in side view. It is centred across the cabinet and moved by `across`.
    """

    carcase: str
    edge: tuple[str, str]
    offset: float = 0.0
    across: float = 0.0


@dataclass(frozen=True, slots=True)
class Carcase:
    """A closed wooden box: an outline in one view carried over a `width`.

    `corners` run counter-clockwise: side views are seen from the player's right (Y and Z), plans
    from above (X and Y), front views from the player (X and Z). `outlines` is one, or the left
    and the right one of a side view whose sides were measured apart. `boards` has one for each
    edge, and may have the ends; an end that it lacks is `thickness` thick. Among boards that no
    joint names, ends lie over all others, and earlier ones over later ones. Ends of boards that
    are seen are painted as `finishes` say, else as `ends` does, else with the base coat.
    """

    name: str
    view: View
    width: float
    thickness: float
    outlines: tuple[Readings | Corners] | tuple[Readings | Corners, Readings | Corners]
    boards: tuple[Board, ...]
    joints: tuple[Joint, ...] = ()
    edges: tuple[ShapedEdge, ...] = ()
    where: Position | Standing = Position()
    ends: Finish | None = None
    finishes: tuple[EndFinish, ...] = ()
    mouldings: tuple[Moulding, ...] = ()
    cuts: tuple[CutEdge, ...] = ()
    edge_holes: tuple[EdgeHole, ...] = ()
    place: str = ""

    @property
    def corners(self) -> tuple[str, ...]:
        """The names of the outline's corners, counter-clockwise."""
        return self.outlines[0].corners

    @property
    def called(self) -> str:
        """What faults call it: its place in the file, or its name."""
        return self.place or f"carcase ({self.name})"


@dataclass(frozen=True, slots=True)
class Along:
    """A place, or some, along an edge of a face, which is named by the board beyond it.

    The first lies `first` along the edge from a `corner`, which is named by itself or by the board
    beyond the other edge there, and `inside` of the edge. With two of `count`, `pitch` and `rest`
    there are more: `rest` is what the last one leaves to the other corner, with a pitch at least.
    """

    edge: str
    corner: str
    first: Distance
    inside: Distance
    count: int | None = None
    pitch: float | None = None
    rest: float | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """Some equal holes of a group: their places and turn in the group's own directions."""

    name: str
    form: Form
    spots: tuple[Point, ...] = ((0.0, 0.0),)
    turn: float = 0.0
    stays: bool = False
    margin: float = 1.0


@dataclass(frozen=True, slots=True)
class Hardware:
    """One piece of hardware, or equal ones, on a face.

    The first one's centre lies at two distances, from two edges of the face (named by the boards
    beyond them) or, with `corners`, from two corners of it; or all lie `along` an edge. `spots`
    are the places of all of them from the first, in the face's directions, or with x along the
    edge and y inward. `turn` is from the same x. What `stays` is painted round, `margin` away from
    it. `both_sides` puts it on the opposite side too, mirrored about the cabinet's middle plane.
    It may reach over joints into the faces that it `straddles`.

    Of a group there is no form: it has `parts`, which are turned together by `turn` once they are
    mirrored, if they are `mirrored`.
    """

    name: str
    form: Form | None
    on: str
    distances: tuple[tuple[str, Distance], tuple[str, Distance]] | None = None
    corners: bool = False
    spots: tuple[Point, ...] = ((0.0, 0.0),)
    turn: float = 0.0
    stays: bool = False
    margin: float = 1.0
    both_sides: bool = False
    place: str = ""
    along: Along | None = None
    parts: tuple[Part, ...] = ()
    mirrored: bool = False
    straddles: tuple[str, ...] = ()

    @property
    def called(self) -> str:
        """What faults call it: its place in the file, or its name."""
        return self.place or f"hardware ({self.name})"
