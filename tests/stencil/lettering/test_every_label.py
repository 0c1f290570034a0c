r"""Lettering of every piece of every cabinet: where its strokes lie, and what they stand for.

Strokes are taken from the layers as they are written, so that nothing here knows how labels are
placed. Each is at least `CLEAR` from whatever takes room from it: its piece's own border, punched
holes, folds, the tape over joins, registration marks and what a sheet has drawn on it.
"""

from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import LineString, Polygon

from mateline.curves import Chain, Segment, flattened
from mateline.exports.cut.layers import layers_of, open_holes, punched
from mateline.exports.cut.sheets import drawn_besides
from mateline.stencil.lettering.label_placement import label_for
from mateline.stencil.turned_over import turned_over
from mateline.survey import surveyed

CABINETS = Path(__file__).parents[3] / "cabinets"
NAMES = ("corner-box", "harbour-lights", "harbour-lights-first-try", "quilt")
CLEAR = 0.9  # mm: of the 1 mm that lettering keeps, less what a round stroke's facets may be off


def faceted(border):
    """The border as straight chains: labels don't ask how it is drawn."""
    start, *rest = [tuple(point) for point in border.points.tolist()]
    return Chain(start, tuple(Segment(to) for to in rest))


@cache
def written(name):
    """Stencil and layers of each face of a cabinet."""
    job = surveyed(CABINETS / name)
    faces = {each.face.name: each for each in job.stencils}
    turns = {
        pair.left: turned_over(faces[pair.left], faces[pair.right], pair.matrix)
        for pair in job.pairs
        if pair.shared
    }
    found = []
    # Both sides of the quilt are alike and take long; the left one is the set that is turned over.
    for stencil in (each for each in job.stencils if each.face.name != "chest-right"):
        drawn = replace(stencil, chains=tuple(map(faceted, stencil.pattern.borders)))
        turn = turns.get(stencil.face.name)
        layers = layers_of(drawn, job.tape, turn, drawn_besides(stencil.grid))
        found.append((stencil, layers, turn))
    return found


def lines(chains):
    return [LineString(flattened(chain)) for chain in chains]


@pytest.mark.parametrize("name", NAMES)
def test_every_stroke_lies_in_one_piece_clear_of_all_that_takes_room(name):
    for stencil, layers, _ in written(name):
        pieces = shapely.STRtree([piece.area.buffer(-CLEAR) for piece in stencil.pieces])
        holes = [
            Polygon(flattened(punched(tack))) for piece in stencil.pieces for tack in piece.tacks
        ]
        joins = [
            LineString([join.start, join.end]).buffer(join.half - CLEAR, cap_style="flat")
            for join in stencil.grid.joins
        ]
        folds = [strip.score for strip in stencil.face.strips]
        drawn = lines(drawn_besides(stencil.grid))
        marks = lines(layers["register"])
        for layer in ("label", "label-back"):
            ink = np.array(lines(layers[layer]), dtype=object)
            if not len(ink):
                continue
            at, _ = pieces.query(ink, predicate="covered_by")
            assert sorted(at.tolist()) == list(range(len(ink))), stencil.face.name
            besides = [*holes, *joins, *folds, *drawn, *(marks if layer == "label" else ())]
            if besides:
                near = shapely.STRtree(besides).query(ink, predicate="dwithin", distance=CLEAR)
                assert near.shape[1] == 0, (stencil.face.name, layer)


@pytest.mark.parametrize("name", NAMES)
def test_registration_marks_keep_off_tacks_folds_and_the_tape_over_joins(name):
    for stencil, layers, _ in written(name):
        ink = lines(layers["register"])
        taken = [
            *(Polygon(flattened(punched(tack))) for p in stencil.pieces for tack in p.tacks),
            *(strip.score for strip in stencil.face.strips),
            *(
                LineString([join.start, join.end]).buffer(join.half, cap_style="flat")
                for join in stencil.grid.joins
            ),
        ]
        if ink and taken:
            near = shapely.STRtree(taken).query(ink, predicate="dwithin", distance=CLEAR)
            assert near.shape[1] == 0, stencil.face.name


@pytest.mark.parametrize(
    ("name", "share"), [("corner-box", 1.0), ("harbour-lights", 0.95), ("quilt", 0.99)]
)
def test_nearly_every_piece_is_labelled(name, share):
    """One that is not is too small for a number 2 mm high, and is told by its face's picture."""
    labelled = total = 0
    for stencil, layers, _ in written(name):
        tree = shapely.STRtree(lines(layers["label"]))
        for piece in stencil.pieces:
            total += 1
            labelled += len(tree.query(piece.area, predicate="contains")) > 0
    assert labelled / total >= share


def test_a_large_piece_says_all_that_a_label_can():
    said = Counter()
    for stencil, _, _ in written("harbour-lights"):
        for piece in stencil.pieces:
            if piece.area.buffer(-40).area > 0:
                label = label_for(piece, open_holes(stencil))
                words = " ".join(label.lines)
                said["id"] += f"{piece.letter}{piece.number}" in words
                said["face too"] += piece.id in words
                said["colour"] += piece.colour in words
                said["side"] += "this side out" in words
                said["arrow"] += label.arrow
                said["all"] += 1
    assert said["all"] > 20
    assert said.pop("face too") > 0.85 * said["all"]
    assert set(said.values()) == {said["all"]}


def test_backs_are_written_where_a_set_is_turned_over_and_nowhere_else():
    turned = {s.face.name for s, layers, turn in written("harbour-lights") if layers["label-back"]}
    assert turned == {s.face.name for s, _, turn in written("harbour-lights") if turn is not None}
    assert turned == {"body-left", "head-left"}
