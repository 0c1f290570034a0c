"""What goes on each layer of a stencil file, as chains.

Stands after stroke. SVG and DXF write these same chains, so that they cannot differ.

    tack        holes to punch
    label       what is written on the pieces, in single strokes
    label-back  the same on the back, where the set is turned over: mirrored
    register    marks to the cabinet's edges
    score       fold lines over bevels and rounds, cut short at cut-outs
    cut         every border of the pattern, once, in cutting order and direction: the trim last
    hole        openings under the board, where nothing holds it: not to be cut
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely
from shapely import LineString, Polygon

from mateline.cabinet.hole import kept_area, on_face, open_area, opening
from mateline.curves import Chain, Segment, circle, flattened
from mateline.stencil.cutting.cut_path import cut_path, ordered
from mateline.stencil.lettering.edge_marks import mark_areas, mark_strokes, marks_of
from mateline.stencil.lettering.label_placement import boxed, label_strokes, labels_for
from mateline.stencil.turned_over import back_labels

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mateline.stencil.board import Tack
    from mateline.stencil.cutting.cut_path import CutPath
    from mateline.stencil.lettering.edge_marks import Mark
    from mateline.stencil.stencil import Stencil
    from mateline.stencil.turned_over import TurnedOver
    from mateline.tape.accuracy import Tape

BACK = "label-back"
Layers = dict[str, tuple[Chain, ...]]
LAYERS = ("tack", "label", BACK, "register", "score", "cut", "hole")  # in the order of the work
FOLD = 0.01  # mm: half the width that a fold or a join takes from the room for lettering


def layers_of(
    stencil: Stencil,
    tape: Tape | None = None,
    turned: TurnedOver | None = None,
    besides: Sequence[Chain] = (),
    path: CutPath | None = None,
    marks: Sequence[Mark] | None = None,
) -> Layers:
    """The chains of every layer of `LAYERS`, in the face frame, mm.

    Distances are lettered as on `tape`, or in mm; `turned` says how the set is turned over, if
    it is, and its back is left blank otherwise. Labels keep clear of what is drawn `besides` and
    of the tape over joins. `path` is the stencil's cut path, and `marks` are those to the cabinet's
    edges, where they are known already.
    Raises ValueError for a stencil whose borders haven't been refitted yet.
    """
    if len(stencil.chains) != len(stencil.pattern.borders):
        raise ValueError(f"{stencil.face.name}: each border needs its chain before it is written")
    marks = marks_of(stencil, tape) if marks is None else marks
    lines = [strip.score for strip in stencil.face.strips]
    lines += [LineString(flattened(chain)) for chain in besides]
    folds = tuple(line.buffer(FOLD) for line in lines)
    taped = tuple(join.band for join in stencil.grid.joins)
    front, back = _labels(stencil, mark_areas(marks), (*folds, *taped), turned)
    return {
        "tack": punches(stencil),
        "label": front,
        BACK: back,
        "register": tuple(chain for mark in marks for chain in mark_strokes(mark)),
        "score": scores(stencil),
        "cut": ordered(path or cut_path(stencil.pattern), stencil.chains),
        "hole": tuple(
            part
            for hole in stencil.face.holes
            if not hole.stays
            for part in on_face(opening(hole), stencil.face.outline)
        ),
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
    if not stencil.has_board:
        return ()
    holes = [hole for hole in stencil.face.holes if hole.stays]
    gone = shapely.union_all([kept_area(hole) for hole in holes])
    chains = []
    for strip in stencil.face.strips:
        for part in shapely.get_parts(strip.score.difference(gone)):
            start, *rest = [(x, y) for x, y, *_ in part.coords]
            chains.append(Chain(start, tuple(Segment(to) for to in rest)))
    return tuple(chains)


def open_holes(stencil: Stencil) -> tuple[Polygon, ...]:
    """The openings that are left under the board, as areas."""
    holes = [hole for hole in stencil.face.holes if not hole.stays]
    return tuple(open_area(hole) for hole in holes)


def _labels(
    stencil: Stencil,
    marks: tuple[Polygon, ...],
    folds: tuple[Polygon, ...],
    turned: TurnedOver | None,
) -> tuple[tuple[Chain, ...], tuple[Chain, ...]]:
    """Strokes for the front of the pieces and for their back."""
    holes = open_holes(stencil)
    pieces = stencil.pieces
    over = [turned is not None and piece.id in turned.twins for piece in pieces]
    labels = labels_for(pieces, (*marks, *folds, *holes), over)
    bare = [at for at, label in enumerate(labels) if label is None]
    bare = [at for at in bare if any(hole.intersects(pieces[at].area) for hole in holes)]
    # A label over a hole is still better than none.
    again = labels_for([pieces[at] for at in bare], (*marks, *folds), [over[at] for at in bare])
    for at, label in zip(bare, again, strict=True):
        labels[at] = label
    front = [chain for label in labels if label is not None for chain in label_strokes(label)]
    back = () if turned is None else back_labels(pieces, turned, (*folds, *holes), labels)
    return tuple(front), tuple(back)
