r"""Plain G-code for a drag knife, only where the definition has one: a face, a sheet or a load.

Stands after layers. RS-274/NGC, NISTIR 6556 (2000): G17, G21, G90, G0 to G3 and M2, no cycles and
no tool table, arcs by I and J from where the move begins.

A drag knife's tip trails behind its pivot by `offset`, and the machine moves the pivot:

    along a line    the pivot is ahead of the tip by the offset
    along an arc    the pivot runs on a circle about the same centre, radius sqrt(r² + offset²)
    at a corner     the tip stays, and the pivot swivels about it from one heading to the next

Where the turn is sharp, the swivel is made at `swivel_depth`, with the tip hardly in the board.
While the knife is up it keeps its heading; the first stroke expects it to point along +X. Tacks
and borders are cut, in cutting order; folds and lettering are not for a knife that goes through.

Where the trim lies on the edge of the drawing, the pivot swivels beyond it, by no more than the
offset. So X0 Y0 is a little farther left of and below the drawing's corner, and no motion is
negative: a machine with soft limits refuses a program that has one.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mateline.curves import Chain, sweep
from mateline.exports.cut.layers import layers_of
from mateline.stencil.cutting.cut_path import cut_path, stroke_chains

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mateline.curves import Point, Segment
    from mateline.exports.cut.layers import Layers
    from mateline.stencil.board import Knife
    from mateline.stencil.cutting.cut_path import CutPath
    from mateline.stencil.stencil import Stencil

SMOOTH = 1e-3  # radians: a smaller turn between two segments is no corner: a line is its swivel
SHARP = math.radians(20)  # a larger turn is swivelled at the swivel depth; common practice


def stencil_gcode(
    stencil: Stencil, knife: Knife, layers: Layers | None = None, path: CutPath | None = None
) -> str:
    """The program: X and Y are the face frame in mm, moved right and up by the knife's rim; Z is 0
    on top of the board.

    `layers` and `path` are the stencil's own, where they are known already.
    """
    path = path or cut_path(stencil.pattern)
    tacks = (layers or layers_of(stencil, path=path))["tack"]
    writer = _Writer(knife, knife.rim)
    writer.begin(stencil.face.name, "the face")
    for chain in (*tacks, *stroke_chains(path, stencil.chains)):
        writer.stroke(chain)
    return writer.ended()


def layers_gcode(title: str, layers: Layers, knife: Knife, *, in_place: bool = False) -> str:
    """The program for one sheet or one load, in the frame of its `layers`.

    `in_place`: they lie off the edges of the bed already; else they are moved right and up by the
    knife's rim. Marks are scratched at the swivel depth; tacks, borders and joins are cut
    through.
    """
    writer = _Writer(knife, 0.0 if in_place else knife.rim)
    writer.begin(title, "the drawing of this name")
    for chain in layers.get("align", ())[::2]:  # each cross is a level line and an upright one
        (ax, ay), (bx, by) = chain.points
        middle = writer.at(((ax + bx) / 2, (ay + by) / 2))
        writer.lines.append(f"(lay the board so that a drawn cross is at {middle})")
    for chain in layers.get("mark", ()):
        writer.stroke(chain, knife.swivel_depth)
    for chain in (*layers["tack"], *_unbroken(layers["cut"]), *layers.get("join", ())):
        writer.stroke(chain)
    return writer.ended()


def _unbroken(chains: Sequence[Chain]) -> Iterator[Chain]:
    """Chains that begin where the one before ends, as one: the knife stays down."""
    run: list[Chain] = []
    for chain in chains:
        if run and run[-1].points[-1] != chain.start:
            yield _one(run)
            run = []
        run.append(chain)
    if run:
        yield _one(run)


def _one(run: Sequence[Chain]) -> Chain:
    return Chain(run[0].start, tuple(part for chain in run for part in chain.segments))


class _Writer:
    """Lines of the program; `heading` is where the knife points, radians.

    All is moved right and up by `off`, mm.
    """

    def __init__(self, knife: Knife, off: float = 0.0) -> None:
        self.knife, self.off = knife, off
        self.lines: list[str] = []
        self.heading = 0.0

    def begin(self, title: str, drawn: str) -> None:
        """What the program is, and the machine's state; `drawn` is what has X0 Y0 at its corner."""
        knife = self.knife
        off = f"{self.off:g} mm left of and below " if self.off else ""
        self.lines += [
            f"({_comment(title)}: drag knife, offset {knife.offset:g} mm)",
            f"(Z0 is the top of the board, X0 Y0 is {off}the lower left corner of {drawn})",
            "(turn the knife to point along +X before you start)",
            "G17 G21 G90",
            f"G0 Z{knife.clearance:g}",
        ]

    def ended(self) -> str:
        """The whole program."""
        return "\n".join([*self.lines, "G0 X0 Y0", "M2", ""])

    def stroke(self, chain: Chain, depth_cut: float | None = None) -> None:
        """Lower the knife at the chain's start, cut along it, and lift it.

        It goes through the board, or `depth_cut` deep.
        """
        knife = self.knife
        full = knife.depth if depth_cut is None else depth_cut
        self.lines.append(f"G0 {self.at(self._pivot(chain.start))}")
        self._plunge(knife.swivel_depth)
        depth = knife.swivel_depth
        at = chain.start
        for segment in chain.segments:
            first, last = _headings(at, segment)
            turn = math.remainder(first - self.heading, math.tau)
            wanted = knife.swivel_depth if abs(turn) > SHARP else full
            if wanted != depth and abs(turn) > SMOOTH:
                self._plunge(wanted)
                depth = wanted
            self._swivel(at, first, turn)
            if depth != full:
                self._plunge(full)
                depth = full
            self.heading = last
            self._cut(at, segment)
            at = segment.to
        self.lines.append(f"G0 Z{knife.clearance:g}")

    def at(self, point: Point) -> str:
        """The words for a place."""
        return f"X{_number(point[0] + self.off)} Y{_number(point[1] + self.off)}"

    def _pivot(self, tip: Point) -> Point:
        ahead = self.knife.offset
        return tip[0] + ahead * math.cos(self.heading), tip[1] + ahead * math.sin(self.heading)

    def _plunge(self, depth: float) -> None:
        self.lines.append(f"G1 Z{_number(-depth)} F{self.knife.plunge_feed:g}")

    def _swivel(self, tip: Point, heading: float, turn: float) -> None:
        """The pivot round the tip, in two arcs: one that turns back by half is ill-defined.

        A turn that is no corner is a line: in four decimals its arcs would be full circles. It
        can't be left out: the next arc would begin a little off its circle.
        """
        if abs(turn) <= SMOOTH:
            here = self.at(self._pivot(tip))
            self.heading = heading
            there = self.at(self._pivot(tip))
            if there != here:
                self.lines.append(f"G1 {there} F{self.knife.swivel_feed:g}")
            return
        for part in (heading - turn / 2, heading):
            before = self._pivot(tip)
            self.heading = part
            self._arc(before, self._pivot(tip), tip, turn > 0, self.knife.swivel_feed)

    def _cut(self, at: Point, segment: Segment) -> None:
        """To the segment's end; `heading` is already the one at its end."""
        after = self._pivot(segment.to)
        if segment.centre is None:
            self.lines.append(f"G1 {self.at(after)} F{self.knife.feed:g}")
            return
        first, last = _headings(at, segment)
        turn = sweep(at, segment)
        count = max(1, math.ceil(abs(turn) / math.pi - 1e-9))
        self.heading = first
        before = self._pivot(at)
        for step in range(1, count + 1):
            share = turn * step / count
            self.heading = last if step == count else first + share
            tip = segment.to if step == count else _turned(at, segment.centre, share)
            after = self._pivot(tip)
            self._arc(before, after, segment.centre, turn > 0, self.knife.feed)
            before = after

    def _arc(self, before: Point, after: Point, centre: Point, left: bool, feed: float) -> None:  # noqa: FBT001
        i, j = centre[0] - before[0], centre[1] - before[1]
        word = "G3" if left else "G2"
        self.lines.append(f"{word} {self.at(after)} I{_number(i)} J{_number(j)} F{feed:g}")


def _headings(at: Point, segment: Segment) -> tuple[float, float]:
    """Directions of travel at both ends of a segment, radians."""
    if segment.centre is None:
        way = math.atan2(segment.to[1] - at[1], segment.to[0] - at[0])
        return way, way
    side = math.copysign(math.pi / 2, sweep(at, segment))
    cx, cy = segment.centre
    first = math.atan2(at[1] - cy, at[0] - cx) + side
    return first, math.atan2(segment.to[1] - cy, segment.to[0] - cx) + side


def _turned(point: Point, centre: Point, turn: float) -> Point:
    x, y = point[0] - centre[0], point[1] - centre[1]
    cos, sin = math.cos(turn), math.sin(turn)
    return centre[0] + x * cos - y * sin, centre[1] + x * sin + y * cos


def _number(value: float) -> str:
    # An arc's ends may differ by 0.002 mm in radius (3.5.3.1): four decimals keep well below.
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _comment(words: str) -> str:
    """Words that can stand in a comment: no brackets, and only the standard's signs (3.3.4)."""
    return "".join(sign if sign.isascii() and sign not in "()" else "_" for sign in words)
