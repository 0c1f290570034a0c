from collections import Counter
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import LineString, Polygon

from mateline.cabinet.hole import opening
from mateline.curves import flattened, length, moved
from mateline.exports.cut.layers import layers_of, punched
from mateline.exports.cut.sheets import drawn_besides
from mateline.stencil.lettering.single_stroke import letters
from mateline.stencil.lettering.wording import wordings
from mateline.stencil.turned_over import back_labels, turned_over
from mateline.survey import surveyed, with_true_borders

CABINET = Path(__file__).parents[2] / "cabinets" / "harbour-lights"
POINTS = 400  # tried in a piece, to tell by counting whose area is where


@pytest.fixture(scope="module")
def job():
    return with_true_borders(surveyed(CABINET))


@pytest.fixture(scope="module")
def pairs(job):
    faces = {stencil.face.name: stencil for stencil in job.stencils}
    found = [pair for pair in job.pairs if pair.shared]
    assert [pair.left for pair in found] == ["body-left", "head-left"]
    return [(faces[p.left], faces[p.right], turned_over(faces[p.left], faces[p.right], p.matrix))
            for p in found]  # fmt: skip


def lines(chains):
    return [LineString(flattened(chain)) for chain in chains]


def across(points, left, right, middle):
    """Points of the left face's frame, lifted, reflected in the plane X = middle, laid flat."""
    here, there = left.panel.frame, right.panel.frame
    space = np.array(here.corner) + points @ np.array([here.along_x, here.along_y])
    space[:, 0] = 2 * middle - space[:, 0]
    return (space - np.array(there.corner)) @ np.array([there.along_x, there.along_y]).T


def test_twins_are_where_a_count_of_points_in_space_finds_them(job, pairs):
    rng = np.random.default_rng(4)
    twinned = 0
    for left, right, turn in pairs:
        middle = job.cabinet.planes[left.face.panel.carcase].middle
        tree = shapely.STRtree([piece.area for piece in right.pieces])
        for piece in left.pieces:
            low_x, low_y, high_x, high_y = piece.area.bounds
            tried = rng.uniform((low_x, low_y), (high_x, high_y), (200 * POINTS, 2))
            tried = tried[shapely.contains_xy(piece.area, tried)][:POINTS]
            points = across(tried, left.face, right.face, middle)
            _, hit = tree.query(shapely.points(points), predicate="intersects")
            votes = Counter(
                right.pieces[at].id
                for at in hit.tolist()
                if right.pieces[at].colour == piece.colour
            )
            name, share = votes.most_common(1)[0] if votes else ("", 0)
            twin = turn.twins.get(piece.id)
            if share > 0.6 * len(tried):
                assert twin is not None
                assert twin.id == name
                twinned += 1
            elif share < 0.4 * len(tried):
                assert twin is None
    assert twinned > 100


def test_no_two_pieces_have_one_twin_unless_a_border_is_missing_there(pairs):
    for _, right, turn in pairs:
        twins = Counter(twin.id for twin in turn.twins.values())
        assert twins.keys() <= {piece.id for piece in right.pieces}
        assert max(twins.values()) == 1


def test_the_back_reads_right_from_behind(pairs):
    """Carried to the right face the arrow points up and stands left of the letters."""
    read = 0
    for left, _, turn in pairs:
        for piece in left.pieces:
            seen = lines(
                moved(chain, turn.matrix) for chain in back_labels([piece], turn, (), [None])
            )
            if len(seen) < 6:
                continue  # a small piece's has no arrow
            (x0, y0), (x1, y1) = seen[0].coords
            assert x1 == pytest.approx(x0, abs=1e-6)
            assert y1 > y0
            # The letters at the arrow's own height: the first line, where lines are level.
            level = [line for line in seen[2:] if y0 - 1 < line.bounds[1] < line.bounds[3] < y1 + 1]
            low_x, low_y, high_x, high_y = shapely.total_bounds(seen)
            if level and high_x - low_x > high_y - low_y:  # turned lettering is no taller than wide
                assert x0 < min(line.bounds[0] for line in level)
                read += 1
    assert read > 40


def test_lettering_lies_in_one_piece_clear_of_tacks_scores_and_marks(job, pairs):
    turns = {left.face.name: turn for left, _, turn in pairs}
    for stencil in (each for each in job.stencils if each.has_board):
        layers = layers_of(stencil, job.tape, turns.get(stencil.face.name))
        tree = shapely.STRtree([piece.area.buffer(-0.9) for piece in stencil.pieces])
        every = [tack for piece in stencil.pieces for tack in piece.tacks]
        tacks = shapely.union_all([Polygon(flattened(punched(tack))) for tack in every])
        scores = shapely.union_all([strip.score for strip in stencil.face.strips])
        marks = shapely.union_all(lines(layers["register"]))
        assert bool(layers["label-back"]) == (stencil.face.name in turns)
        for layer in [name for name in ("label", "label-back") if layers[name]]:
            ink = np.array(lines(layers[layer]), dtype=object)
            stroke, _ = tree.query(ink, predicate="covered_by")
            assert sorted(stroke.tolist()) == list(range(len(ink)))
            for obstacle in (tacks, scores):
                assert obstacle.is_empty or shapely.distance(ink, obstacle).min() > 0.9
        assert shapely.distance(lines(layers["label"]), marks).min() > 0.9


def test_no_label_lies_across_a_join_or_a_cross_of_a_sheet(job):
    checked = 0
    for stencil in job.stencils:
        besides = drawn_besides(stencil.grid)
        if besides:
            layers = layers_of(stencil, job.tape, None, besides)
            drawn = shapely.union_all(lines(besides))
            assert shapely.distance(lines(layers["label"]), drawn).min() > 0.9
            checked += 1
    assert checked == 2  # body-left and body-right


def test_a_set_that_is_turned_over_has_one_grid_of_sheets(pairs):
    """What of the left face's lines is where, reflected, is where the right one's are."""
    several = 0
    for left, right, turn in pairs:
        lines = [turn.matrix[0, 0] * x + turn.matrix[0, 2] for x in left.grid.xs]
        assert sorted(lines) == pytest.approx(right.grid.xs)
        assert left.grid.ys == pytest.approx(right.grid.ys)
        assert left.grid.turned == right.grid.turned
        several += len(left.grid.sheets) > 1
    assert several == 1


def test_the_back_has_the_name_of_the_front(pairs):
    """The strokes are those of what a label of the left piece itself may say, from its id down."""
    told = Counter()
    for left, right, turn in pairs:
        for piece in (each for each in left.pieces if each.id in turn.twins):
            strokes = list(back_labels([piece], turn, (), [None]))
            if len(strokes) < 6:
                continue  # a small piece's has no arrow
            written = sorted(map(length, strokes[2:]))  # the arrow's two come before
            texts = wordings(piece, out=f"out on {right.face.name}")
            words = [layout.lines for layouts in texts for layout in layouts if layout.arrow]
            assert any(scaled(written, stroke_lengths(each)) for each in words), piece.id
            others = wordings(turn.twins[piece.id], turned_over=True)
            ids = [layout.lines for layouts in others for layout in layouts if layout.arrow]
            told["other"] += any(scaled(written, stroke_lengths(each)) for each in ids)
            told["all"] += 1
    assert told["all"] > 60
    assert told["other"] < 0.3 * told["all"]  # numbers that are drawn alike, and equal ones


def scaled(one, other):
    """Whether two lists of lengths are the same but for their size."""
    if len(one) != len(other):
        return False
    return one == pytest.approx([each * one[-1] / other[-1] for each in other], rel=1e-6)


def stroke_lengths(words):
    """The lengths of the strokes of lines of lettering, at any one size."""
    strokes = (stroke for line in words for _, made in letters(line) for stroke in made)
    return sorted(map(length, strokes))


def test_few_labels_lie_over_an_open_hole(job):
    """Only where a piece has no room beside it."""
    over = total = 0
    for stencil in job.stencils:
        ink = lines(layers_of(stencil)["label"])
        holes = [Polygon(flattened(opening(hole))) for hole in stencil.face.holes if not hole.stays]
        total += len(ink)
        over += int(shapely.intersects(shapely.union_all(holes), ink).sum()) if holes else 0
    assert over < 0.01 * total
