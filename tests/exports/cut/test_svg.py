import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
import shapely
from shapely import Polygon

from boards import carcase
from golden import assert_golden
from mateline.cabinet.faces import unrolled
from mateline.cabinet.hole import Hole, keep_clear
from mateline.curves import flattened, length
from mateline.exports.cut.layers import LAYERS
from mateline.exports.cut.svg import stencil_svg
from stencils import BUTTON, SUN_RADIUS, WAVE_RADIUS, seaside, striped
from svg_reading import SVG, Arc, parsed, paths, segments


def layer(root, name):
    (group,) = root.xpath(f"svg:g[@id='{name}']", namespaces={"svg": SVG[1:-1]})
    return [segments(path.get("d")) for path in paths(group)]


def test_the_file_is_as_it_was_looked_at():
    lines = stencil_svg(seaside()).splitlines(keepends=True)
    start, end = (
        lines.index('<g id="label" stroke="#777777">\n'),
        lines.index('<g id="score" stroke="#008844">\n'),
    )
    strokes = sum(line.startswith("<path") for line in lines[start:end])
    lettering = f"<!-- {strokes} strokes of lettering -->\n"
    groups = [line for line in lines[start + 1 : end] if not line.startswith("<path")]
    shown = [*lines[: start + 1], lettering, *groups, *lines[end:]]
    assert_golden("".join(shown), Path(__file__).parent / "golden" / "stencil.svg")


def test_layers_are_groups_of_their_own():
    root = parsed(stencil_svg(seaside()))
    assert tuple(group.get("id") for group in root) == LAYERS


def test_every_border_is_cut_exactly_once():
    """As much length as all borders have, and no two segments the same in either direction."""
    stencil = seaside()
    cut = [part for path in layer(parsed(stencil_svg(stencil)), "cut") for part in path]
    total = sum(length(chain) for chain in stencil.chains)
    assert sum(part.length for part in cut) == pytest.approx(total, abs=1e-3)
    middles = [frozenset({part.start, part.end, getattr(part, "centre", None)}) for part in cut]
    assert len(set(middles)) == len(cut)


def test_the_cut_length_is_what_the_figure_says():
    arcs = 2 * WAVE_RADIUS * 2 * math.asin(100 / WAVE_RADIUS)
    rounds = math.tau * (SUN_RADIUS + 15)
    cut = layer(parsed(stencil_svg(seaside())), "cut")
    total = sum(part.length for path in cut for part in path)
    assert total == pytest.approx(2 * (400 + 300) + arcs + rounds, abs=1e-3)


def test_arcs_are_true_and_lie_round_their_centres():
    cut = layer(parsed(stencil_svg(seaside())), "cut")
    arcs = [part for path in cut for part in path if isinstance(part, Arc)]
    centres = {(300, 125), (100, 275), (280, 90), (80, 60)}  # y down
    for part in arcs:
        assert min(math.dist(part.centre, centre) for centre in centres) < 1e-3


def test_open_holes_are_shown_and_not_cut():
    ((*arcs,),) = layer(parsed(stencil_svg(seaside())), "hole")
    assert sum(part.length for part in arcs) == pytest.approx(math.pi * BUTTON.width, abs=1e-3)


def test_scores_stop_at_what_is_cut_out():
    rounded = {"left and front": {"round": "12 mm"}}
    corners = {"a": (0, 0), "b": (300, 0), "c": (300, 400), "d": (0, 400)}
    boards = carcase("body", corners, ["bottom", "back", "top", "front"], 0, 300, edges=rounded)
    left = unrolled(next(board for board in boards if board.name == "left"))
    fold = left.strips[0].score
    middle = fold.interpolate(0.5, normalized=True)
    bolt = Hole("bolt", "round", (middle.x, middle.y), 30.0, 30.0, stays=True, margin=5.0)
    board = replace(left.panel, holes=(bolt,))
    scored = layer(parsed(stencil_svg(striped(board))), "score")
    assert sum(part.length for path in scored for part in path) == pytest.approx(
        fold.length - 40.0, abs=0.01
    )
    assert len(scored) == 2


def test_labels_and_tacks_are_inside_their_pieces():
    stencil = seaside()
    root = parsed(stencil_svg(stencil))
    inside = shapely.union_all([piece.area.buffer(1e-3) for piece in stencil.pieces])
    bolt = Polygon(flattened(keep_clear(stencil.face.holes[0])))
    for name in ("tack", "label"):
        points = [(p.start[0], 300 - p.start[1]) for path in layer(root, name) for p in path]
        assert shapely.contains_xy(inside.difference(bolt), points).all()


def test_the_same_stencil_gives_the_same_bytes():
    assert stencil_svg(seaside()) == stencil_svg(seaside())


def test_a_stencil_whose_borders_are_not_refitted_is_not_written():
    with pytest.raises(ValueError, match="each border needs its chain"):
        stencil_svg(replace(seaside(), chains=()))


def test_paths_are_continuous():
    for name in LAYERS:
        for path in layer(parsed(stencil_svg(seaside())), name):
            assert all(one.end == other.start for one, other in pairwise(path))
