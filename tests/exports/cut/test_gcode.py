import math
import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from scipy.spatial import cKDTree

from mateline.curves import Chain, Segment, flattened
from mateline.definition.board import board_of
from mateline.definition.schema import StencilTable
from mateline.exports.cut.gcode import _Writer, stencil_gcode
from mateline.exports.cut.layers import layers_of
from mateline.stencil.board import Knife
from rulers import ruler
from stencils import FRONT, board, seaside, striped

KNIFE = Knife(0.5, 0.6, 0.1, 5.0, 1500.0, 600.0, 300.0)
STEP = 0.04  # mm between places where the tip is looked at
WORD = re.compile(r"([A-Z])(-?[\d.]+)")


def moves(text):
    """Pivot moves: (from, to, centre or None, turn's sign, depth, feed); Z moves change depth."""
    at, depth, feed, found = (0.0, 0.0), -5.0, 0.0, []
    for line in text.splitlines():
        words = {letter: float(number) for letter, number in WORD.findall(line.split("(")[0])}
        feed = words.get("F", feed)
        if "Z" in words:
            depth = -words["Z"]
        if "X" in words:
            to = (words["X"], words["Y"])
            centre = (at[0] + words["I"], at[1] + words["J"]) if "I" in words else None
            side = {2: -1, 3: 1}.get(int(words["G"]), 0)
            found.append((at, to, centre, side, depth, feed))
            at = to
    return found


def pulled(text):
    """Where the tip is dragged to while it is in the board: it follows the pivot at the offset.

    In the face frame, which lies off the machine's corner by the knife's rim.
    """
    tip = np.array([-KNIFE.offset, 0.0])
    cuts = [[]]
    for start, end, centre, side, depth, _ in moves(text):
        if depth <= 0:  # the knife is up and keeps its heading
            tip = tip + np.array(end) - np.array(start)
            cuts.append([])
            continue
        for pivot in along(start, end, centre, side):
            back = tip - pivot
            tip = pivot + KNIFE.offset * back / math.hypot(*back)
            cuts[-1].append(tip - KNIFE.rim)
    return [cut for cut in cuts if cut]


def along(start, end, centre, side):
    if centre is None:
        count = max(1, math.ceil(math.dist(start, end) / STEP))
        return np.linspace(start, end, count + 1)[1:]
    reach = math.dist(start, centre)
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    turn = math.atan2(end[1] - centre[1], end[0] - centre[0]) - first
    turn = turn % math.tau if side > 0 else -(-turn % math.tau)
    count = max(2, math.ceil(abs(turn) * reach / STEP), math.ceil(abs(turn) / 0.01))
    angles = first + turn * np.arange(1, count + 1) / count
    return np.array(centre) + reach * np.column_stack([np.cos(angles), np.sin(angles)])


@pytest.mark.parametrize("stencil", [seaside(), striped(board("front", FRONT, (300.0, 200.0)))])
def test_the_dragged_tip_cuts_the_borders_and_nothing_else(stencil):
    cut = np.vstack(pulled(stencil_gcode(stencil, KNIFE)))
    layers = layers_of(stencil)
    chains = (*layers["tack"], *layers["cut"])
    lines = [shapely.LineString(flattened(chain)) for chain in chains]
    wanted = shapely.get_coordinates(shapely.segmentize(lines, STEP))
    assert cKDTree(wanted).query(cut)[0].max() < 0.03 + STEP / 2
    assert cKDTree(cut).query(wanted)[0].max() < 0.03 + STEP / 2


def test_the_pivot_never_leaves_the_bed():
    """The trim lies on the edges of the face, where the pivot swivels out by half a millimetre."""
    places = []
    for start, end, centre, side, *_ in moves(stencil_gcode(seaside(), KNIFE)):
        places += [start, end, *along(start, end, centre, side)]
    reach = np.array(places)
    assert reach.min() >= 0
    assert (reach <= np.array([400.0, 300.0]) + 2 * KNIFE.rim + 1e-9).all()


def test_arcs_keep_the_radius_that_the_standard_asks_for():
    """NISTIR 6556, 3.5.3: both ends as far from the centre, to 0.002 mm."""
    arcs = [move for move in moves(stencil_gcode(seaside(), KNIFE)) if move[2] is not None]
    assert arcs
    for start, end, centre, *_ in arcs:
        assert math.dist(start, centre) == pytest.approx(math.dist(end, centre), abs=0.002)


@pytest.mark.parametrize("turn", [9e-4, -9e-4, 2e-4, 1e-5])
def test_arcs_begin_on_their_circle_after_a_turn_that_is_no_corner(turn):
    """NIST RS274/NGC 3.5.3.1: an arc's ends may differ by 0.002 mm in radius. A long knife that
    was not turned stood 0.0045 mm off.
    """
    knife = replace(KNIFE, offset=5.0)
    circle = (-20 * math.sin(turn), 20 * math.cos(turn))
    end = (circle[0] + 20, circle[1])
    bent = Chain((-30.0, 0.0), (Segment((0.0, 0.0)), Segment(end, circle)))
    writer = _Writer(knife)
    writer.stroke(bent)
    for start, end, centre, *_ in moves("\n".join(writer.lines)):
        if centre is not None:
            assert abs(math.dist(start, centre) - math.dist(end, centre)) < 2e-4


def test_sharp_corners_are_swivelled_with_the_tip_hardly_in_the_board():
    for start, end, centre, _, depth, feed in moves(stencil_gcode(seaside(), KNIFE)):
        if centre is not None and math.dist(start, centre) < KNIFE.offset + 0.001:
            x, y = np.array(centre)
            turned = abs(
                math.remainder(
                    math.atan2(end[1] - y, end[0] - x) - math.atan2(start[1] - y, start[0] - x),
                    math.tau,
                )
            )
            assert feed == KNIFE.swivel_feed
            assert turned < math.radians(10.1) or depth == KNIFE.swivel_depth


def test_the_program_ends_and_travels_above_the_board():
    text = stencil_gcode(seaside(), KNIFE)
    corner = "X0 Y0 is 0.6 mm left of and below the lower left corner of the face"
    assert text.splitlines()[1] == f"(Z0 is the top of the board, {corner})"
    assert text.splitlines()[3] == "G17 G21 G90"
    assert text.endswith("G0 X0 Y0\nM2\n")
    travel = [line for line in text.splitlines() if line.startswith("G0 X")]
    assert len(travel) == 3 + 3 + 1  # three tacks, three strokes, home
    before = [a for a, b in pairwise(text.splitlines()) if b.startswith("G0 X")]
    assert set(before) == {"G0 Z5"}


def test_feeds_are_those_of_the_knife():
    writer = _Writer(KNIFE)
    writer.stroke(seaside().chains[0])
    feeds = {float(found) for line in writer.lines for found in re.findall(r"F([\d.]+)", line)}
    assert feeds == {1500.0, 600.0, 300.0}


def test_a_face_with_brackets_in_its_name_keeps_the_comment_whole():
    text = stencil_gcode(striped(board("a(b)", FRONT, (100.0, 80.0))), KNIFE)
    assert text.splitlines()[0] == "(body-a_b_: drag knife, offset 0.5 mm)"


def table(**knife):
    return StencilTable.model_validate({"knife": {"offset": "0.5 mm", **knife}})


def test_a_knife_comes_from_the_definition_and_is_off_without_one():
    assert board_of(StencilTable(), ruler()).knife is None
    found = board_of(table(depth="0.6 mm", swivel_depth="0.1 mm"), ruler()).knife
    assert found == KNIFE


def test_a_swivel_deeper_than_the_cut_is_refused():
    reader = ruler()
    board_of(table(depth="0.4 mm", swivel_depth="0.6 mm"), reader)
    (fault,) = reader.faults.kept
    assert fault.what == "The knife would swivel at 0.6 mm, deeper than its cut of 0.4 mm."


@pytest.mark.parametrize("feed", [0, -5, 6001])
def test_a_feed_beyond_its_limits_is_refused(feed):
    with pytest.raises(ValueError, match="feed_mm_min"):
        table(depth="0.6 mm", swivel_depth="0.1 mm", feed_mm_min=feed)
