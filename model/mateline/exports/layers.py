"""What goes on each layer of a stencil file, as chains.

Stands after stroke. SVG and DXF write these same chains, so that they cannot differ.

    tack   holes to punch
    label  the pieces' ids in single strokes
    score  fold lines over bevels and rounds, cut short at cut-outs
    cut    every border of the pattern, once, in cutting order and direction: the trim last
    hole   openings under the board, where nothing holds it: not to be cut
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely
from shapely import Polygon

from mateline.cabinet.hole import keep_clear, opening
from mateline.curves import Chain, Segment, circle, flattened
from mateline.stencil.cutpath import cut_path, ordered
from mateline.stencil.labels import boxed, label_for, label_strokes

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mateline.stencil.board import Tack
    from mateline.stencil.pieces import Stencil

Layers = dict[str, tuple[Chain, ...]]
LAYERS = ("tack", "label", "score", "cut", "hole")  # in the order of the work


def layers_of(stencil: Stencil) -> Layers:
    """The chains of every layer of `LAYERS`, in the face frame, mm.

    Raises ValueError for a stencil whose borders haven't been refitted yet.
    """
    if len(stencil.chains) != len(stencil.pattern.borders):
        raise ValueError(f"{stencil.face.name}: each border needs its chain before it is written")
    return {
        "tack": punches(stencil),
        "label": tuple(_labels(stencil)),
        "score": scores(stencil),
        "cut": ordered(cut_path(stencil.pattern), stencil.chains),
        "hole": tuple(opening(hole) for hole in stencil.face.holes if not hole.stays),
    }


def punched(tack: Tack) -> Chain:
    """Closed chain, counter-clockwise: the hole that is punched for `tack`."""
    if tack.punch.round:
        return circle(tack.centre, tack.punch.length / 2)
    box = boxed(tack.centre, tack.punch.length, tack.punch.width, tack.turn)
    return Chain(box[0], tuple(Segment(to) for to in (*box[1:], box[0])))


def punches(stencil: Stencil) -> tuple[Chain, ...]:
    """The holes to punch for all tacks, piece by piece."""
    return tuple(punched(tack) for piece in stencil.pieces for tack in piece.tacks)


def scores(stencil: Stencil) -> tuple[Chain, ...]:
    """The fold lines of the face's strips, without what hardware that stays takes away."""
    holes = [hole for hole in stencil.face.holes if hole.stays]
    gone = shapely.union_all([Polygon(flattened(keep_clear(hole))) for hole in holes])
    chains = []
    for strip in stencil.face.strips:
        for part in shapely.get_parts(strip.score.difference(gone)):
            start, *rest = [(x, y) for x, y, *_ in part.coords]
            chains.append(Chain(start, tuple(Segment(to) for to in rest)))
    return tuple(chains)


def open_holes(stencil: Stencil) -> tuple[Polygon, ...]:
    """The openings that are left under the board, as areas."""
    holes = [hole for hole in stencil.face.holes if not hole.stays]
    return tuple(Polygon(flattened(opening(hole))) for hole in holes)


def _labels(stencil: Stencil) -> Iterator[Chain]:
    holes = open_holes(stencil)
    for piece in stencil.pieces:
        # A label over a hole is still better than none.
        label = label_for(piece, holes) or label_for(piece)
        if label is not None:
            yield from label_strokes(label)
