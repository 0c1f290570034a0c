"""What is known of the art before it is placed: plain data, mm and radians.

Stands first in placing. A definition file is settled into these, and Python code may write them
itself. `place` is what faults call an entry: where it stands in its file.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Spot = Literal[
    "lower-left",
    "lower-middle",
    "lower-right",
    "middle-left",
    "centre",
    "middle-right",
    "upper-left",
    "upper-middle",
    "upper-right",
]
Fit = Literal["none", "width", "height", "cover", "face", "corners"]
Side = Literal["front", "left", "right", "back", "top"]


@dataclass(frozen=True, slots=True)
class Anchored:
    """A drawing put down by one point: its `anchor` comes to the point `to` of the face's box.

    It is moved by `offset`, mm, turned about its anchor by `turn`, and made `scale` times what
    `fit` makes of it; "face" makes it as wide and as high as the face, each way by its own.
    "corners" bends it so that the corners of its outline come to those of the face, and nothing
    else counts.
    """

    anchor: Spot = "lower-left"
    to: Spot = "lower-left"
    offset: tuple[float, float] = (0.0, 0.0)
    turn: float = 0.0
    scale: float = 1.0
    fit: Fit = "none"


@dataclass(frozen=True, slots=True)
class Landmarks:
    """Elements of a drawing matched to points of the face, mm: (element, (x, y)) each.

    `deviations` are those of the points, in x and in y, mm; () where they are exact. `ignored`
    elements stay where they are written, but place nothing. Where it is a `warp`, the
    drawing is bent smoothly to meet all others.
    """

    points: tuple[tuple[str, tuple[float, float]], ...]
    deviations: tuple[float, ...] = ()
    ignored: tuple[str, ...] = ()
    warp: bool = False


@dataclass(frozen=True, slots=True)
class OnFaces:
    """The same drawing on each of these faces."""

    faces: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wrapped:
    """A drawing that goes on over neighbouring faces, as one walks round the cabinet.

    Each is (face, the earlier face that it unfolds from, or None for the first that it meets).
    """

    faces: tuple[tuple[str, str | None], ...]


@dataclass(frozen=True, slots=True)
class Cast:
    """A drawing carried from one `side` onto every face, or those of `onto`."""

    side: Side
    onto: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Mirrored:
    """What is on one face already, on its opposite faces `onto`."""

    face: str
    onto: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Art:
    """One drawing on the cabinet, by its name; "" for what is mirrored.

    `only` and `leave_out` name elements of the drawing; those of `reads_one_way` are lettering.
    Its shapes may run off their face by `bleed`, mm; math.inf for however far.
    """

    drawing: str
    where: OnFaces | Wrapped | Cast | Mirrored
    put: Anchored | Landmarks = field(default_factory=Anchored)
    only: tuple[str, ...] = ()
    leave_out: tuple[str, ...] = ()
    reads_one_way: tuple[str, ...] = ()
    place: str = ""
    bleed: float = 0.0
