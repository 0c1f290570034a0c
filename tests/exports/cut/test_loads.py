"""Files of bed loads: every border in one of them, meeting at the lines to the micrometre."""

import io
import itertools
import math
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import ezdxf
import numpy as np
import pytest
from shapely import box

from mateline.cabinet.panel import Edge
from mateline.curves import length
from mateline.exports.cut.layers import layers_of
from mateline.exports.cut.loads import load_files, load_layers, sheet_loads
from mateline.exports.cut.sheets import on_sheet
from mateline.stencil.board import Board, Knife, Punch
from mateline.tape.accuracy import Tape
from stencils import FRONT, SQUARE_END, board, painted_by, seaside
from svg_reading import parsed

BOARD = Board(
    (2000.0, 2000.0), 0.4, 6.0, 150.0, 0.2, (Punch(30, 12),), 150.0, 2.0, 0.2, bed=(250.0, 200.0)
)
KNIFE = Knife(0.5, 0.6, 0.1, 5.0, 1500.0, 600.0, 300.0)
METRIC = Tape("mm", Fraction(1), "II")
WIDE = painted_by(
    board("front", FRONT, (1300.0, 1100.0)),
    [("sea blue", box(300, 200, 900, 700)), ("sun yellow", box(850, 650, 1250, 1000))],
)


def loaded(stencil, bed):
    sheet = stencil.grid.sheets[0]
    layers = layers_of(stencil)
    here = on_sheet(sheet, stencil.grid, layers)
    loads = sheet_loads(sheet, stencil, here, replace(BOARD, bed=bed))
    return here, loads, load_layers(loads, here)


@pytest.mark.parametrize(("stencil", "bed"), [(seaside(), (250.0, 200.0)), (WIDE, (220.0, 150.0))])
def test_every_layer_is_shared_out_among_the_loads_with_nothing_twice(stencil, bed):
    here, loads, drawn = loaded(stencil, bed)
    assert len(loads.loads) >= 4
    for name, chains in here.items():
        found = sum(length(part) for layers in drawn.values() for part in layers[name])
        extra = sum(20.0 * len(load.drawn) for load in loads.loads) if name == "mark" else 0.0
        assert found == pytest.approx(sum(map(length, chains)) + extra, rel=1e-12), name


def test_what_ends_on_a_line_goes_on_there_in_another_load():
    """Ends of cut parts, back in the face frame, that are no ends of borders: each is met twice."""
    here, loads, drawn = loaded(seaside(), (250.0, 200.0))
    nodes = {_rounded(at) for chain in here["cut"] for at in (chain.start, chain.points[-1])}
    ends = Counter()
    for load in loads.loads:
        turn, shift = load.matrix[:, :2], load.matrix[:, 2]
        for part in drawn[load.number]["cut"]:
            for at in (part.start, part.points[-1]):
                ends[_rounded(turn.T @ (np.array(at) - shift))] += not part.closed
    cut = {at: count for at, count in ends.items() if at not in nodes and count}
    assert cut
    assert set(cut.values()) == {2}
    for x, y in cut:
        near = [abs(x - line) for line in loads.xs] + [abs(y - line) for line in loads.ys]
        assert min(near) < 1e-6


def _rounded(at):
    return tuple(round(float(value), 6) + 0.0 for value in at)


def test_all_of_a_load_lies_on_its_bed():
    _, loads, drawn = loaded(seaside(), (250.0, 200.0))
    for load in loads.loads:
        for chains in drawn[load.number].values():
            for chain in chains:
                points = np.array(chain.points)
                assert points.min() >= -1e-9
                assert (points <= np.array([250.0, 200.0]) + 1e-9).all()


def test_marks_of_a_sheet_where_there_is_no_face_are_on_no_bed():
    """An octagon on four sheets: their outer crosses lie in cells that no load cuts."""
    turns = np.pi * (np.arange(8) + 0.5) / 4
    outline = tuple((700 + 700 * math.cos(turn), 700 + 700 * math.sin(turn)) for turn in turns)
    panel = replace(
        board("front", FRONT, (1400.0, 1400.0)),
        outline=outline,
        corners=(None,) * 8,
        edges=(Edge("none", SQUARE_END),) * 8,
    )
    stencil = painted_by(panel, [("sea blue", box(300, 300, 900, 900))])
    layers = layers_of(stencil)
    assert len(stencil.grid.sheets) >= 4
    for sheet in stencil.grid.sheets:
        here = on_sheet(sheet, stencil.grid, layers)
        loads = sheet_loads(sheet, stencil, here, replace(BOARD, bed=(150.0, 250.0)))
        drawn = load_layers(loads, here)
        for load in loads.loads:
            for name, chains in drawn[load.number].items():
                for chain in chains:
                    points = np.array(chain.points)
                    assert points.min() >= -1e-6, name
                    assert (points <= np.array(load.size) + 1e-6).all(), name


def test_a_later_load_finds_the_crosses_where_an_earlier_one_drew_them():
    _, loads, drawn = loaded(WIDE, (220.0, 150.0))
    first, second = loads.loads[:2]
    theirs = [chain for name, at in second.found if name == first.number for chain in [at]]
    assert len(drawn[second.number]["align"]) == 2 * len(second.found)
    assert len(theirs) == 3
    there = [first.matrix[:, :2] @ at + first.matrix[:, 2] for at in theirs]
    here = [second.matrix[:, :2] @ at + second.matrix[:, 2] for at in theirs]
    for (a, b), (c, d) in zip(itertools.pairwise(there), itertools.pairwise(here), strict=True):
        assert math.dist(a, b) == pytest.approx(math.dist(c, d))


def test_files_are_named_by_sheet_and_load_and_say_where_to_lay_the_board():
    stencil = seaside()
    (sheet,) = stencil.grid.sheets
    files = load_files(sheet, stencil, layers_of(stencil), replace(BOARD, knife=KNIFE), METRIC)
    count = len([name for name in files if name.endswith(".svg")])
    expected = {f"load-{at}.{kind}" for at in range(1, count + 1)
                for kind in ("svg", "dxf", "ngc")}  # fmt: skip
    assert set(files) == {*expected, "loads.txt"}
    told = files["loads.txt"]
    assert "Lay the board so that these crosses are where they should be:" in told
    assert ", drawn by load 1" in told
    groups = [group.get("id") for group in parsed(files["load-2.svg"])]
    assert groups[:2] == ["align", "mark"]
    document = ezdxf.read(io.StringIO(files["load-2.dxf"]))
    assert not document.audit().errors
    assert len(document.modelspace().query('*[layer=="ALIGN"]')) >= 6


def test_of_several_sheets_each_has_loads_of_its_own_name():
    layers = layers_of(WIDE)
    assert len(WIDE.grid.sheets) > 1
    names = set()
    for sheet in WIDE.grid.sheets:
        files = load_files(sheet, WIDE, layers, replace(BOARD, bed=(280.0, 380.0)), METRIC)
        assert names.isdisjoint(files)
        names |= set(files)
        told = files[f"sheet-{sheet.number}-loads.txt"].splitlines()
        assert told[0].startswith(f"sheet {sheet.number} of body-front: ")
        assert any(line.startswith("Load 1, ") for line in told)
    assert {"sheet-1-load-1.svg", "sheet-2-load-1.svg"} <= names


def test_a_program_tells_where_crosses_lie_and_scratches_its_own():
    stencil = seaside()
    (sheet,) = stencil.grid.sheets
    files = load_files(sheet, stencil, layers_of(stencil), replace(BOARD, knife=KNIFE), METRIC)
    first, second = (files[f"load-{at}.ngc"].splitlines() for at in (1, 2))
    assert sum("lay the board so that a drawn cross is at" in line for line in second) >= 3
    lowest = first.index(next(line for line in first if line.startswith("G1 Z-0.6")))
    scratched = [line for line in first[:lowest] if line.startswith("G1 X")]
    assert len(scratched) >= 6  # two lines a cross, three crosses
    for program in (first, second):
        x = [float(word[1:]) for line in program for word in line.split() if word[0] == "X"]
        moves = [word for line in program if line[0] == "G" for word in line.split()]
        y = [float(word[1:]) for word in moves if word[0] == "Y"]
        assert min(*x, *y) == 0  # it comes home
        assert max(x) <= 250
        assert max(y) <= 200


def test_without_a_bed_or_on_one_that_takes_the_sheet_there_are_no_loads():
    stencil = seaside()
    (sheet,) = stencil.grid.sheets
    layers = layers_of(stencil)
    for bed in (None, (400.0, 300.0)):
        assert load_files(sheet, stencil, layers, replace(BOARD, bed=bed), METRIC) == {}
