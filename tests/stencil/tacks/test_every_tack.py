r"""Every tack of every cabinet, and of random patterns, against its rules, from their definition.

Nothing here comes from the modules that place tacks or measure reach. The tape of a tack is its
punched hole, turned and moved by shapely's affinity, and the margin all round it; a round one is
a disc. How far a point of a piece is from its nearest tack is bounded by squares:

    +---+---+    the distance to the nearest tack changes by no more than the way between two
    | . | . |    points, so in a square it is at most the one at the middle and half a diagonal.
    +---+-+-+    Squares that this leaves open are quartered until they are `FINE`; what is found
    | . +-+-+    too far at a middle in the piece is too far, whatever the rest.
    +---+-+-+
"""

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon, affinity, box

from mateline.cabinet.faces import unrolled
from mateline.cabinet.hole import Hole, keep_clear, opening
from mateline.checks.findings import with_consequences
from mateline.checks.pieces import check
from mateline.curves import flattened
from mateline.drawing.shapes import Shape
from mateline.stencil.board import Board, Punch
from mateline.stencil.pieces import Colours
from mateline.stencil.stencil import stencil_of
from mateline.survey import surveyed
from specimens import subject
from stencils import FRONT, board

CABINETS = Path(__file__).parents[3] / "cabinets"
NAMES = ("corner-box", "harbour-lights", "harbour-lights-first-try", "quilt")
SEEDS = range(30)
FINE = 0.05  # mm: side of the smallest squares
ROUNDING = 1e-5  # mm
SMALL = Board(
    sheet=(420.0, 340.0),
    thickness=0.4,
    least_width=6.0,
    least_area=150.0,
    sharpest=math.radians(12),
    punches=(Punch(30, 12), Punch(16, 8), Punch(6, 6, round=True), Punch(4, 4, round=True)),
    reach=90.0,
    tape_margin=2.0,
    kerf=0.2,
    join_tape=20.0,
)
COLOURS = Colours(
    {"cream": "#f4ead2", "red": "#c8402f", "blue": "#1f5f8b"},
    {"cream": "C", "red": "R", "blue": "B"},
    "cream",
)


def tape(tack, margin):
    """The tape of one tack, a polygon in its outline: facets are cut off a disc's."""
    x, y = tack.centre
    long, wide = tack.punch.length + 2 * margin, tack.punch.width + 2 * margin
    if tack.punch.round:
        return Point(x, y).buffer(long / 2, quad_segs=64)
    bar = box(x - long / 2, y - wide / 2, x + long / 2, y + wide / 2)
    return affinity.rotate(bar, tack.turn, origin=(x, y), use_radians=True)


def beyond_reach(area, tacks, reach):
    """A point of `area` farther than `reach` from all tacks; None where there is none."""
    centres = np.array([tack.centre for tack in tacks])

    def far(points):
        return np.sqrt(((points[:, None] - centres) ** 2).sum(axis=2)).min(axis=1)

    left, low, right, high = area.bounds
    if far(shapely.get_coordinates(area)).max() > reach + ROUNDING:
        return "corner"
    if len(tacks) == 1:
        return None  # a disc is convex: corners within reach hold all
    side = max(right - left, high - low)
    middles = np.array([[(left + right) / 2, (low + high) / 2]])
    shapely.prepare(area)
    while len(middles):
        away = far(middles)
        inside = shapely.intersects_xy(area, middles[:, 0], middles[:, 1])
        if (inside & (away > reach + ROUNDING)).any():
            return tuple(middles[inside & (away > reach + ROUNDING)][0])
        middles = middles[away + side * math.sqrt(0.5) > reach + ROUNDING]
        if side < FINE:
            return None  # nothing is farther than FINE beyond the reach
        side /= 2
        steps = np.array([(-1, -1), (-1, 1), (1, -1), (1, 1)]) * side / 2
        middles = (middles[:, None] + steps).reshape(-1, 2)
        boxes = shapely.box(*(middles - side / 2).T, *(middles + side / 2).T)
        middles = middles[shapely.intersects(area, boxes)]
    return None


def forbidden(stencil, width):
    """What no tape may lie on, whatever the piece: open holes, folds, joins by their piece."""
    holes = [hole for hole in stencil.face.holes if not hole.stays]
    open_ = [Polygon(flattened(opening(hole))) for hole in holes]
    folds = [strip.score for strip in stencil.face.strips]
    joins = {}
    for join in stencil.grid.joins:
        line = LineString([join.start, join.end])
        joins.setdefault(join.piece, []).append(line.buffer(width / 2, cap_style="flat"))
    return [*open_, *folds], joins


def broken_rules(stencil, board, beyond=()):
    """Each rule that a tack of `stencil` breaks, in words."""
    under, joins = forbidden(stencil, board.join_tape)
    tree = shapely.STRtree([*under, *beyond])
    for piece in stencil.pieces:
        tapes = [tape(tack, board.tape_margin) for tack in piece.tacks]
        inset = piece.area.buffer(ROUNDING)
        for each in tapes:
            if not inset.contains(each) or each.area > piece.area.area:
                yield f"{piece.id}: tape over the border"
            if len(tree.query(each.buffer(-ROUNDING), predicate="intersects")):
                yield f"{piece.id}: tape on a hole or a fold"
            if any((each & band).area > ROUNDING for band in joins.get(piece.id, ())):
                yield f"{piece.id}: tape under the tape of a join"
            if any(LineString(neck.ends).intersects(each) for neck in piece.necks):
                yield f"{piece.id}: tape across a neck"


def unheld(stencil, board, told, beyond=()):
    """Pieces that are not held everywhere, and about which there is no finding."""
    for piece in stencil.pieces:
        if not piece.tacks:
            if (piece.id, "piece-without-tack") not in told:
                yield f"{piece.id}: no tack and no finding"
            if not piece.necks and room_for_smallest(piece, stencil, board, beyond):
                yield f"{piece.id}: no tack where there is room for one"
        elif (piece.id, "tack-out-of-reach") not in told:
            point = beyond_reach(piece.area, piece.tacks, board.reach)
            if point is not None:
                yield f"{piece.id}: out of reach at {point}"


def room_for_smallest(piece, stencil, board, beyond):
    """Whether a disc of the smallest punch and its tape goes somewhere with 0.05 mm to spare."""
    smallest = min(board.punches, key=lambda punch: punch.width)
    assert smallest.round
    under, joins = forbidden(stencil, board.join_tape)
    gone = [each.buffer(0.55) for each in (*under, *beyond) if each.intersects(piece.area)]
    free = piece.area - shapely.union_all([*gone, *joins.get(piece.id, ())])
    return not free.buffer(-smallest.width / 2 - board.tape_margin - 0.05).is_empty


@cache
def job(name):
    return surveyed(CABINETS / name)


@pytest.mark.parametrize("name", NAMES)
def test_every_tack_of_the_cabinets_keeps_every_rule(name):
    work = job(name)
    told = {(finding.piece, finding.code) for finding in with_consequences(work.findings)}
    over = {pair.left: pair for pair in work.pairs if pair.shared}
    faces = {stencil.face.name: stencil for stencil in work.stencils}
    checked = 0
    for stencil in work.stencils:
        beyond = []
        if stencil.face.name in over:
            pair = over[stencil.face.name]
            back = np.linalg.inv(pair.matrix[:, :2])
            terms = (*back.ravel(), *(-back @ pair.matrix[:, 2]))
            under, _ = forbidden(faces[pair.right], work.board.join_tape)
            stays = [hole for hole in faces[pair.right].face.holes if hole.stays]
            under += [Polygon(flattened(keep_clear(hole))) for hole in stays]
            beyond = [affinity.affine_transform(each, terms) for each in under]
        assert list(broken_rules(stencil, work.board, beyond)) == []
        unpainted = {piece.colour for piece in stencil.pieces} == {stencil.base}
        if not unpainted:
            assert list(unheld(stencil, work.board, told, beyond)) == []
            checked += len(stencil.pieces)
    assert checked > 20


def drawn(rng, kind):
    """Shapes of one kind on a face of 800 by 600."""
    at = rng.uniform((0, 0), (800, 600), (12, 2))
    if kind == 0:
        return [Point(*p).buffer(rng.uniform(15, 120)) for p in at]
    if kind == 1:
        ends = rng.uniform((0, 0), (800, 600), (12, 2))
        return [
            LineString([p, q]).buffer(rng.uniform(3, 25), cap_style="square")
            for p, q in zip(at, ends, strict=True)
        ]
    if kind == 2:
        turns = np.arange(10) * math.tau / 10
        return [
            Polygon(p + np.column_stack([np.cos(turns), np.sin(turns)])
                    * (rng.uniform(40, 150) * np.array([1.0, 0.45] * 5))[:, None])
            for p in at
        ]  # fmt: skip
    cells = shapely.voronoi_polygons(shapely.MultiPoint(at), extend_to=box(0, 0, 800, 600))
    return list(shapely.get_parts(cells))


def random_stencil(seed):
    rng = np.random.default_rng(seed)
    shapes = [
        Shape(area & box(0, 0, 800, 600), colour, "random")
        for area, colour in zip(drawn(rng, seed % 4), ["red", "blue", "cream"] * 4, strict=True)
        if (area & box(0, 0, 800, 600)).geom_type == "Polygon"
        and (area & box(0, 0, 800, 600)).area > 1
    ]
    holes = [
        Hole(f"button {k}", "round", tuple(rng.uniform((60, 60), (740, 540)).tolist()),
             d := rng.uniform(12, 60), d, stays=False)
        for k in range(5)
    ]  # fmt: skip
    face = unrolled(board("front", FRONT, (800.0, 600.0), holes=holes))
    return stencil_of(face, shapes, COLOURS, SMALL)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_tack_of_a_random_pattern_keeps_every_rule(seed):
    stencil = random_stencil(seed)
    assert len(stencil.grid.sheets) > 1
    assert stencil.grid.joins
    told = {(each.piece, each.code) for each in check(subject(stencil, board=SMALL))}
    assert list(broken_rules(stencil, SMALL)) == []
    assert list(unheld(stencil, SMALL, told)) == []


def moved(stencil, piece, to):
    """The stencil with the first tack of `piece` moved to the point `to`, and no neck in mind."""
    tacks = (replace(piece.tacks[0], centre=to), *piece.tacks[1:])
    pieces = [replace(each, tacks=tacks) if each is piece else each for each in stencil.pieces]
    return replace(stencil, pieces=tuple(pieces))


def test_a_tack_moved_to_where_it_must_not_be_is_seen():
    stencil = random_stencil(0)
    join = max(stencil.grid.joins, key=lambda join: join.tape)
    (piece,) = [piece for piece in stencil.pieces if piece.id == join.piece]
    (ax, ay), (bx, by) = join.start, join.end
    wrong = list(broken_rules(moved(stencil, piece, ((ax + bx) / 2, (ay + by) / 2)), SMALL))
    assert f"{piece.id}: tape under the tape of a join" in wrong
    wrong = list(broken_rules(moved(stencil, piece, piece.area.exterior.coords[0]), SMALL))
    assert f"{piece.id}: tape over the border" in wrong
    hole = stencil.face.holes[0]
    wrong = list(broken_rules(moved(stencil, piece, hole.centre), SMALL))
    assert f"{piece.id}: tape on a hole or a fold" in wrong


def test_a_tack_taken_away_is_seen():
    stencil = random_stencil(0)
    piece = max(stencil.pieces, key=lambda piece: len(piece.tacks))
    assert len(piece.tacks) > 2
    assert all(
        beyond_reach(piece.area, piece.tacks[:at] + piece.tacks[at + 1 :], SMALL.reach)
        for at in range(len(piece.tacks))
    )
    bare = replace(stencil, pieces=tuple(replace(each, tacks=()) for each in stencil.pieces))
    assert len(list(unheld(bare, SMALL, set()))) >= len(bare.pieces)
