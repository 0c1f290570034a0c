import io
import math
from fractions import Fraction

import ezdxf
import numpy as np
import pytest
import shapely
from shapely import LineString, box

from mateline.curves import Chain, Segment, flattened, length
from mateline.exports.cut.dxf import layers_dxf
from mateline.exports.cut.layers import layers_of
from mateline.exports.cut.sheets import on_sheet, sheet_layers, sheet_size
from mateline.exports.cut.svg import layers_svg
from mateline.exports.picture.face_picture import face_picture
from mateline.exports.print.pdf import stencil_pdf
from mateline.stencil.board import Board, Punch
from mateline.tape.accuracy import Tape
from pdf_reading import forms, read, subpaths
from pdf_reading import length as drawn_length
from stencils import FRONT, board, painted_by
from svg_reading import SVG, parsed

BOARD = Board((762.0, 1016.0), 0.4, 6.0, 150.0, 0.2, (Punch(30, 12),), 150.0, 2.0, 0.2)
STENCIL = painted_by(
    board("front", FRONT, (1300.0, 1100.0)),
    [("sea blue", box(300, 200, 900, 700)), ("sun yellow", box(850, 650, 1250, 1000))],
)
METRIC = Tape("mm", Fraction(1), "II")
LAYERS = layers_of(STENCIL)
GRID = STENCIL.grid
SHEETS = [(sheet, sheet_layers(sheet, GRID, LAYERS)) for sheet in GRID.sheets]


def total(chains):
    return sum(length(chain) for chain in chains)


def test_all_sheets_together_hold_every_border_once():
    """What lies on a line of the grid is an edge of both sheets there."""
    assert len(SHEETS) == 4
    rims = shapely.union_all([box(*sheet.bounds).exterior for sheet, _ in SHEETS])
    inner = rims.difference(STENCIL.face.outline.exterior)
    borders = shapely.union_all([LineString(flattened(chain)) for chain in STENCIL.chains])
    twice = borders.intersection(inner).length
    assert twice > 0
    for name, more in (("cut", twice), ("tack", 0), ("label", 0)):
        found = sum(total(layers[name]) for _, layers in SHEETS)
        assert found == pytest.approx(total(LAYERS[name]) + more), name


def test_each_join_is_on_the_two_sheets_that_meet_there():
    found = sum(total(layers["join"]) for _, layers in SHEETS)
    assert found == pytest.approx(2 * sum(join.tape for join in GRID.joins))


def test_everything_lies_on_the_sheet_in_its_own_frame():
    for sheet, layers in SHEETS:
        points = np.array(
            [p for chains in layers.values() for chain in chains for p in chain.points]
        )
        assert points.min() >= -1e-6
        assert (points <= np.array(sheet_size(sheet)) + 1e-6).all()


def test_a_sheet_is_written_with_its_joins_and_marks_on_layers_of_their_own():
    sheet, layers = SHEETS[0]
    root = parsed(layers_svg(layers, *sheet_size(sheet)))
    names = [group.get("id") for group in root]
    work = [name for name in LAYERS if name != "hole"]
    assert names == ["mark", *work, "join", "hole"]
    (marks,) = root.xpath("svg:g[@id='mark']", namespaces={"svg": SVG[1:-1]})
    assert len(marks) >= 6 + 3
    document = ezdxf.read(io.StringIO(layers_dxf(layers, *sheet_size(sheet))))
    assert not document.audit().errors
    assert len(document.modelspace().query('*[layer=="JOIN"]')) == len(layers["join"])


def test_the_page_of_the_whole_face_has_every_join_at_its_length():
    page = forms(read(stencil_pdf(STENCIL, METRIC, layers=LAYERS)))
    found = sum(drawn_length(path) for path in subpaths(page["join"]))
    assert found == pytest.approx(sum(join.tape for join in GRID.joins), abs=1e-2)
    alone = painted_by(board("front", FRONT, (600.0, 400.0)), [])
    assert not {"join", "mark"} & set(forms(read(stencil_pdf(alone, METRIC))))


def test_the_picture_says_what_the_line_of_a_join_is():
    assert "join of two sheets" in face_picture(STENCIL, [], METRIC)
    alone = painted_by(board("front", FRONT, (600.0, 400.0)), [])
    assert "join of two sheets" not in face_picture(alone, [], METRIC)


def test_an_arc_that_bulges_beyond_the_facets_of_the_rim_is_cut_whole():
    sheet = max(GRID.sheets, key=lambda each: each.bounds[2])
    _, low, right, high = sheet.bounds
    start, end = (right, (low + high) / 2), (right, (low + high) / 2 + 2.5)
    centre = (right - math.sqrt(200**2 - 1.25**2), start[1] + 1.25)  # 0.004 beyond the chord
    arc = Chain(start, (Segment(end, centre),))
    (cut,) = on_sheet(sheet, GRID, {**LAYERS, "cut": (arc,)})["cut"]
    assert cut == arc
