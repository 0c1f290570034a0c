import math
import re
import shutil
import subprocess
from fractions import Fraction

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis.strategies import booleans, floats
from PIL import Image

from mateline.curves import Segment
from mateline.curves import length as chain_length
from mateline.exports.cut.layers import LAYERS, layers_of
from mateline.exports.print.pdf import stencil_pdf
from mateline.exports.print.pdf_file import BEZIER_TOL, beziers
from mateline.exports.print.tiles import (
    MARGIN,
    OVERLAP,
    PAPERS,
    paper_for,
    tiles_for,
    window_size,
)
from mateline.tape.accuracy import Tape
from pdf_reading import clip, forms, length, origins, read, subpaths
from stencils import BOLT, FRONT, board, seaside, striped

METRIC = Tape("mm", Fraction(1), "II")
INCHES = Tape("in", Fraction(254, 160), "II")
PRINTED = [layer for layer in LAYERS if layer != "label-back"]  # paper is printed on one side
METRE = striped(board("front", FRONT, (1000.0, 640.0), holes=(BOLT,)))


def box_of(paths):
    points = np.array([point for path in paths for point in path])
    return (*points.min(axis=0), *points.max(axis=0))


def test_the_cut_layer_is_true_size_to_a_micrometre():
    reader = read(stencil_pdf(METRE, METRIC))
    assert box_of(subpaths(forms(reader)["cut"])) == pytest.approx((0, 0, 1000, 640), abs=1e-3)
    ((scale, *_),) = origins(reader, 0)
    assert scale == 1
    assert "/UserUnit" not in reader.pages[0]


def test_every_layer_has_the_lengths_of_its_chains():
    stencil = seaside()
    found = forms(read(stencil_pdf(stencil, METRIC)))
    assert set(found) == set(PRINTED)
    for layer, chains in layers_of(stencil).items():
        if layer in PRINTED:
            lengths = [length(path) for path in subpaths(found[layer])]
            assert lengths == pytest.approx([chain_length(chain) for chain in chains], rel=1e-3)


def test_layers_can_be_switched_off():
    reader = read(stencil_pdf(seaside(), METRIC))
    groups = reader.trailer["/Root"]["/OCProperties"]["/OCGs"]
    assert [group.get_object()["/Name"] for group in groups] == PRINTED


@given(floats(0.5, 5000), floats(0, math.tau), floats(0.01, 2 * math.pi), booleans())
def test_curves_stay_within_a_micrometre_of_their_arc(reach, first, turn, counterclockwise):
    last = first + (turn if counterclockwise else -turn)
    start = (reach * math.cos(first), reach * math.sin(first))
    end = (reach * math.cos(last), reach * math.sin(last))
    curves = beziers(start, Segment(end, (0.0, 0.0), counterclockwise))
    assert curves[-1][-1] == end
    t = np.linspace(0, 1, 101)[:, None]
    at = np.array(start)
    for near, far, to in curves:
        path = (1 - t) ** 3 * at + 3 * t * (1 - t) ** 2 * np.array(near)
        path = path + 3 * t**2 * (1 - t) * np.array(far) + t**3 * np.array(to)
        off = np.hypot(*path.T) - reach
        assert np.abs(off).max() <= BEZIER_TOL + 1e-9
        at = np.array(to)


@pytest.mark.parametrize(
    ("tape", "long", "said"), [(METRIC, 100.0, "100 mm"), (INCHES, 101.6, '4"')]
)
def test_a_bar_of_the_jobs_unit_is_on_every_true_size_page(tape, long, said):
    reader = read(stencil_pdf(METRE, tape))
    for page in (0, *range(2, len(reader.pages))):
        lengths = {round(length(path), 3) for path in subpaths(reader.pages[page].get_contents())}
        assert long in lengths
        words = reader.pages[page].extract_text()
        assert "Measure this bar with your own rule before you cut anything." in words
        assert said in words
        assert ("100 mm" in words) == (tape is METRIC)


def test_sheets_show_their_windows_where_the_map_says():
    tiles = tiles_for(METRE.face.outline, PAPERS["A4"])
    reader = read(stencil_pdf(METRE, METRIC))
    assert len(reader.pages) == 2 + len(tiles.tiles)
    for page, tile in enumerate(tiles.tiles, start=2):
        ((scale, x, y),) = origins(reader, page)
        left, low, wide, tall = clip(reader, page)
        found = (left - x, low - y, left - x + wide, low - y + tall)
        assert scale == 1
        assert found == pytest.approx(tile.window, abs=1e-3)
        assert left >= MARGIN - 1e-3
        name = f"paper {tile.number} of {len(tiles.tiles)}: row {tile.row}, column {tile.column}"
        assert name in reader.pages[page].extract_text()
        assert reader.page_labels[page] == f"body-front paper {tile.number}"


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("size", [(150.0, 90.0), (1000.0, 640.0), (711.0, 1803.4)])
def test_sheets_cover_the_face_and_neighbours_share_a_strip(paper, size):
    outline = shapely.box(0, 0, *size)
    found = tiles_for(outline, PAPERS[paper])
    windows = shapely.box(*np.array([tile.window for tile in found.tiles]).T)
    assert shapely.union_all(windows).buffer(1e-9).covers(outline)
    assert [tile.number for tile in found.tiles] == list(range(1, len(found.tiles) + 1))
    by_place = {(tile.row, tile.column): tile.window for tile in found.tiles}
    for row in range(1, found.rows + 1):
        for column in range(1, found.columns):
            here, beside = by_place[row, column], by_place[row, column + 1]
            assert here[2] - beside[0] == pytest.approx(OVERLAP)
    if found.rows > 1:
        assert by_place[2, 1][3] - by_place[1, 1][1] == pytest.approx(OVERLAP)
    wide, tall = window_size(found.size)
    assert len(found.tiles) >= outline.area / (wide * tall)


def test_sheets_that_show_nothing_of_the_face_are_left_out():
    corner = shapely.box(0, 0, 1000, 200).union(shapely.box(0, 0, 150, 1000))
    found = tiles_for(corner, PAPERS["A4"])
    assert len(found.tiles) < found.columns * found.rows
    assert all(corner.intersects(shapely.box(*tile.window)) for tile in found.tiles)


def test_paper_follows_the_tape_and_can_be_named():
    assert [paper_for(unit).name for unit in ("mm", "in", "ft", "cm")] == [
        "A4", "Letter", "Letter", "A4",
    ]  # fmt: skip
    assert paper_for("in", "A3").name == "A3"
    reader = read(stencil_pdf(METRE, INCHES, "Tabloid"))
    assert {float(side) for side in reader.pages[2].mediabox[2:]} == {792.0, 1224.0}


def test_a_face_with_brackets_and_accents_in_its_name_keeps_them():
    stencil = striped(board("tür (oben)", FRONT, (100.0, 80.0)))
    reader = read(stencil_pdf(stencil, METRIC))
    assert reader.metadata.title == "Stencil of body-tür (oben)"
    assert "body-tür (oben)" in reader.pages[0].extract_text()


def test_the_same_stencil_gives_the_same_bytes():
    assert stencil_pdf(METRE, METRIC) == stencil_pdf(METRE, METRIC)


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="needs pdftoppm of poppler")
def test_a_rendered_metre_is_a_metre(tmp_path):
    """The outline's middle, left and right, in a strip of page 1 at 300 dots an inch."""
    file = tmp_path / "stencil.pdf"
    file.write_bytes(stencil_pdf(METRE, METRIC))
    strip = ["-x", "0", "-W", "13000", "-y", "900", "-H", "40", "-f", "1", "-l", "1"]
    command = ["pdftoppm", "-r", "300", "-gray", "-singlefile", *strip, file, tmp_path / "strip"]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    assert done.stderr == ""
    dark = 255.0 - np.asarray(Image.open(tmp_path / "strip.pgm"), dtype=float)
    ink = np.sort(np.flatnonzero(dark.min(axis=0) > 60))  # dark in every row: upright lines
    gap = int(np.argmax(np.diff(ink)))
    middles = [
        np.average(part, weights=dark[:, part].sum(axis=0))
        for part in (ink[: gap + 1], ink[gap + 1 :])
    ]
    assert (middles[1] - middles[0]) / 300 * 25.4 == pytest.approx(1000, abs=0.1)


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="needs pdftoppm of poppler")
def test_the_strip_that_two_sheets_share_looks_the_same_on_both(tmp_path):
    """At 254 dots an inch a mm is 10 pixels, so that both sheets fall on one raster."""
    file = tmp_path / "stencil.pdf"
    file.write_bytes(stencil_pdf(METRE, METRIC))
    tiles = tiles_for(METRE.face.outline, PAPERS["A4"])
    places = [(tile.row, tile.column) for tile in tiles.tiles]
    wide, tall = (round(10 * side) for side in window_size(tiles.size))
    edge, strip = round(10 * MARGIN), round(10 * OVERLAP)
    right_of = ((2, 1), (2, 2), slice(-strip, None), slice(0, strip), 1)
    below = ((1, 2), (2, 2), slice(-strip, None), slice(0, strip), 0)
    for one, other, end, start, axis in (right_of, below):
        strips = []
        for place, part in ((one, end), (other, start)):
            page = str(3 + places.index(place))
            command = ["pdftoppm", "-r", "254", "-gray", "-singlefile", "-f", page, "-l", page]
            subprocess.run([*command, file, tmp_path / page], check=True, capture_output=True)
            dots = np.asarray(Image.open(tmp_path / f"{page}.pgm"), dtype=int)
            window = dots[edge : edge + tall, edge : edge + wide]
            strips.append(window[:, part] if axis else window[part, :])
        inner = [found[20:-20, 20:-20] for found in strips]  # without frame and marks
        assert (inner[0] < 128).sum() > 50  # some borders run through the strip
        assert ((inner[0] < 128) != (inner[1] < 128)).mean() < 2e-3


def test_each_sheet_names_those_that_go_on_beside_it():
    tiles = tiles_for(METRE.face.outline, PAPERS["A4"])
    numbers = {(tile.row, tile.column): tile.number for tile in tiles.tiles}
    reader = read(stencil_pdf(METRE, METRIC))
    words = reader.pages[1 + numbers[2, 2]].extract_text()
    beside = {numbers[at] for at in ((2, 1), (2, 3), (1, 2), (3, 2)) if at in numbers}
    assert len(beside) >= 3
    named = {int(found) for found in re.findall(r"paper\s+(\d+)\b", words)}
    assert named == {*beside, numbers[2, 2]}


@pytest.mark.parametrize("size", [(1200.0, 400.0), (400.0, 1200.0)])
def test_the_map_fills_its_paper_however_the_papers_lie(size):
    face = striped(board("long", FRONT, size))
    reader = read(stencil_pdf(face, METRIC))
    wide, tall = (float(side) for side in reader.pages[1].mediabox[2:])
    assert (wide > tall) == (size[0] > size[1])
